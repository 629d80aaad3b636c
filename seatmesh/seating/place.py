"""Where a sitter sits on a blank, and the marks that this leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.body import Z90, Body
from seatmesh.body.figure.anatomy import BUTTOCK_BEHIND_PER_HIP_BREADTH, Anatomy
from seatmesh.body.figure.marked_places import MarkedPlace, Side
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import SeatedBody, seat_body
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.wood.blank import Blank

BUTTOCKS_OVER_DECK_MM = 15.0
"""How far the back of the buttocks reaches over the deck, under a leaning back rest; common practice."""
LEAST_FROM_REAR_EDGE_MM = 10.0
PLACE_ERROR_MM = 6.0
"""Standard error of where along the seat a person sits down; from memory."""
PART_ERROR = 0.08
"""Standard error of a proportion of the body that is not measured, over its length; from memory."""
TOUCHING = 0.65
"""Half-width of a thigh that rests on a flat board, over the thigh's own; from the project's own contact maps."""
TOUCHING_ERROR = 0.08
"""Standard error of that share: 8 mm at a half-width of 100 mm; from memory."""
HIP_END_ERROR_MM = 3.0
"""How far a hip end lies from half of the hip breadth, clothes and pressing apart; from memory."""
TAILBONE_ERRORS_MM = (3.0, 8.0)
"""Standard error across and along of where the spine ends, seen from the sit bones; from memory."""
THIGH_LINE_FROM_HIP_MM = 60.0
THIGH_LINE_TO_KNEE_MM = 40.0
LEAST_FROM_MIDDLE_MM = 2.0

Point = tuple[float, float]
Key = tuple[str, Side]


@dataclass(frozen=True)
class Lie:
    """All that decides where the marks of an upright sitter lie on a blank; mm and radians.

    Attributes
    ----------
    hip_y, tailbone_y
        Hip joints and tip of the tailbone, ahead of the tips of the sit bones.
    at
        Where the middle between the sit bones lies: x, y in the frame of the blank.
    splays
        How far the left and the right thigh points outward.
    turn
        How far the sitter as a whole is turned to the right.
    touching
        See `TOUCHING`.
    """

    anatomy: Anatomy
    hip_y: float
    tailbone_y: float
    at: Point
    splays: tuple[float, float]
    turn: float = 0.0
    touching: float = TOUCHING


def usual_back_mm(blank: Blank) -> float:
    """Return how far from the rear edge the back of the buttocks usually lies."""
    return max(blank.deck_mm - BUTTOCKS_OVER_DECK_MM, LEAST_FROM_REAR_EDGE_MM)


def seat_place_mm(body: Body, seated: SeatedBody, blank: Blank) -> tuple[float, float]:
    """Return where the middle between the sit bones comes to lie: x, y in the frame of the blank."""
    return body.habit.across_mm, usual_back_mm(blank) - seated.anatomy.buttock_back + body.habit.forward_mm


def places_of(bodies: ManyBodies, seated: SeatedBody, blank: Blank) -> tuple[Floats, Floats]:
    """Return the same of many bodies, seated as one: x and y, shapes (bodies, 1)."""
    forward = bodies.column("forward_mm")
    return bodies.column("across_mm"), usual_back_mm(blank) - seated.anatomy.buttock_back + forward


def places(body: Body, blank: Blank, along_error_mm: float | None = None) -> tuple[MarkedPlace, ...]:
    """Return the marks of a sitter on the blank, upright, each with its 90 % band.

    `along_error_mm` is the standard error of how far forward the sit bones lie, where marks have told; None is the
    usual one.
    """
    seated = seat_body(body, Posture())
    splay = float(np.radians(body.habit.splay_deg))
    at = seat_place_mm(body, seated, blank)
    lie = Lie(seated.anatomy, seated.hip[1], seated.tailbone_tip[1], at, (splay, splay))
    bands = _bands(body, seated.anatomy, along_error_mm)
    return tuple(
        MarkedPlace(name, side, points, *bands[name]) for (name, side), points in marks_of(lie).items()
    )


def marks_of(lie: Lie) -> dict[Key, tuple[Point, ...]]:
    """Return the marks of a sitter on the blank, by name and side: one point for a mark, two for a line.

    The middle comes first, then all of the left, then all of the right.
    """
    own: dict[Key, tuple[Point, ...]] = {("end of the spine", "middle"): ((0.0, lie.tailbone_y),)}
    own |= _side(lie, "left", -1.0, lie.splays[0])
    own |= _side(lie, "right", 1.0, lie.splays[1])
    cos, sin = float(np.cos(lie.turn)), float(np.sin(lie.turn))
    x, y = lie.at
    return {
        key: tuple(
            (x + across * cos + along * sin, y + along * cos - across * sin) for across, along in points
        )
        for key, points in own.items()
    }


def _side(lie: Lie, side: Side, sign: float, splay: float) -> dict[Key, tuple[Point, ...]]:
    """Return the marks of one side in the sitter's own frame: origin midway between the sit bones."""
    anatomy, hip = lie.anatomy, lie.hip_y
    length = anatomy.knee_back - hip
    knee = (anatomy.thigh_x + length * float(np.sin(splay)), hip + length * float(np.cos(splay)))
    span = (hip + THIGH_LINE_FROM_HIP_MM, knee[1] - THIGH_LINE_TO_KNEE_MM)
    inner, outer = (_thigh_line(lie, sign, edge, span, knee) for edge in (-1.0, 1.0))
    half = anatomy.thigh_half_widths[1]
    return {
        ("hip end", side): ((sign * anatomy.hip_half_breadth, 0.0),),
        ("sit bone", side): ((sign * anatomy.sit_bone_x, 0.0),),
        ("inner thigh line", side): inner,
        ("outer thigh line", side): outer,
        ("knee-back line", side): ((sign * (knee[0] - half), knee[1]), (sign * (knee[0] + half), knee[1])),
    }


