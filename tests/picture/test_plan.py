"""The plan of a sitter: bands of the right size, lengths as the maker reads them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.typing import NDArray

from seatmesh.body.figure.marked_places import MarkedPlace
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.hollow import deepest_place
from seatmesh.picture.plan.plan_table import table_rows
from seatmesh.picture.plan.sitter_plan import band, plan
from seatmesh.picture.style import BONE, EDGE, SKIN, WOOD, Target
from seatmesh.surface import Seat, flat_seat

Pixels = NDArray[np.int16]
Drawn = Callable[[Callable[[Target], None]], Pixels]
Places = tuple[MarkedPlace, ...]


def test_band_of_a_mark_is_an_ellipse_and_of_a_line_the_strip_it_sweeps() -> None:
    mark = band(MarkedPlace("sit bone", "left", ((-57.0, 165.0),), 9.0, 13.0))
    assert mark.area == pytest.approx(np.pi * 9.0 * 13.0, rel=2e-3)
    assert mark.bounds == pytest.approx((-66.0, 152.0, -48.0, 178.0))
    line = band(MarkedPlace("knee-back line", "middle", ((-100.0, 490.0), (50.0, 490.0)), 12.0, 19.0))
    assert line.area == pytest.approx(150.0 * 38.0 + np.pi * 12.0 * 19.0, rel=2e-3)


def test_table_gives_each_length_in_the_makers_units(places: Places) -> None:
    rows = {row[1]: row for row in table_rows(places, "mm")}
    assert rows["sit bone"][2:] == ("left and right", "57 mm", "165 mm", "± 9 mm across, ± 13 mm along")
    assert rows["inner thigh line"][3:5] == ("22 mm to 46 mm", "240 mm to 430 mm")
    assert rows["knee-back line"][3] == "150 mm left to 150 mm right"
    inches = {row[1]: row for row in table_rows(places, "in")}
    assert inches["sit bone"][3:5] == ('2 1/4"', '6 1/2"')
    assert inches["inner thigh line"][3] == '7/8" to 1 13/16"'


def test_sides_that_differ_have_rows_of_their_own(places: Places) -> None:
    moved = tuple(
        replace(place, points_mm=((61.0, 165.0),))
        if (place.name, place.side) == ("sit bone", "right")
        else place
        for place in places
    )
    rows = [row for row in table_rows(moved, "mm") if row[1] == "sit bone"]
    assert [(row[2], row[3]) for row in rows] == [("left", "57 mm"), ("right", "61 mm")]


def test_mirrored_places_make_a_picture_whose_marks_are_mirrored(
    seat: Seat, places: Places, drawn: Drawn
) -> None:
    """Marks of one side only: their ink lies on that side of the sheet."""
    one_side = [place for place in places if place.side == "right" and len(place.points_mm) > 1]
    other = [
        replace(place, side="left", points_mm=tuple((-x, y) for x, y in place.points_mm))
        for place in one_side
    ]
    line, wood = (255.0 * np.asarray(to_rgb(colour)) for colour in (BONE, WOOD))
    shade = wood + 0.16 * (line - wood)
    middles = []
    for marks in (one_side, other):
        pixels = drawn(partial(plan, seat, marks))
        for ink in (line, shade):
            columns = np.nonzero(np.all(np.abs(pixels - ink) <= 3, axis=-1))[1]
            assert len(columns) > 500
            middles.append(columns.mean())
    axis = (
        (12.0 + 14.0 + (210.0 - 12.0)) / 2 / 25.4 * 150
    )  # the plan's middle: room for lengths is on its left only
    assert min(middles[:2]) - axis > 100
    assert (np.add(middles[:2], middles[2:]) / 2).tolist() == pytest.approx([axis, axis], abs=3)


def test_same_input_gives_the_same_bytes_and_fits_the_paper(seat: Seat, places: Places, drawn: Drawn) -> None:
    first, again = BytesIO(), BytesIO()
    plan(seat, places, first, sitter="violin 1")
    plan(seat, places, again, sitter="violin 1")
    assert first.getvalue() == again.getvalue()
    pixels = drawn(lambda to: plan(seat, places, to))
    assert pixels.shape[1] == 1240
    assert len(pixels) <= 1754


def test_refuses_no_places_and_other_units(seat: Seat, places: Places, tmp_path: Path) -> None:
    with pytest.raises(ValueRefusedError, match="at least one mark"):
        plan(seat, [], tmp_path / "plan.png")
    with pytest.raises(ValueRefusedError, match="allowed are mm, in"):
        plan(seat, places, tmp_path / "plan.png", units="cm")


def test_marks_of_a_fitting_are_crosses_where_they_were_made(
    seat: Seat, places: Places, drawn: Drawn
) -> None:
    """Two marks far from all else: the pictures with and without them differ there alone, 100 mm apart on the blank."""
    marks = [(-20.0, 120.0), (80.0, 120.0)]
    with_marks = drawn(lambda to: plan(seat, places, to, marks_mm=marks))
    bare = drawn(lambda to: plan(seat, places, to))
    changed = np.abs(with_marks - bare).max(axis=-1) > 30
    words = int(len(bare) * 0.9)  # their note stands at the foot
    assert changed[words:].any()
    columns = np.nonzero(changed[:words].any(axis=0))[0]
    gap = np.flatnonzero(np.diff(columns) > 20)
    assert len(gap) == 1
    left, right = columns[: gap[0] + 1].mean(), columns[gap[0] + 1 :].mean()
    per_mm = (210.0 - 2 * 12.0 - 14.0) / seat.blank.width_mm * 150 / 25.4
    assert right - left == pytest.approx(100.0 * per_mm, rel=0.03)


def test_the_deepest_line_is_drawn_at_its_distance(seat: Seat, places: Places, drawn: Drawn) -> None:
    """Its dots are in a row of their own, above the rear edge by the scale that the sheet's width gives."""
    line = 255.0 * np.asarray(to_rgb(SKIN))
    pixels = drawn(lambda to: plan(seat, places, to))
    found = np.all(np.abs(pixels - line) <= 40, axis=-1)
    row = int(np.argmax(found.sum(axis=1)))
    rear = _row_of_the_rear_edge(pixels)
    per_mm = (210.0 - 2 * 12.0 - 14.0) / seat.blank.width_mm * 150 / 25.4
    assert (rear - row) / per_mm == pytest.approx(deepest_place(seat)[1], abs=2.0)
    flat = drawn(lambda to: plan(flat_seat(seat.blank), places, to))
    assert not np.all(np.abs(flat - line) <= 10, axis=-1).any()


def _row_of_the_rear_edge(pixels: Pixels) -> int:
    edge = np.all(np.abs(pixels - 255.0 * np.asarray(to_rgb(EDGE))) <= 12, axis=-1)
    return int(np.nonzero(edge.sum(axis=1) > 300)[0].max())
