"""Joints, and the deck, where a hollow is wanted: refused, with the nearest place that would work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from seatmesh.body.body import Body
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.design.orders.wish_checks import depth_words
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.seating.place import seat_place_mm
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

DIRECTIONS = 16
FURTHEST_MOVE_MM = 300
"""How far off a place that would work is looked for."""


def check_joints(blank: Blank) -> None:
    """Refuse joints that lie beside the blank, or are to keep more wood than it has there.

    Raises
    ------
    ValueRefusedError
        It names the joint and the nearest that would work.
    """
    outline = shapely.Polygon(blank.polygon_mm())
    for number, joint in enumerate(blank.joints, start=1):
        _check_on_blank(number, joint, outline)
        _check_keep(number, joint, blank)


def check_sitter(body: Body, blank: Blank, wishes: Wishes) -> None:
    """Refuse joints under a sitter's deepest point, and a deck under the sit bones; raises as `check_joints`."""
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
