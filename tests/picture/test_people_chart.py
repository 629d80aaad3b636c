"""The sheet about many people: drawn for any study, the same bytes for the same figures, and nothing off the sheet."""

import io

import numpy as np
import pytest
from PIL import Image

from seatmesh.people.counted.tally import MASSES_KG, PEAKS_KPA, STATURES_MM
from seatmesh.people.question import survey_limits
from seatmesh.picture.people.people_chart import PeopleDrawn, people_chart
from seatmesh.seating.grid import grid_of
from seatmesh.wood.blank import Blank


def made(people):
    shape = (len(STATURES_MM) - 1, len(MASSES_KG) - 1)
    count = np.zeros(shape)
    count[8:16, 5:12] = people
    grid = grid_of(Blank())
    bump = np.exp(-(((grid.x_mm[None] - 60.0) / 40.0) ** 2) - (((grid.y_mm[:, None] - 150.0) / 60.0) ** 2))
    peaks = np.zeros((2, len(PEAKS_KPA) - 1))
    peaks[:, 90:120] = people
    return PeopleDrawn(
        "a seat: serves 40.0 %", "of somebody", STATURES_MM, MASSES_KG, 1.0 * count, 0.4 * count, count,
        survey_limits(), PEAKS_KPA, peaks, Blank(), grid.x_mm, grid.y_mm, 40.0 * bump if people else None, "Mean",
        "caution",
    )  # fmt: skip


def drawn(people, units="mm"):
    out = io.BytesIO()
    people_chart(made(people), out, units=units)
    return out.getvalue()


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_same_figures_give_the_same_bytes(units):
    assert drawn(6, units) == drawn(6, units)


def test_the_map_speaks_the_seats_unit():
    """The lower right holds the map and the scale in kPa alone: only the map's lengths can tell the units apart."""
    pictures = (Image.open(io.BytesIO(drawn(6, units))).convert("RGB") for units in ("mm", "in"))
    mm, inches = (np.asarray(one)[one.height // 2 :, 3 * one.width // 5 :] for one in pictures)
    assert np.any(mm != inches)


def test_nobody_drawn_is_no_fault():
    assert Image.open(io.BytesIO(drawn(0))).size[0] > 1000


def test_few_people_are_hatched():
    """White strokes stand on the cells where fewer than five people were drawn, and nowhere else."""
    few, many = (np.asarray(Image.open(io.BytesIO(drawn(n))).convert("RGB")) for n in (4, 5))
    assert np.any(few != many)
