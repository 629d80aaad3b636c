"""Notes about the wood of a seat: glue lines under pommel or deepest point, what they hold, depth held back."""

from __future__ import annotations

import numpy as np

from seatmesh.design.orders.joint_overlap import overlapping
from seatmesh.design.orders.keys.built import Built
from seatmesh.fit.bounded.bounds import held_back_mm
from seatmesh.fit.bounded.cost_of_bounds import HeldBack
from seatmesh.fit.hollow import deepest, deepest_place
from seatmesh.place_words import ON_CENTRE_MM, aside, place
from seatmesh.solution import CONVERGED
from seatmesh.surface import Seat
from seatmesh.units import format_length, format_no_less
from seatmesh.wood.boards.wood_wishes import GLUE_CLEAR_MM
from seatmesh.wood.joint import MORTISES
from seatmesh.woodwork.glue_lines import beside_pommel, through_mortises

UNDER_MM = 10.0
"""A glue line this near to a place lies under it."""
POMMEL_SHOWS_MM = 2.0
"""A ridge lower than this is no pommel."""
POMMEL_WITHIN_MM = 160.0
"""The leg hollows beside a pommel are looked for this far from the centre line."""
TONGUE_REACH_MM = 12.0
"""How far a usual dowel or loose tongue reaches into each board (common practice, from memory)."""
CLOSE_MM = 5.0
"""Wood left above a dowel or tongue that is worth a note: less shows through, or splits off under the scraper."""
STEP_MM = 2.0
TOLD_MM = 0.5
"""Depth that careful bounds may cost before it is worth a note."""


def wood_notes(seat: Seat, clear_mm: float = GLUE_CLEAR_MM) -> list[str]:
    """Return notes about joints and glue lines, and about depth that the bounds cost at the deepest point.

    `clear_mm` is how far from the pommel's crest a glue line should stay that does not lie under it.
    """
    out = _short_joints(seat) + _edge_joints(seat) + _joints_together(seat) + through_mortises(seat)
    lowest = deepest_place(seat)
    if lowest[2] <= 0.0:
        return out
    for x in seat.blank.glue_lines():
        out += _under(seat, x, lowest, clear_mm)
        out += _close(seat, x)
    if pommel_mm(seat) > POMMEL_SHOWS_MM:
        out += beside_pommel(seat, clear_mm, UNDER_MM)
    if seat.hollow is None:
        return out
    x, y, depth = deepest(seat.hollow)
    cost = held_back_mm(seat, x, y)["held_back_mm"]
    if cost > TOLD_MM and depth > seat.blank.greatest_depth_mm - cost - TOLD_MM:
        out.append(
            f"at its deepest the hollow is {format_length(cost, seat.units)} shallower than the wood allows, because "
            "it leaves a little more wood than it must beside joints and bevel"
        )
    return out


def built_notes(built: Built, seat: Seat) -> list[str]:
    """Say how this seat lies against what was gauged on the one built before; nothing where nothing was."""
    if not built.readings_mm:
        return []
    x, y, depth = np.array(built.readings_mm).T
    off = seat.depth_mm(x, y) - depth
    worst = int(np.argmax(np.abs(off)))
    deeper = "deeper" if off[worst] > 0.0 else "shallower"
    name = f"'{built.title}' " if built.title else ""
    return [
        f"against {len(off)} depths gauged on the seat {name}as it was built, this one is on average "
        f"{format_length(abs(float(off.mean())), seat.units)} {'deeper' if off.mean() > 0.0 else 'shallower'}, and "
        f"{format_length(abs(float(off[worst])), seat.units)} {deeper} at most, "
        f"{place(float(x[worst]), float(y[worst]), seat.units, decimals=0)}"
    ]


def held_back_notes(cost: HeldBack, units: str) -> list[str]:
    """Say how much depth careful bounds cost beside joints, bevel and deck line at the most, and where."""
    if cost.verdict != CONVERGED:
        return [
            f"how much depth careful bounds cost beside joints, bevel and deck line is not known: {cost.verdict}"
        ]
    if cost.depth_mm <= TOLD_MM:
        return []
    return [
        f"{place(cost.x_mm, cost.y_mm, units, 'both')}, the hollow is {format_length(cost.depth_mm, units)} shallower "
        "than the wood alone asks for, the most that it loses anywhere: beside joints, bevel and deck line a little "
        "more wood stays than must, so that none is missing in between"
    ]


