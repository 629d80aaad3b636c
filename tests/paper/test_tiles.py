"""Tiles: they cover the drawing, overlap, and join on their marks as a maker joins them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from read_back import drawn_on, pages, words_on

from seatmesh.errors import ValueRefusedError
from seatmesh.paper.paper_sizes import PAPERS, paper_named
from seatmesh.paper.pdf_file import pdf_bytes
from seatmesh.paper.tile_pages import pages_of
from seatmesh.paper.tiles import OVERLAP_MM, tile
from seatmesh.sheets.plan.plan import plan
from seatmesh.sheets.sheet_wishes import SheetWishes

RED = (0x9B, 0x2A, 0x1A)
CROSS_MM = 9.0


@pytest.mark.parametrize("paper", list(PAPERS.values()), ids=list(PAPERS))
def test_tiles_cover_and_overlap(paper) -> None:
    extent = (-260.0, -30.0, 263.0, 470.0)
    tiles = tile(extent, paper, "Plan")
    whole = shapely.union_all([shapely.box(*one.window_mm) for one in tiles])
    assert whole.contains(shapely.box(*extent))
    assert len(tiles) == tiles[0].rows * tiles[0].columns
    for one, other in pairwise(tiles):
        if one.row == other.row:
            assert one.window_mm[2] - other.window_mm[0] == pytest.approx(OVERLAP_MM)


def test_the_name_says_which_tile() -> None:
    names = [one.name("Plan") for one in tile((0.0, 0.0, 500.0, 480.0), PAPERS["a4"], "Plan")]
    assert names[1] == "Plan, row 1 of 2, column 2 of 3"
    assert tile((0.0, 0.0, 100.0, 100.0), PAPERS["a4"], "Plan")[0].name("Plan") == "Plan"


@pytest.mark.parametrize(("first", "second", "along"), [(0, 1, 0), (1, 2, 0), (0, 3, 1), (1, 4, 1)])
def test_neighbours_joined_by_their_crosses_meet(carved_seat, first: int, second: int, along: int) -> None:
    """Lay one page on its neighbour so that the red crosses meet: in the overlap all lines run on within 0.2 mm."""
    drawn = plan(carved_seat, (), (), None, SheetWishes())
    both = pages(pdf_bytes(pages_of(drawn, PAPERS["a4"], "Plan"), "x"))
    one, other = drawn_on(both[first]), drawn_on(both[second])
    # The higher join of a page belongs to the lower one of its neighbour in y, the right one to the left one in x.
    here, there = crosses(one, along, last=along == 0), crosses(other, along, last=along == 1)
    assert len(here) == len(there) == 2
    shift = (there - here).mean(axis=0)
    assert np.abs(there - here - shift).max() < 0.01
    target = shapely.MultiLineString([item.points_mm for item in other if is_drawing(item)])
    low, high = page_room(other)
    checked = 0
    for item in one:
        if not is_drawing(item):
            continue
        points = densified(item.points_mm) + shift
        inside = points[np.all((points > low + 0.5) & (points < high - 0.5), axis=1)]
        checked += len(inside)
        if len(inside):
            assert shapely.distance(shapely.points(inside), target).max() <= 0.2
    assert checked > 50


def test_neighbours_bear_the_same_numbers(carved_seat) -> None:
    both = pages(
        pdf_bytes(pages_of(plan(carved_seat, (), (), None, SheetWishes()), PAPERS["a4"], "Plan"), "x")
    )
    left, middle = (set(words_on(page).split()) for page in both[:2])
    assert {"1", "2"} <= left & middle


def crosses(items, along: int, *, last: bool) -> np.ndarray:
    """Return the middles of the crosses on one join, sorted; `along` 0 for an upright join, 1 for a lying one."""
    upright = [one for one in items if one.colour == RED and one.size_mm[0] < 0.01]
    lying = [one for one in items if one.colour == RED and one.size_mm[1] < 0.01]
    joins = [one for one in (upright, lying)[along] if max(one.size_mm) > 2.0 * CROSS_MM]
    at = (max if last else min)(one.points_mm[0, along] for one in joins)
    arms = [one.points_mm.mean(axis=0) for one in upright if abs(one.size_mm[1] - CROSS_MM) < 0.1]
    return np.array(
        sorted((tuple(arm) for arm in arms if abs(arm[along] - at) < 0.1), key=lambda one: one[1 - along])
    )


def is_drawing(item) -> bool:
    return item.colour != RED and not item.filled and len(item.points_mm) > 1


def page_room(items) -> tuple[np.ndarray, np.ndarray]:
    points = np.vstack([item.points_mm for item in items if item.colour == RED])
    return points.min(axis=0), points.max(axis=0)


def densified(points: np.ndarray) -> np.ndarray:
    return np.asarray(shapely.segmentize(shapely.LineString(points), 1.0).coords)


@pytest.mark.parametrize("name", ["A5", "", "rol:600", "roll:150", "roll:9000", "roll:wide"])
def test_unknown_papers_are_refused(name: str) -> None:
    with pytest.raises(ValueRefusedError, match="paper"):
        paper_named(name)


def test_a_roll_too_narrow_for_the_plan_is_refused() -> None:
    with pytest.raises(ValueRefusedError, match="needs a roll of 543 mm"):
        tile((-260.0, -30.0, 263.0, 470.0), paper_named("roll:420"), "Plan")


def test_a_roll_may_be_named_in_inches() -> None:
    assert paper_named("roll:36in").width_mm == pytest.approx(914.4)
