"""Orders whose wood contradicts itself or the wishes: refused, with the nearest pair that would work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seatmesh.design.orders.joint_checks import check_joints
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.front_roll import front_roll_depth
from seatmesh.place_words import roughly
from seatmesh.refused import Advice, Piece, Said, at, bare, exactly, leave_out, less, mm, of, said
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import TAPERED_CORNER_SHARE, greatest_corner_radius_mm

LEAST_EDGE_MM = 5.0
"""Wood left standing upright at the edge between round-over and under-bevel."""
GUTTER_STEP_MM = 2.0
ROUNDED_MM = 1e-9
"""A value advised in a refusal is taken, however it was rounded."""
USUAL_GLUE_JOINT_MM = 8.0
"""A dowel or tongue of usual thickness (common practice, from memory)."""
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
            at("blank.corner_radius_mm"),
            said("{}", bare("blank.corner_radius_mm", blank.corner_radius_mm)),
            said(
                f"at most {SHARE_WORDS['taper' in blank.outline]} of the lesser of {{}} and {{}}",
                _bare_mm(blank.width_mm),
                mm(blank.depth_mm),
            ),
            Advice((less("blank.corner_radius_mm", most),), text=f"give {most:g} or less"),
        )


def _check_deck(blank: Blank) -> None:
    given = said("{}", bare("blank.deck_mm", blank.deck_mm))
    if blank.deck_mm > 0.5 * blank.depth_mm:
        raise ValueRefusedError(
            at("blank.deck_mm"),
            given,
            said("at most half of the blank's depth of {}", mm(blank.depth_mm)),
            Advice(
                (less("blank.deck_mm", 0.5 * blank.depth_mm),), text=f"give {0.5 * blank.depth_mm:g} or less"
            ),
        )
    if blank.deck_line == "offset" and blank.deck_mm > 0.25 * blank.width_mm:
        raise ValueRefusedError(
            at("blank.deck_mm"),
            given,
            said("along the outline at most a quarter of the blank's width of {}", mm(blank.width_mm)),
            Advice(
                (less("blank.deck_mm", 0.25 * blank.width_mm),),
                text=f"give {0.25 * blank.width_mm:g} or less",
            ),
        )
    _check_bow(blank)


def _check_bow(blank: Blank) -> None:
    bow = said("{}", bare("blank.deck_bow_mm", blank.deck_bow_mm))
    line = said(
        "{} is {}",
        of("blank.deck_line"),
        Piece(at("blank.deck_line"), blank.deck_line, form="bare", text=f'"{blank.deck_line}"'),
    )
    if blank.deck_line == "bowed" and blank.deck_mm + blank.deck_bow_mm > 0.75 * blank.depth_mm:
        most = 0.75 * blank.depth_mm - blank.deck_mm
        raise ValueRefusedError(
            at("blank.deck_bow_mm"),
            bow,
            said(
                "{} and it are together at most three quarters of the blank's depth",
                of("blank.deck_mm", blank.deck_mm),
            ),
            Advice((less("blank.deck_bow_mm", most),), text=f"give {most:g} or less"),
        )
    if blank.deck_bow_mm and blank.deck_line != "bowed":
        raise ValueRefusedError(
            at("blank.deck_bow_mm"),
            bow,
            line,
            Advice(
                (leave_out("blank.deck_bow_mm"), exactly("blank.deck_line", "bowed")),
                text='leave it out, or give deck_line = "bowed"',
            ),
        )
    if blank.deck_reach_mm is not None and blank.deck_line != "offset":
        raise ValueRefusedError(
            at("blank.deck_reach_mm"),
            said("{}", bare("blank.deck_reach_mm", blank.deck_reach_mm)),
            line,
            Advice(
                (leave_out("blank.deck_reach_mm"), exactly("blank.deck_line", "offset")),
                text='leave it out, or give deck_line = "offset"',
            ),
        )


def _bare_mm(value: float) -> Piece:
    """Return a length whose unit the message says with the next one."""
    return Piece(None, value, "mm", text=f"{value:g}")


def _check_edge(blank: Blank, wishes: Wishes) -> None:
    width, height = blank.under_bevel_width_mm, blank.under_bevel_height_mm
    if (width > 0.0) != (height > 0.0):
        missing = "blank.under_bevel_width_mm" if width <= 0.0 else "blank.under_bevel_height_mm"
        raise ValueRefusedError(
            at(missing),
            _with("blank.under_bevel_width_mm", width, "blank.under_bevel_height_mm", height)
            if width <= 0.0
            else _with("blank.under_bevel_height_mm", height, "blank.under_bevel_width_mm", width),
            "both above 0, or neither",
            Advice(
                (
                    exactly(missing, max(width, height)),
                    exactly(
                        "blank.under_bevel_height_mm" if width <= 0.0 else "blank.under_bevel_width_mm", 0.0
                    ),
                ),
                text="give the other one",
            ),
        )
    room = blank.thickness_mm - LEAST_EDGE_MM
    if blank.round_over_mm + height > room:
        raise ValueRefusedError(
            at("blank.round_over_mm"),
            _with("blank.round_over_mm", blank.round_over_mm, "blank.under_bevel_height_mm", height),
            said(
                "together at most {} less {} of edge",
                of("blank.thickness_mm", blank.thickness_mm),
                mm(LEAST_EDGE_MM),
            ),
            Advice(
                (
                    exactly("blank.round_over_mm", max(room - height, 0.0)),
                    *(
                        (exactly("blank.under_bevel_height_mm", max(room - blank.round_over_mm, 0.0)),)
                        if height > 0.0
                        else ()
                    ),
                )
            ),
        )
    if not blank.has_bevel:
        return
    fall = float(front_roll_depth(np.zeros(()), wishes.front_roll_mm))
    left = blank.greatest_depth_mm - fall
    if height > left + ROUNDED_MM:
        share = (blank.greatest_depth_mm - height) / fall if fall > 0.0 else -1.0
        ways = [exactly("blank.under_bevel_height_mm", float(f"{max(left, 0.0):.4g}"))]
        if share >= 0.0:
            ways.append(exactly("wishes.front_roll_mm", float(f"{wishes.front_roll_mm * share:.4g}")))
        raise ValueRefusedError(
            at("blank.under_bevel_height_mm"),
            _with("blank.under_bevel_height_mm", height, "wishes.front_roll_mm", wishes.front_roll_mm),
            said(
                "{} stays under the roll, which falls {} at the front edge",
                of("blank.floor_mm", blank.floor_mm),
                mm(fall, ".1f"),
            ),
            Advice(tuple(ways)),
        )


def _with(path: str, value: float, other: str, other_value: float) -> Said:
    """Return the value of a key together with that of another: "8 with gutter_width_mm 10"."""
    return said("{} with {}", bare(path, value), of(other, other_value))


def _check_glue(blank: Blank) -> None:
    half = 0.5 * blank.width_mm
    for x in blank.glue_lines_mm:
        if abs(x) >= half:
            raise ValueRefusedError(
                at("blank.glue_lines_mm"),
                said("{}", bare("blank.glue_lines_mm", x)),
                said("between {} and {}", _bare_mm(-half), _bare_mm(half)),
                "measure from the centre line",
            )
    if blank.glue_lines_mm and blank.boards not in (1, len(blank.glue_lines_mm) + 1):
        raise ValueRefusedError(
            at("blank.boards"),
            f"{blank.boards} with {len(blank.glue_lines_mm)} glue lines",
            f"{len(blank.glue_lines_mm) + 1} boards have as many",
            Advice(
                (leave_out("blank.boards"), leave_out("blank.glue_lines_mm")),
                text="leave one of the two out",
            ),
        )
    _check_glue_joint(blank)


def _check_glue_joint(blank: Blank) -> None:
    if blank.glue_joint == "plain":
        return
    depth, thickness = blank.glue_joint_depth_mm, blank.glue_joint_thickness_mm
    if not (depth and thickness):
        usual = (
            *exactly("blank.glue_joint_depth_mm", depth or 0.5 * blank.thickness_mm),
            *exactly("blank.glue_joint_thickness_mm", thickness or USUAL_GLUE_JOINT_MM),
        )
        raise ValueRefusedError(
            at("blank.glue_joint"),
            said(
                "{}",
                Piece(at("blank.glue_joint"), blank.glue_joint, form="bare", text=repr(blank.glue_joint)),
            ),
            said(
                "it comes with {} and {}",
                of("blank.glue_joint_depth_mm"),
                of("blank.glue_joint_thickness_mm"),
            ),
            Advice(
                (usual, exactly("blank.glue_joint", "plain")),
                text="say how far its middle lies below the top face, and how thick it is",
            ),
        )
    least, most = 0.5 * thickness, blank.thickness_mm - 0.5 * thickness
    if least < depth < most:
        return
    middle = exactly("blank.glue_joint_depth_mm", 0.5 * (least + most))
    raise ValueRefusedError(
        at("blank.glue_joint_depth_mm"),
        _with("blank.glue_joint_depth_mm", depth, "blank.glue_joint_thickness_mm", thickness),
        said(
            f"the {blank.glue_joint} lies within the wood, {{}}", of("blank.thickness_mm", blank.thickness_mm)
        ),
        Advice((middle,), text=f"give a glue_joint_depth_mm from {least:g} to {most:g}")
        if least < most
        else "make it thinner",
    )


def _check_gutter(blank: Blank) -> None:
    """Refuse a gutter that does not leave the floor, or a joint its own wood."""
    if blank.gutter_depth_mm <= 0.0:
        return
    if blank.gutter_depth_mm > 0.5 * blank.gutter_width_mm:
        raise ValueRefusedError(
            at("blank.gutter_depth_mm"),
            _with(
                "blank.gutter_depth_mm", blank.gutter_depth_mm, "blank.gutter_width_mm", blank.gutter_width_mm
            ),
            "a gouge cuts no deeper than half of its width",
            Advice(
                (
                    exactly("blank.gutter_depth_mm", 0.5 * blank.gutter_width_mm),
                    exactly("blank.gutter_width_mm", 2 * blank.gutter_depth_mm),
                )
            ),
        )
    x, y = blank.grid_mm(GUTTER_STEP_MM)
    gutter = np.where(blank.inside_mm(x, y) > 0.0, blank.gutter_mm(x, y), 0.0)
    for number, joint in enumerate(blank.joints, start=1):
        over = gutter - replace(blank, joints=(joint,)).allowed_depth_mm(x, y)
        if over.max() > 0.0:
            row, column = np.unravel_index(np.argmax(over), over.shape)
            where = roughly(float(x[0, column]), float(y[row, 0]))
            left = float(gutter[row, column] - over.max())
            shallower = float(np.floor(10.0 * left) / 10.0)
            raise ValueRefusedError(
                at("joint", number, joint.label),
                said(f"{{}} left to cut {where}", mm(left, ".1f")),
                said("the gutter is {} deep there", mm(float(gutter[row, column]), ".1f")),
                Advice(
                    (exactly("blank.gutter_depth_mm", shallower),) if shallower >= 0.0 else (),
                    text=f"move joint or deck line {blank.gutter_width_mm:g} mm apart, or lower around_mm or "
                    "gutter_depth_mm",
                    more=said("move joint or deck line {} apart", mm(blank.gutter_width_mm)),
                ),
            )
    over = gutter - blank.allowed_depth_mm(x, y)
    if over.max() > 0.0:
        most = float(np.floor(1000.0 * max(blank.gutter_depth_mm - over.max(), 0.0)) / 1000.0)
        raise ValueRefusedError(
            at("blank.gutter_depth_mm"),
            said("{}", bare("blank.gutter_depth_mm", blank.gutter_depth_mm)),
            said("{} stays under it, down to the under-bevel", of("blank.floor_mm")),
            Advice((less("blank.gutter_depth_mm", most),), text=f"give {most:.4g} or less"),
        )
