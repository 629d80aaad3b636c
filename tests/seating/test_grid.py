"""The grid's cells hold as much wood as the outline does, whatever its shape."""

import numpy as np
import pytest
import shapely

from seatmesh import Blank
from seatmesh.seating.grid import SPACING_MM, grid_of


@pytest.mark.parametrize("outline", ["rounded", "waisted"])
def test_cells_hold_the_share_of_wood_that_they_cover(outline):
    """Against the areas of intersections by GEOS, cell by cell."""
    blank = Blank(outline=outline)
    grid = grid_of(blank)
    across, along = grid.cell_mm
    assert max(across, along) <= SPACING_MM == 4.0
    columns, rows = np.meshgrid(grid.x_mm, grid.y_mm)
    cells = shapely.box(columns - across / 2, rows - along / 2, columns + across / 2, rows + along / 2)
    wood = shapely.area(shapely.intersection(cells, shapely.Polygon(blank.polygon_mm()))) / (across * along)
    # An outline through a cell is weighed by 8 x 8 points.
    assert np.abs(grid.wood - wood).max() < 0.1
    assert (grid.wood - wood).mean() == pytest.approx(0.0, abs=2e-4)
    assert grid.wood[wood > 1.0 - 1e-12] == pytest.approx(1.0)
    assert np.array_equal(grid.wood, grid.wood[:, ::-1])
