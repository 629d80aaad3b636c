"""The drawn edge of contact and lines of pressure against the body itself, reckoned four times as finely."""

from __future__ import annotations

import matplotlib
import numpy as np
import pytest
import shapely
from contourpy import LineType, contour_generator
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure
from numpy.typing import NDArray

from seatmesh import Seat, estimate_body, flat_seat
from seatmesh.picture.contact.contact_map import draw_pressure
from seatmesh.picture.contact.pressure_field import drawn_pressure
from seatmesh.picture.contact.pressure_scale import STEPS_KPA
from seatmesh.seating.grid import SPACING_MM
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.tissue import TISSUE, TissueBed

Floats = NDArray[np.float64]

FINE_MM = SPACING_MM / 4.0
AT_THE_SIDE_MM = 6.0
"""The outline ends contact there, not the body."""
FOLD_MM = 10.0
"""Half-width of the fold between the two sides of the body, where its edge does turn closely."""


def bowl(x: Floats, y: Floats) -> Floats:
    """Return the depth of a smooth hollow that ends ahead of the deck."""
    out = (np.asarray(x) / 195.0) ** 2 + ((np.asarray(y) - 190.0) / 125.0) ** 2
    return np.asarray(14.0 * np.maximum(1.0 - out, 0.0) ** 3)


CASES = {
    "man upright, flat": (("male", 1740, 69), flat_seat(), "upright"),
    "woman slouched, flat": (("female", 1610, 98), flat_seat(), "slouched"),
    "slight woman upright, bowl": (("female", 1620, 48), Seat(hollow=bowl), "upright"),  # type: ignore[arg-type]
    "man slouched, bowl": (("male", 1780, 95), Seat(hollow=bowl), "slouched"),  # type: ignore[arg-type]
}


@pytest.fixture(scope="module", params=CASES)
def laid(request: pytest.FixtureRequest) -> tuple[Sitter, Sitting]:
    who, seat, posture = CASES[request.param]
    sitter = lay_over(estimate_body(*who), seat, posture)  # type: ignore[arg-type]
    return sitter, press(sitter, seat)


def drawn_lines(sitting: Sitting) -> list[list[Floats]]:
    """Return the lines that a contact map has for each step of its scale, in mm on the blank."""
    with matplotlib.rc_context():
        figure = Figure()
        FigureCanvasAgg(figure)
        axes = figure.add_subplot()
        draw_pressure(axes, sitting, "mm")
    (lines,) = (one for one in axes.collections if isinstance(one, QuadContourSet) and not one.filled)
    return [[np.asarray(line) for line in level if len(line) > 2] for level in lines.allsegs]


def true_lines(sitter: Sitter, sitting: Sitting, kpa: float) -> shapely.MultiLineString:
    """Return the zero line of the gap, or a line of equal pressure, by body and law."""
    blank = sitting.seat.blank
    x = np.arange(-0.5 * blank.width_mm, 0.5 * blank.width_mm + 0.1, FINE_MM)
    y = np.arange(0.0, blank.depth_mm + 0.1, FINE_MM)
    columns, rows = (one.ravel() for one in np.meshgrid(x, y))
    fields = sitter.seated.fields(columns - sitter.at_mm[0], rows - sitter.at_mm[1])
    overlap = sitting.pose.sink_mm(columns, rows) - fields.skin - sitting.seat.depth_mm(columns, rows)
    field = overlap if kpa == 0.0 else TissueBed(TISSUE, fields.backing).response(overlap)[0] * 1e3
    found = contour_generator(x, y, field.reshape(len(y), len(x)), line_type=LineType.Separate).lines(kpa)
    return shapely.MultiLineString(found)


def inner(points: Floats, sitting: Sitting) -> NDArray[np.bool_]:
    """Return which points lie well inside the blank."""
    blank = sitting.seat.blank
    return np.asarray(
        (np.abs(points[:, 0]) < 0.5 * blank.width_mm - AT_THE_SIDE_MM)
        & (np.abs(points[:, 1] - 0.5 * blank.depth_mm) < 0.5 * blank.depth_mm - AT_THE_SIDE_MM)
    )


def farthest_mm(lines: list[Floats], true: shapely.MultiLineString, sitting: Sitting) -> float:
    """Return how far the drawn lines stray from the true ones, between their points too."""
    dense = np.vstack([np.asarray(shapely.segmentize(shapely.LineString(one), 0.5).coords) for one in lines])
    return float(shapely.distance(shapely.points(dense[inner(dense, sitting)]), true).max())


def test_the_edge_of_contact_is_the_zero_line_of_the_gap(laid: tuple[Sitter, Sitting]) -> None:
    """Within 0.3 mm: a pencil line on a print at full size."""
    sitter, sitting = laid
    edge = drawn_lines(sitting)[0]
    assert farthest_mm(edge, true_lines(sitter, sitting, 0.0), sitting) < 0.3
    # All of the true edge is drawn, too.
    drawn = shapely.MultiLineString(edge)
    true = np.vstack([np.asarray(one.coords) for one in true_lines(sitter, sitting, 0.0).geoms])
    assert float(shapely.distance(shapely.points(true[inner(true, sitting)]), drawn).max()) < 0.3


@pytest.mark.parametrize(("kpa", "within_mm"), [(1.0, 0.5), (2.0, 0.5), (7.0, 0.4)])
def test_lines_of_pressure_lie_where_the_law_has_them(
    laid: tuple[Sitter, Sitting], kpa: float, within_mm: float
) -> None:
    sitter, sitting = laid
    lines = drawn_lines(sitting)[STEPS_KPA.index(kpa)]
    assert farthest_mm(lines, true_lines(sitter, sitting, kpa), sitting) < within_mm


def test_the_edge_has_no_teeth(laid: tuple[Sitter, Sitting]) -> None:
    """A tooth turns the line by a right angle or so within a cell of 4 mm: 0.2 and more a mm of its run."""
    _, sitting = laid
    window, step = SPACING_MM, 0.5
    for line in drawn_lines(sitting)[0]:
        run = np.r_[0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T))]
        even = np.arange(0.0, run[-1], step)
        points = np.stack([np.interp(even, run, line[:, k]) for k in (0, 1)], axis=1)
        half = round(0.5 * window / step)
        if len(points) < 4 * half:
            continue
        before, after = points[half:-half] - points[: -2 * half], points[2 * half :] - points[half:-half]
        turn = np.arctan2(
            before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
        )
        middle = points[half:-half]
        counted = inner(middle, sitting) & (np.abs(middle[:, 0]) > FOLD_MM)
        assert np.abs(turn[counted]).max() / (0.5 * window) < 0.12


def test_drawn_pressure_is_that_of_the_cells_at_their_middles(laid: tuple[Sitter, Sitting]) -> None:
    _, sitting = laid
    drawn = drawn_pressure(sitting)
    columns, rows = (
        np.searchsorted(drawn.x_mm, sitting.x_mm - 1e-6),
        np.searchsorted(drawn.y_mm, sitting.y_mm - 1e-6),
    )
    assert drawn.x_mm[columns] == pytest.approx(sitting.x_mm)
    assert drawn.y_mm[rows] == pytest.approx(sitting.y_mm)
    at_cells = drawn.pressure_kpa[np.ix_(rows, columns)]
    pressed = (sitting.pressure_kpa > 0.0) & (sitting.wood == 1.0)
    assert at_cells[pressed] == pytest.approx(sitting.pressure_kpa[pressed], rel=1e-6, abs=1e-6)
    assert np.all(at_cells[(sitting.pressure_kpa == 0.0) & (sitting.wood == 1.0)] <= 1e-9)
