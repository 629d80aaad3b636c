"""Orders whose wood contradicts itself, the wishes or the sitters: refused, with the nearest pair that would work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from seatmesh.body.body import Body
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.design.orders.order_wood import check_corner
from seatmesh.design.orders.wish_checks import depth_words
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wishes import Wishes
from seatmesh.front_roll import front_roll_depth
from seatmesh.seating.place import seat_place_mm
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

LEAST_EDGE_MM = 5.0
"""Wood left standing upright at the edge between round-over and under-bevel."""
DIRECTIONS = 16
FURTHEST_MOVE_MM = 300
"""How far off a place that would work is looked for."""
GUTTER_STEP_MM = 2.0


def check_blank(blank: Blank, wishes: Wishes) -> None:
    """Refuse a blank whose own parts, or front roll, leave no room for one another.

    Raises
    ------
    ValueRefusedError
        It names both values and the nearest that would work.
    """
    check_corner(blank)
    _check_deck(blank)
    _check_edge(blank, wishes)
    _check_glue(blank)
    outline = shapely.Polygon(blank.polygon_mm())
    for number, joint in enumerate(blank.joints, start=1):
        _check_on_blank(number, joint, outline)
        _check_keep(number, joint, blank)
    _check_gutter(blank)


def check_sitter(body: Body, blank: Blank, wishes: Wishes) -> None:
    """Refuse joints under a sitter's deepest point, and a deck under the sit bones; raises as `check_blank`."""
    seated = seat_body(body, Posture())
    _, bones_y = seat_place_mm(body, seated, blank)
    x = seated.anatomy.sit_bone_x
    ahead = float(blank.ahead_of_deck_mm(x, bones_y))
    if ahead <= 0.0:
        raise ValueRefusedError(
            "[blank] deck_mm",
            f"{blank.deck_mm:g}",
            f"the deck lies under the sit bones of '{body.name}', {bones_y:.0f} mm from the rear edge and {x:.0f} mm "
            "from the centre line",
            f"give a deck line {-ahead:.0f} mm farther back there, or let the sitter sit as much farther forward",
        )
    deepest_y = bones_y if wishes.deepest_y_mm is None else wishes.deepest_y_mm
    if float(blank.ahead_of_deck_mm(x, deepest_y)) <= 0.0:
        raise ValueRefusedError(
            "[wishes] deepest_y_mm",
            f"{deepest_y:g}",
            f"it lies on the deck of deck_mm {blank.deck_mm:g}",
            f"give more than {blank.deck_mm:g}, or a deck_mm below {deepest_y:g}",
        )
    for number, joint in enumerate(blank.joints, start=1):
        _check_deepest(number, joint, (x, deepest_y), body, blank, wishes)


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
    if blank.under_bevel_height_mm > left:
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
    x = np.arange(-0.5 * blank.width_mm, 0.5 * blank.width_mm, GUTTER_STEP_MM)[None, :]
    y = np.arange(0.0, blank.depth_mm, GUTTER_STEP_MM)[:, None]
    gutter = np.where(blank.inside_mm(x, y) > 0.0, blank.gutter_mm(x, y), 0.0)
    for number, joint in enumerate(blank.joints, start=1):
        over = gutter - replace(blank, joints=(joint,)).allowed_depth_mm(x, y)
        if over.max() > 0.0:
            row, column = np.unravel_index(np.argmax(over), over.shape)
            raise ValueRefusedError(
                f"[[joint]] {number} ({joint.label})",
                f"leaves {gutter[row, column] - over.max():.1f} mm at ({x[0, column]:.0f}, {y[row, 0]:.0f})",
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


def _check_on_blank(number: int, joint: Joint, outline: shapely.Polygon) -> None:
    x, y = joint.at_mm
    if not outline.intersects(shapely.Point(x, y)):
        near = shapely.get_coordinates(shapely.shortest_line(outline, shapely.Point(x, y)))[0]
        raise ValueRefusedError(
            f"[[joint]] {number} ({joint.label})",
            "a place beside the blank",
            "inside the outline",
            f"move it to x_mm {near[0]:.0f}, y_mm {near[1]:.0f} or farther in",
        )


def _check_keep(number: int, joint: Joint, blank: Blank) -> None:
    """Refuse a joint that is to keep more wood than even the uncut blank has there."""
    short = joint.short_of_mm(blank.wood())
    if joint.keep_mm is None or short <= 0.0:
        return
    less = np.floor(10.0 * (joint.keep_mm - short)) / 10.0
    ways = [f"keep_mm = {less:g}"] if less >= 0.0 else []
    if joint.depth_mm is not None and joint.depth_mm > short + 1.0:
        ways.append(f"depth_mm = {np.floor(10.0 * (joint.depth_mm - short)) / 10.0:g}")
    raise ValueRefusedError(
        f"[[joint]] {number} ({joint.label}) keep_mm",
        f"{joint.keep_mm:g}" + (f" with depth_mm {joint.depth_mm:g}" if joint.depth_mm is not None else ""),
        f"even uncut, the blank of thickness_mm {blank.thickness_mm:g} has {short:.1f} mm less there",
        f"give {', or '.join(ways)}" if ways else "give a thicker blank",
    )


def _check_deepest(
    number: int, joint: Joint, place: tuple[float, float], body: Body, blank: Blank, wishes: Wishes
) -> None:
    """Refuse a joint that keeps the hollow from being as deep as wished at the sitter's deepest point."""
    if _left(joint, place, blank) >= wishes.depth_mm:
        return
    left = _left(joint, place, blank)
    moved = _nearest_clear(joint, place, blank, wishes.depth_mm)
    nearest = (
        f"move the joint to x_mm = {moved.at_mm[0] + 0.0:.0f}, y_mm = {moved.at_mm[1]:.0f}"
        if moved is not None
        else "leave the joint out"
    )
    raise ValueRefusedError(
        f"[[joint]] {number} ({joint.label})",
        f"leaves {left:.1f} mm for the hollow",
        f"depth_mm {wishes.depth_mm:g} is wished at the deepest point of '{body.name}', {place[0]:.0f} mm from "
        f"the centre line and {place[1]:.0f} mm from the rear edge",
        f"give {depth_words(np.floor(10.0 * left) / 10.0, wishes)}, or {nearest}" if left >= 1.0 else nearest,
    )


def _nearest_clear(joint: Joint, place: tuple[float, float], blank: Blank, depth_mm: float) -> Joint | None:
    """Return the joint moved as little as lets a place be as deep as wished, to whole mm; None where nothing does."""
    outline = shapely.Polygon(blank.polygon_mm())
    x, y = joint.at_mm
    turns = np.arange(DIRECTIONS) * 2.0 * np.pi / DIRECTIONS
    for step in range(1, FURTHEST_MOVE_MM):
        for turn in turns:
            # Whole millimetres, as they are told.
            to = np.round([x + step * np.cos(turn), y + step * np.sin(turn)]) + 0.0
            if not outline.contains(shapely.Point(*to)):
                continue
            moved = _moved(joint, float(to[0] - x), float(to[1] - y))
            if _left(moved, place, blank) >= depth_mm:
                return moved
    return None


def _left(joint: Joint, place: tuple[float, float], blank: Blank) -> float:
    """Return the depth that a joint leaves at a place on either side."""
    alone = replace(blank, joints=(joint,))
    return float(alone.allowed_depth_mm(np.array([place[0], -place[0]]), np.array(place[1])).min())


def _moved(joint: Joint, dx: float, dy: float) -> Joint:
    points = tuple((x + dx, y + dy) for x, y in joint.points_mm)
    return replace(joint, x_mm=joint.x_mm + dx, y_mm=joint.y_mm + dy, points_mm=points)
