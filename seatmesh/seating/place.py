"""Where a sitter sits on a blank, and the marks that this leaves."""

from __future__ import annotations

import numpy as np

from seatmesh.blank import Blank
from seatmesh.body.anatomy import BUTTOCK_BEHIND_PER_HIP_BREADTH
from seatmesh.body.body import Z90, Body
from seatmesh.body.places import Place, Side
from seatmesh.body.posture import Posture
from seatmesh.body.seated import SeatedBody, seat_body

BUTTOCKS_OVER_DECK_MM = 15.0
"""How far the back of the buttocks reaches over the deck, under a leaning back rest; common practice."""
LEAST_FROM_REAR_EDGE_MM = 10.0
PLACE_ERROR_MM = 6.0
"""Standard error of where along the seat a person sits down; from memory."""
PART_ERROR = 0.08
"""Standard error of a proportion of the body that is not measured, over its length; from memory."""


def seat_place_mm(body: Body, seated: SeatedBody, blank: Blank) -> tuple[float, float]:
    """Return where the middle between the sit bones comes to lie: x, y in the frame of the blank."""
    back = max(blank.deck_mm - BUTTOCKS_OVER_DECK_MM, LEAST_FROM_REAR_EDGE_MM)
    return 0.0, back - seated.anatomy.buttock_back + body.habit.forward_mm


def places(body: Body, blank: Blank) -> tuple[Place, ...]:
    """Return the marks of a sitter on the blank, upright, each with its 90 % band."""
    seated = seat_body(body, Posture())
    _, y = seat_place_mm(body, seated, blank)
    middle = _band(PLACE_ERROR_MM, PART_ERROR * seated.anatomy.buttock_back)
    tail_y = y + seated.tailbone_tip[1]
    out = [Place("end of the spine", "middle", ((0.0, tail_y),), _band(3.0), _band(PLACE_ERROR_MM, 8.0))]
    for side, sign in (("left", -1.0), ("right", 1.0)):
        out.extend(_side(body, seated, "left" if side == "left" else "right", sign, y, middle))
    return tuple(out)


def _side(body: Body, seated: SeatedBody, side: Side, sign: float, y: float, band_y: float) -> list[Place]:
    anatomy, measures = seated.anatomy, body.measures
    hip = _band(0.5 * measures["hip_breadth_sitting_mm"].standard_error, 3.0)
    bone = _band(0.5 * measures["sit_bone_spacing_mm"].standard_error)
    girth = _band(measures["thigh_circumference_mm"].standard_error / (2.0 * np.pi), 8.0)
    reach = measures["buttock_popliteal_length_mm"].standard_error
    knee_y = y + seated.knee_back_y
    near, far = y + seated.hip[1] + 60.0, knee_y - 40.0
    inner, outer = (_thigh_line(seated, sign, edge, (near - y, far - y), y) for edge in (-1.0, 1.0))
    half = anatomy.thigh_half_widths[1]
    knee = ((sign * (seated.knee_x - half), knee_y), (sign * (seated.knee_x + half), knee_y))
    hip_end = (sign * anatomy.hip_half_breadth, y)
    return [
        Place("hip end", side, (hip_end,), hip, band_y),
        Place("sit bone", side, ((sign * anatomy.sit_bone_x, y),), bone, band_y),
        Place("inner thigh line", side, inner, girth, band_y),
        Place("outer thigh line", side, outer, girth, band_y),
        Place("knee-back line", side, knee, girth, _band(PLACE_ERROR_MM, reach)),
    ]


def _thigh_line(
    seated: SeatedBody, sign: float, edge: float, span: tuple[float, float], y: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the inner (-1) or outer (+1) edge of a thigh where it rests on the seat."""
    anatomy = seated.anatomy
    points = []
    for along in span:
        share = (along - seated.hip[1]) / (seated.knee_back_y - seated.hip[1])
        axis = anatomy.thigh_x + share * (seated.knee_x - anatomy.thigh_x)
        half = anatomy.thigh_half_widths[0] + share * (
            anatomy.thigh_half_widths[1] - anatomy.thigh_half_widths[0]
        )
        points.append((sign * max(axis + edge * TOUCHING * half, 2.0), y + along))
    return points[0], points[1]


TOUCHING = 0.65
"""Half-width of a thigh that rests on a flat board, over the thigh's own; from the project's own contact maps."""


def _band(*errors: float) -> float:
    return float(Z90 * np.hypot.reduce(np.asarray(errors, dtype=float))) if errors else 0.0


__all__ = ["BUTTOCK_BEHIND_PER_HIP_BREADTH", "places", "seat_place_mm"]
