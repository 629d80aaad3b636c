"""Contours of pressure of twenty bodies run without corners, wherever the body's own folds have none.

A corner turns a contour within no length at all: over a window of 3 mm it shows as a curvature of about its angle over
1.5 mm, and a step as more. Radii of the body's own shapes are from memory of anatomy: the tip of a sit bone is rounded
by some 15 mm (B12), and nothing under it is sharper. In the fold between the two sides and round the end of the spine
lines do turn closely.
"""

from __future__ import annotations

import numpy as np
import pytest
from contourpy import LineType, contour_generator
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from seatmesh import Seat, estimate_body, flat_seat
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.tissue import TISSUE, TissueBed

Floats = NDArray[np.float64]

PEOPLE = (
    ("male", 1740, 69), ("male", 1780, 57), ("male", 1850, 62), ("male", 1660, 64), ("male", 1800, 88),
    ("male", 1780, 95), ("male", 1740, 112), ("male", 1700, 104), ("male", 1760, 80), ("male", 1920, 78),
    ("female", 1610, 57), ("female", 1620, 48), ("female", 1750, 61), ("female", 1560, 62), ("female", 1740, 72),
    ("female", 1680, 82), ("female", 1640, 85), ("female", 1610, 98), ("female", 1660, 66), ("female", 1580, 51),
)  # fmt: skip
"""Sex, stature in mm and mass in kg: BMI 18 to 38."""
LEVELS_KPA = (0.0, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0)
FINE_MM, WINDOW_MM, STEP_MM = 0.5, 3.0, 0.25
SURE_PER_MM = 0.02
"""Where pressure changes by a smaller share a mm, at tops and saddles, a line may turn as it likes."""
FOLD_MM, SPINE_MM = 8.0, (30.0, -25.0)
"""Half-width of the fold, and of the place round the end of the spine, behind its y."""
SHARPEST_PER_MM, SHARPEST_IN_FOLDS_PER_MM = 0.3, 1.0
"""Radii of 3.3 and 1 mm."""


def bowl(x: Floats, y: Floats) -> Floats:
    """Return the depth of a smooth hollow that ends ahead of the deck, so that the seat has no edge under the body."""
    out = (np.asarray(x) / 195.0) ** 2 + ((np.asarray(y) - 190.0) / 125.0) ** 2
    return np.asarray(14.0 * np.maximum(1.0 - out, 0.0) ** 3)


SEATS = {"flat": flat_seat(), "bowl": Seat(hollow=bowl)}  # type: ignore[arg-type]


def curvatures(line: Floats) -> tuple[Floats, Floats]:
    """Return places on a line, a step apart, and its curvature there over a window."""
    run = np.r_[0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T))]
    if run[-1] < 3.0 * WINDOW_MM:
        return np.empty((0, 2)), np.empty(0)
    even = np.linspace(0.0, run[-1], int(run[-1] / STEP_MM) + 1)
    points = np.stack([np.interp(even, run, line[:, k]) for k in (0, 1)], axis=1)
    half = round(0.5 * WINDOW_MM / STEP_MM)
    before, after = points[half:-half] - points[: -2 * half], points[2 * half :] - points[half:-half]
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    return points[half:-half], np.abs(turn) / (0.5 * WINDOW_MM)


def sharpest(sex: str, stature: float, mass: float, seat: Seat, posture: str) -> tuple[float, float]:
    """Return the largest curvature of contours out of the folds, and in them."""
    sitter = lay_over(estimate_body(sex, stature, mass), seat, posture)  # type: ignore[arg-type]
    done = settle(sitter, seat)
    assert done.solution.converged
    half, depth = 0.5 * seat.blank.width_mm, seat.blank.depth_mm
    x, y = np.arange(-12.0, half - 6.0, FINE_MM), np.arange(2.0, depth - 2.0, FINE_MM)
    columns, rows = (one.ravel() for one in np.meshgrid(x, y))
    fields = sitter.seated.fields(columns - sitter.at_mm[0], rows - sitter.at_mm[1])
    overlap = done.solution.value.sink_mm(columns, rows) - fields.skin - seat.depth_mm(columns, rows)
    pressure = TissueBed(TISSUE, fields.backing).response(overlap)[0].reshape(len(y), len(x)) * 1e3
    steep = RegularGridInterpolator((y, x), np.hypot(*np.gradient(pressure, FINE_MM)))
    found = [0.0, 0.0]
    for level in LEVELS_KPA:
        field = pressure if level else overlap.reshape(pressure.shape)
        for line in contour_generator(x, y, field, line_type=LineType.Separate).lines(level):
            places, bend = curvatures(line)
            counted = (places[:, 0] > -0.5) & (places[:, 1] < depth - 6.0) & (places[:, 1] > 6.0)
            if level:
                counted &= steep(places[:, ::-1]) > SURE_PER_MM * level
            across, along = (places - np.asarray(sitter.at_mm)).T
            folds = (across < FOLD_MM) | ((across < SPINE_MM[0]) & (along < SPINE_MM[1]))
            for k, where in enumerate((counted & ~folds, counted & folds)):
                found[k] = max(found[k], float(bend[where].max(initial=0.0)))
    return found[0], found[1]


@pytest.mark.slow
@pytest.mark.parametrize("posture", ["upright", "slouched"])
@pytest.mark.parametrize("seat", SEATS)
def test_contours_of_pressure_have_no_corners(seat: str, posture: str) -> None:
    bends = np.array([sharpest(*who, SEATS[seat], posture) for who in PEOPLE])
    assert len(bends) == 20
    assert bends[:, 0].max() < SHARPEST_PER_MM, bends.round(2).tolist()
    assert bends[:, 1].max() < SHARPEST_IN_FOLDS_PER_MM, bends.round(2).tolist()
