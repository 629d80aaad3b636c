"""What the page draws from: depths from edge to edge, the table of measures, and how a body likes to sit."""

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator

from seatmesh.body.measures import MEASURES

from .conftest import ORDER

ODD = {**ORDER, "blank": {"width_mm": 475, "depth_mm": 423}}


@pytest.mark.parametrize("spacing_mm", [5, 12.5])
def test_the_grid_reaches_both_edges_and_says_what_the_table_says(client, spacing_mm):
    seat = client.post("/seats", json=ODD).json()["id"]
    grid = client.get(f"/seats/{seat}/depth-grid", params={"spacing_mm": spacing_mm}).json()
    x, y, depth = (np.array(grid[key]) for key in ("x_mm", "y_mm", "depth_mm"))
    assert (x[0], x[-1], y[0], y[-1]) == (-237.5, 237.5, 0.0, 423.0)
    assert max(np.diff(x).max(), np.diff(y).max()) <= spacing_mm + 1e-3
    assert depth.shape == (y.size, x.size)
    assert depth == pytest.approx(depth[:, ::-1], abs=2e-3)
    lines = client.get(f"/seats/{seat}/depths.csv", params={"spacing_mm": 20}).text.splitlines()[1:]
    rows = np.array([[float(cell) for cell in line.split(",")] for line in lines])
    # At the crease where hollow meets flat, a line between points misses by a quarter of spacing times slope (1 in 8).
    rows = rows[(rows[:, 1] > 60.0) & (rows[:, 1] < 390.0)]
    between = RegularGridInterpolator((y, x), depth)(rows[:, [1, 0]])
    assert between == pytest.approx(rows[:, 2], abs=spacing_mm / 32)
    assert rows[:, 2].max() > 13.0


def test_a_preview_reaches_both_edges(client):
    grid = client.post("/seats/previews", json=ODD).json()["depth_grid"]
    assert (grid["x_mm"][0], grid["x_mm"][-1], grid["y_mm"][-1]) == (-237.5, 237.5, 423.0)


def test_a_grid_too_fine_is_refused(client, seat):
    answer = client.get(f"/seats/{seat['id']}/depth-grid", params={"spacing_mm": 1})
    assert answer.status_code == 422
    assert "wider spacing" in answer.json()["detail"]


def test_measures_are_the_librarys(client):
    told = client.get("/measures").json()["measures"]
    assert list(told) == list(MEASURES)
    assert all(
        told[name]["how"] == kind.how and told[name]["unit"] == kind.unit for name, kind in MEASURES.items()
    )


def test_bodies_tell_how_they_like_to_sit(client):
    assert client.get("/bodies").json()["bodies"]["cello"]["habit"]["splay_deg"] == 14.0