def _short_joints(seat: Seat) -> list[str]:
    """Note joints over which even the uncut blank has less wood than the floor that they keep unless told."""
    out = []
    for number, joint in enumerate(seat.blank.joints, start=1):
        short = joint.short_of_mm(seat.blank.wood())
        if short > 0.0:
            floor, missing = (format_length(mm, seat.units) for mm in (seat.blank.floor_mm, short))
            out.append(
                f"joint {number} ({joint.said(seat.units)}): uncut, the blank has {missing} less over it than the "
                f"floor of {floor}, so nothing is carved there; drill it less deep, or say keep_mm"
            )
    return out


def _edge_joints(seat: Seat) -> list[str]:
    """Note mortises that come nearer to the edge of the blank than the wood that must stay round them."""
    out = []
    for number, joint in enumerate(seat.blank.joints, start=1):
        if joint.kind not in MORTISES:
            continue
        left = float(seat.blank.inside_mm(*joint.at_mm)) - 0.5 * joint.diameter_mm
        if left >= joint.around_mm:
            continue
        around = format_length(joint.around_mm, seat.units)
        words = f"leaves {format_length(left, seat.units)} to" if left > 0.0 else "breaks out of"
        out.append(
            f"joint {number} ({joint.said(seat.units)}) {words} the edge of the blank, where {around} must stay "
            "round it; move it inward, or say around_mm"
        )
    return out


def _joints_together(seat: Seat) -> list[str]:
    """Note mortises that run into each other."""
    return [
        f"joint {one.number} ({one.joint.said(seat.units)}) runs into "
        + (
            "its mirror image; say side = 'one'"
            if one.number == other.number
            else f"joint {other.number} ({other.joint.said(seat.units)})"
        )
        + ": move one, drill it less deep, or lean it another way"
        for one, other in overlapping(seat.blank)
    ]


def _under(seat: Seat, x: float, lowest: tuple[float, float, float], clear_mm: float) -> list[str]:
    """Note a glue line under the deepest point of either side, or under the pommel."""
    where, out = aside(x, seat.units), []
    if abs(abs(x) - abs(lowest[0])) <= UNDER_MM:
        out.append(f"the glue line {where} lies under the deepest point; move it or choose other boards")
    if abs(x) <= UNDER_MM and pommel_mm(seat) > POMMEL_SHOWS_MM:
        todo = "choose boards alike in colour and figure"
        if abs(x) >= ON_CENTRE_MM:
            todo = "put it on the centre line"
        clear = format_no_less(clear_mm, seat.units)
        out.append(
            f"the glue line {where} lies under the pommel, where it shows: {todo}, or keep it {clear} or more from the "
            "crest"
        )
    return out


def pommel_mm(seat: Seat) -> float:
    """Return the greatest height of the ridge on the centre line above the leg hollows beside it, ahead of the middle.

    The front roll lies alike on both and is no part of it.
    """
    y = np.arange(0.5 * seat.blank.depth_mm, seat.blank.depth_mm, STEP_MM)
    x = np.arange(0.0, POMMEL_WITHIN_MM + STEP_MM, STEP_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    # Ahead of a round front the surface goes on as a formula, and there is no wood.
    beside = np.where(seat.blank.inside_mm(x[None, :], y[:, None]) >= 0.0, depth, depth[:, :1])
    return float((beside.max(axis=1) - depth[:, 0]).max())


def _close(seat: Seat, x: float) -> list[str]:
    """Note a dowel or loose tongue that the surface comes close to, or cuts into."""
    blank = seat.blank
    if blank.glue_joint == "plain":
        return []
    top = blank.glue_joint_depth_mm - 0.5 * blank.glue_joint_thickness_mm
    across = x + np.array([-TONGUE_REACH_MM, 0.0, TONGUE_REACH_MM])
    y = blank.grid_mm(STEP_MM)[1].ravel()
    wood = blank.inside_mm(across[None, :], y[:, None]) > 0.0
    left = np.where(wood, top - seat.depth_mm(across[None, :], y[:, None]), np.inf)
    least = float(left.min())
    if least >= CLOSE_MM:
        return []
    at = float(y[int(np.argmin(left.min(axis=1)))])
    words = f"leaves {format_length(least, seat.units)} above" if least > 0.0 else "cuts into"
    return [
        f"along the glue line {aside(x, seat.units)} the surface {words} the {blank.glue_joint}, "
        f"{format_length(at, seat.units)} from the rear edge; set it lower, or leave it out there"
    ]
