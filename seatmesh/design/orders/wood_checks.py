"""Orders whose wood contradicts itself or the wishes: refused, with the nearest pair that would work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.design.orders.joint_checks import check_joints
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import front_roll_depth
from seatmesh.place_words import roughly
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import TAPERED_CORNER_SHARE, greatest_corner_radius_mm

LEAST_EDGE_MM = 5.0
"""Wood left standing upright at the edge between round-over and under-bevel."""
GUTTER_STEP_MM = 2.0
ROUNDED_MM = 1e-9
"""A value advised in a refusal is taken, however it was rounded."""
SHARE_WORDS = ("half", f"{TAPERED_CORNER_SHARE:g}")


def check_blank(blank: Blank, wishes: Wishes) -> None:
    """Refuse a blank whose own parts, or front roll, leave no room for one another.

    Raises
    ------
    ValueRefusedError
        It names both values and the nearest that would work.
    """
    _check_corner(blank)
    _check_deck(blank)
    _check_edge(blank, wishes)
    _check_glue(blank)
    check_joints(blank)
    _check_gutter(blank)


def _check_corner(blank: Blank) -> None:
    """Refuse a corner radius that the outline has no room for."""
    most = greatest_corner_radius_mm(blank.outline, blank.width_mm, blank.depth_mm)
    if blank.corner_radius_mm > most and not blank.own_outline_mm:
        raise ValueRefusedError(
            "[blank] corner_radius_mm",
            f"{blank.corner_radius_mm:g}",
            f"at most {SHARE_WORDS['taper' in blank.outline]} of the lesser of {blank.width_mm:g} and "
            f"{blank.depth_mm:g} mm",
            f"give {most:g} or less",
        )


def _check_deck(blank: Blank) -> None:
    if blank.deck_mm > 0.5 * blank.depth_mm:
        raise ValueRefusedError(
            "[blank] deck_mm",
            f"{blank.deck_mm:g}",
            f"at most half of the blank's depth of {blank.depth_mm:g} mm",
            f"give {0.5 * blank.depth_mm:g} or less",
        )
    if blank.deck_line == "bowed" and blank.deck_mm + blank.deck_bow_mm > 0.75 * blank.depth_mm:
        most = 0.75 * blank.depth_mm - blank.deck_mm
        raise ValueRefusedError(
            "[blank] deck_bow_mm",
            f"{blank.deck_bow_mm:g}",
            f"deck_mm {blank.deck_mm:g} and it are together at most three quarters of the blank's depth",
            f"give {most:g} or less",
        )
    if blank.deck_bow_mm and blank.deck_line != "bowed":
        raise ValueRefusedError(
            "[blank] deck_bow_mm",
            f"{blank.deck_bow_mm:g}",
            f'deck_line is "{blank.deck_line}"',
            'leave it out, or give deck_line = "bowed"',
        )
    if blank.deck_reach_mm is not None and blank.deck_line != "offset":
        raise ValueRefusedError(
            "[blank] deck_reach_mm",
            f"{blank.deck_reach_mm:g}",
            f'deck_line is "{blank.deck_line}"',
            'leave it out, or give deck_line = "offset"',
        )
    if blank.deck_line == "offset" and blank.deck_mm > 0.25 * blank.width_mm:
        raise ValueRefusedError(
            "[blank] deck_mm",
            f"{blank.deck_mm:g}",
            f"along the outline at most a quarter of the blank's width of {blank.width_mm:g} mm",
            f"give {0.25 * blank.width_mm:g} or less",
        )


def _check_edge(blank: Blank, wishes: Wishes) -> None:
    if (blank.under_bevel_width_mm > 0.0) != (blank.under_bevel_height_mm > 0.0):
        raise ValueRefusedError(
            "[blank] under_bevel_width_mm",
            f"{blank.under_bevel_width_mm:g} with under_bevel_height_mm {blank.under_bevel_height_mm:g}",
            "both above 0, or neither",
            "give the other one",
        )
    room = blank.thickness_mm - LEAST_EDGE_MM
    if blank.round_over_mm + blank.under_bevel_height_mm > room:
        raise ValueRefusedError(
            "[blank] round_over_mm",
            f"{blank.round_over_mm:g} with under_bevel_height_mm {blank.under_bevel_height_mm:g}",
            f"together at most thickness_mm {blank.thickness_mm:g} less {LEAST_EDGE_MM:g} mm of edge",
            f"give round_over_mm = {max(room - blank.under_bevel_height_mm, 0.0):g}, or "
            f"under_bevel_height_mm = {max(room - blank.round_over_mm, 0.0):g}",
        )
    if not blank.has_bevel:
        return
    fall = float(front_roll_depth(np.zeros(()), wishes.front_roll_mm))
    left = blank.greatest_depth_mm - fall
    if blank.under_bevel_height_mm > left + ROUNDED_MM:
        share = (blank.greatest_depth_mm - blank.under_bevel_height_mm) / fall if fall > 0.0 else -1.0
        other = f", or front_roll_mm = {wishes.front_roll_mm * share:.4g}" if share >= 0.0 else ""
        raise ValueRefusedError(
            "[blank] under_bevel_height_mm",
            f"{blank.under_bevel_height_mm:g} with front_roll_mm {wishes.front_roll_mm:g}",
            f"floor_mm {blank.floor_mm:g} stays under the roll, which falls {fall:.1f} mm at the front edge",
            f"give under_bevel_height_mm = {max(left, 0.0):.4g}{other}",
        )


def _check_glue(blank: Blank) -> None:
    half = 0.5 * blank.width_mm
    for x in blank.glue_lines_mm:
        if abs(x) >= half:
            raise ValueRefusedError(
                "[blank] glue_lines_mm",
                f"{x:g}",
                f"between {-half:g} and {half:g}",
                "measure from the centre line",
            )
    if blank.glue_lines_mm and blank.boards not in (1, len(blank.glue_lines_mm) + 1):
        raise ValueRefusedError(
            "[blank] boards",
            f"{blank.boards} with {len(blank.glue_lines_mm)} glue lines",
            f"{len(blank.glue_lines_mm) + 1} boards have as many",
            "leave one of the two out",
        )
    if blank.glue_joint != "plain" and not (blank.glue_joint_depth_mm and blank.glue_joint_thickness_mm):
        raise ValueRefusedError(
            "[blank] glue_joint",
            repr(blank.glue_joint),
            "it comes with glue_joint_depth_mm and glue_joint_thickness_mm",
            "say how far its middle lies below the top face, and how thick it is",
        )
    half_joint = 0.5 * blank.glue_joint_thickness_mm
    least, most = half_joint, blank.thickness_mm - half_joint
    if blank.glue_joint != "plain" and not least < blank.glue_joint_depth_mm < most:
        nearest = (
            f"give a glue_joint_depth_mm from {least:g} to {most:g}" if least < most else "make it thinner"
        )
        raise ValueRefusedError(
            "[blank] glue_joint_depth_mm",
            f"{blank.glue_joint_depth_mm:g} with glue_joint_thickness_mm {blank.glue_joint_thickness_mm:g}",
            f"the {blank.glue_joint} lies within the wood, thickness_mm {blank.thickness_mm:g}",
            nearest,
        )


def _check_gutter(blank: Blank) -> None:
    """Refuse a gutter that does not leave the floor, or a joint its own wood."""
    if blank.gutter_depth_mm <= 0.0:
        return
    if blank.gutter_depth_mm > 0.5 * blank.gutter_width_mm:
        raise ValueRefusedError(
            "[blank] gutter_depth_mm",
            f"{blank.gutter_depth_mm:g} with gutter_width_mm {blank.gutter_width_mm:g}",
            "a gouge cuts no deeper than half of its width",
            f"give gutter_depth_mm = {0.5 * blank.gutter_width_mm:g}, "
            f"or gutter_width_mm = {2 * blank.gutter_depth_mm:g}",
        )
    x, y = blank.grid_mm(GUTTER_STEP_MM)
    gutter = np.where(blank.inside_mm(x, y) > 0.0, blank.gutter_mm(x, y), 0.0)
    for number, joint in enumerate(blank.joints, start=1):
        over = gutter - replace(blank, joints=(joint,)).allowed_depth_mm(x, y)
        if over.max() > 0.0:
            row, column = np.unravel_index(np.argmax(over), over.shape)
            where = roughly(float(x[0, column]), float(y[row, 0]))
            raise ValueRefusedError(
                f"[[joint]] {number} ({joint.label})",
                f"{gutter[row, column] - over.max():.1f} mm left to cut {where}",
                f"the gutter is {gutter[row, column]:.1f} mm deep there",
                f"move joint or deck line {blank.gutter_width_mm:g} mm apart, or lower around_mm or gutter_depth_mm",
            )
    over = gutter - blank.allowed_depth_mm(x, y)
    if over.max() > 0.0:
        raise ValueRefusedError(
            "[blank] gutter_depth_mm",
            f"{blank.gutter_depth_mm:g}",
            "floor_mm stays under it, down to the under-bevel",
            f"give {max(blank.gutter_depth_mm - over.max(), 0.0):.4g} or less",
        )
