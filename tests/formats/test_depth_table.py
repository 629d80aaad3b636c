from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.errors import ValueRefusedError
from seatmesh.formats.depth_table import depths_csv
from seatmesh.surface import Seat, flat_seat

Carve = Callable[..., Seat]


def read(text: str) -> NDArray[np.float64]:
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[0] == ["x_mm", "y_mm", "depth_mm"]
    return np.array(rows[1:], dtype=float)


def test_the_table_holds_the_surface_depth_at_each_grid_point(uneven_seat: Seat) -> None:
    x, y, depth = read(depths_csv(uneven_seat)).T
    np.testing.assert_allclose(depth, uneven_seat.depth_mm(x, y), rtol=0.0, atol=0.005 + 1e-9)
    assert depth.max() > 18.0
    assert depth[x > 0.0].sum() > 1.1 * depth[x < 0.0].sum()


def test_a_seat_in_inches_has_a_grid_of_whole_inches_and_no_depth_more_than_the_true_one(
    uneven_seat: Seat,
) -> None:
    """1 in = 25.4 mm, 1959."""
    rows = list(csv.reader(io.StringIO(depths_csv(replace(uneven_seat, units="in")))))
    assert rows[0] == ["x_in", "y_in", "depth_in"]
    x, y, depth = np.array(rows[1:], dtype=float).T
    assert np.unique(x).tolist() == list(range(-9, 10))
    assert np.unique(y).tolist() == list(range(17))
    gap = uneven_seat.depth_mm(25.4 * x, 25.4 * y) - 25.4 * depth
    assert gap.min() >= -1e-4
    assert 0.01 < gap.max() <= 0.0254


def test_the_grid_starts_on_the_centre_line_and_the_rear_edge_and_fills_the_outline(carve: Carve) -> None:
    x, y, _ = read(depths_csv(carve(outline="straight-sided"), 20.0)).T
    assert np.unique(x).tolist() == [20.0 * i for i in range(-12, 13)]
    assert np.unique(y).tolist() == [20.0 * j for j in range(22)]
    assert len(x) == 25 * 22
    assert np.all(np.diff(y) >= 0.0)
    rounded = {tuple(row) for row in read(depths_csv(carve(), 20.0))[:, :2].tolist()}
    everything = {tuple(row) for row in np.column_stack([x, y]).tolist()}
    # Corners of radius 60: of the grid points within 60 mm of both edges those on the arc's inner side stay.
    missing = {
        (px, py)
        for px, py in everything
        if abs(px) > 180
        and not 60 <= py <= 370
        and (abs(px) - 180) ** 2 + (max(60 - py, py - 370)) ** 2 > 3600
    }
    assert rounded == everything - missing
    assert len(missing) > 8


def test_figures_have_two_decimals_lines_end_in_lf_and_nothing_is_minus_zero(carved_seat: Seat) -> None:
    text = depths_csv(carved_seat, 12.7)
    assert text.endswith("\n")
    assert "\r" not in text
    assert "-0.00" not in text
    assert "12.70,0.00,0.00\n" in text
    assert all(len(field.split(".")[1]) == 2 for line in text.splitlines()[1:] for field in line.split(","))
    assert text == depths_csv(carved_seat, 12.7)


def test_the_depths_of_an_even_seat_mirror_each_other(carved_seat: Seat) -> None:
    rows = {(x, y): depth for x, y, depth in read(depths_csv(carved_seat, 15.0)).tolist()}
    assert all(abs(depth - rows[(-x, y)]) <= 0.0101 for (x, y), depth in rows.items())


@pytest.mark.parametrize("spacing_mm", [0.0, -20.0, 0.5, 201.0, float("nan"), float("inf")])
def test_a_spacing_that_makes_no_grid_is_refused(spacing_mm: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"spacing_mm = .*1 to 200 mm"):
        depths_csv(flat_seat(), spacing_mm)