def _thigh_line(lie: Lie, sign: float, edge: float, span: Point, knee: Point) -> tuple[Point, Point]:
    """Return the inner (-1) or outer (+1) edge of a thigh where it rests on the seat."""
    widths = lie.anatomy.thigh_half_widths

    def point(along: float) -> Point:
        share = (along - lie.hip_y) / (knee[1] - lie.hip_y)
        axis = lie.anatomy.thigh_x + share * (knee[0] - lie.anatomy.thigh_x)
        half = widths[0] + share * (widths[1] - widths[0])
        return sign * max(axis + edge * lie.touching * half, LEAST_FROM_MIDDLE_MM), along

    return point(span[0]), point(span[1])


def _bands(body: Body, anatomy: Anatomy, along_error_mm: float | None) -> dict[str, tuple[float, float]]:
    """Return the half-widths of the 90 % intervals across and along of each mark."""
    error = {name: measure.standard_error for name, measure in body.measures.items()}
    girth = _band(error["thigh_circumference_mm"] / (2.0 * np.pi), 100.0 * TOUCHING_ERROR)
    place = PLACE_ERROR_MM if along_error_mm is None else along_error_mm
    part = PART_ERROR * anatomy.buttock_back if along_error_mm is None else 0.0
    middle = _band(place, part)
    reach = _band(place, error["buttock_popliteal_length_mm"])
    return {
        "end of the spine": (_band(TAILBONE_ERRORS_MM[0]), _band(place, TAILBONE_ERRORS_MM[1])),
        "hip end": (_band(0.5 * error["hip_breadth_sitting_mm"], HIP_END_ERROR_MM), middle),
        "sit bone": (_band(0.5 * error["sit_bone_spacing_mm"]), middle),
        "inner thigh line": (girth, middle),
        "outer thigh line": (girth, middle),
        "knee-back line": (girth, reach),
    }


def _band(*errors: float) -> float:
    return float(Z90 * np.hypot.reduce(np.asarray(errors, dtype=float)))


__all__ = ["BUTTOCK_BEHIND_PER_HIP_BREADTH", "Lie", "marks_of", "places", "seat_place_mm", "usual_back_mm"]
