"""Joints, and the deck, where a hollow is wanted: refused, with the nearest place that would work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from seatmesh.body.body import Body
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.design.orders.wish_checks import depth_way
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.wished.wishes import Wishes
from seatmesh.refused import (
    Advice,
    Setting,
    at,
    bare,
    exactly,
    leave_out,
    less,
    mm,
    more,
    named_mm,
    of,
    said,
    word,
)
from seatmesh.seating.place import seat_place_mm
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

CLEAR_OF_DECK_MM = 2.0
"""How far behind the sit bones a deck that is advised ends."""
WITHIN_MM = 5.0
"""How far inside the outline a place that is advised lies."""
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
        less_deck = float(np.floor(blank.deck_mm + ahead - CLEAR_OF_DECK_MM))
        raise ValueRefusedError(
            at("blank.deck_mm"),
            said("{}", bare("blank.deck_mm", blank.deck_mm)),
            said(
                "the deck lies under the sit bones of '{}', {} from the rear edge and {} from the centre line",
                word(body.name),
                mm(bones_y, ".0f"),
                mm(x, ".0f"),
            ),
            Advice(
                (less("blank.deck_mm", less_deck),) if less_deck >= 0.0 else (),
                text=f"give a deck line {-ahead:.0f} mm farther back there, or let the sitter sit as much farther "
                "forward",
                more=said("let the sitter sit {} farther forward", mm(-ahead, ".0f")),
            ),
        )
    deepest_y = bones_y if wishes.deepest_y_mm is None else wishes.deepest_y_mm
    if float(blank.ahead_of_deck_mm(x, deepest_y)) <= 0.0:
        raise ValueRefusedError(
            at("wishes.deepest_y_mm"),
            said("{}", bare("wishes.deepest_y_mm", deepest_y)),
            said("it lies on the deck of {}", named_mm("deck_mm", blank.deck_mm)),
            Advice(
                (
                    leave_out("wishes.deepest_y_mm"),
                    more("wishes.deepest_y_mm", float(np.floor(blank.deck_mm)) + 1.0),
                ),
                text=f"give more than {blank.deck_mm:g}, or a deck_mm below {deepest_y:g}",
            ),
        )
    for number, joint in enumerate(blank.joints, start=1):
        _check_deepest(number, joint, (x, deepest_y), body, blank, wishes)


def _check_on_blank(number: int, joint: Joint, outline: shapely.Polygon) -> None:
    x, y = joint.at_mm
    if not outline.intersects(shapely.Point(x, y)):
        near = shapely.get_coordinates(shapely.shortest_line(outline, shapely.Point(x, y)))[0]
        inward = shapely.Point(*near)
        within = outline.buffer(-WITHIN_MM)
        x_in, y_in = shapely.get_coordinates(shapely.shortest_line(within, inward))[0]
        raise ValueRefusedError(
            at("joint", number, joint.label),
            "a place beside the blank",
            "inside the outline",
            Advice(
                _moved_to(number, joint, float(np.round(x_in)), float(np.round(y_in))),
                text=f"move it to x_mm {near[0]:.0f}, y_mm {near[1]:.0f} or farther in",
            ),
        )


def _check_keep(number: int, joint: Joint, blank: Blank) -> None:
    """Refuse a joint that is to keep more wood than even the uncut blank has there."""
    short = joint.short_of_mm(blank.wood())
    if joint.keep_mm is None or short <= 0.0:
        return
    keep = float(np.floor(10.0 * (joint.keep_mm - short)) / 10.0)
    ways = [exactly("joint.keep_mm", keep, number)] if keep >= 0.0 else []
    if joint.depth_mm is not None and joint.depth_mm > short + 1.0:
        ways.append(
            exactly("joint.depth_mm", float(np.floor(10.0 * (joint.depth_mm - short)) / 10.0), number)
        )
    given = bare("joint.keep_mm", joint.keep_mm)
    raise ValueRefusedError(
        at("joint.keep_mm", number, joint.label),
        said("{}", given)
        if joint.depth_mm is None
        else said("{} with {}", given, of("joint.depth_mm", joint.depth_mm, number)),
        said(
            "even uncut, the blank of {} has {} less there",
            of("blank.thickness_mm", blank.thickness_mm),
            mm(short, ".1f"),
        ),
        Advice(tuple(ways)) if ways else "give a thicker blank",
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
    ways = () if moved is None else _moved_to(number, joint, moved.at_mm[0] + 0.0, moved.at_mm[1])
    text = nearest
    if left >= 1.0:
        shallower = depth_way(float(np.floor(10.0 * left) / 10.0), wishes)
        text = f"{Advice((shallower,))}, or {nearest}"
        ways = (shallower, *ways)
    raise ValueRefusedError(
        at("joint", number, joint.label),
        said("leaves {} for the hollow", mm(left, ".1f")),
        said(
            "{} is wished at the deepest point of '{}', {} from the centre line and {} from the rear edge",
            of("wishes.depth_mm", wishes.depth_mm),
            word(body.name),
            mm(place[0], ".0f"),
            mm(place[1], ".0f"),
        ),
        Advice(ways, text=text, more="" if moved is not None else "leave the joint out"),
    )


def _moved_to(number: int, joint: Joint, x_mm: float, y_mm: float) -> tuple[tuple[Setting, ...], ...]:
    """Return the way to a joint elsewhere; none for a polygon, which has no place of its own."""
    if joint.kind == "polygon":
        return ()
    return ((*exactly("joint.x_mm", float(x_mm), number), *exactly("joint.y_mm", float(y_mm), number)),)


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
