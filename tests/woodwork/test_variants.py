"""Ways to lay the boards: a mirrored pair scores as one, a single board matches itself, book-matching is told truly."""

import numpy as np
import pytest

from seatmesh.surface import flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board, turned_over
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.rings import layup_grain
from seatmesh.woodwork.variants import (
    Variant,
    _pattern,
    match,
    place_marks,
    places,
    ranked,
    symmetry,
    variants,
)


def laid(*boards):
    return Layup(boards, 430.0, 45.0)


PLAIN = {"wander_mm": 0.0, "taper_mm_per_m": 8.0, "pith_away_mm": 90.0}


def test_a_pair_about_the_centre_line_is_symmetric_and_a_shifted_one_is_not(carved_seat):
    pair = laid(Board(240.0, pith_aside_mm=-30.0, **PLAIN), Board(240.0, pith_aside_mm=30.0, **PLAIN))
    assert symmetry(carved_seat, pair) == pytest.approx(1.0, abs=0.02)
    aside = laid(Board(240.0, pith_aside_mm=-30.0, **PLAIN), Board(240.0, pith_aside_mm=-90.0, **PLAIN))
    assert symmetry(carved_seat, aside) < 0.9


def test_one_wide_board_sawn_in_two_matches_itself_at_the_glue_line(carved_seat):
    halves = laid(Board(240.0, pith_aside_mm=160.0, **PLAIN), Board(240.0, pith_aside_mm=-80.0, **PLAIN))
    other = laid(Board(240.0, pith_aside_mm=160.0, **PLAIN), Board(240.0, pith_aside_mm=140.0, **PLAIN))
    assert match(carved_seat, halves) > 0.9
    assert match(carved_seat, other) < match(carved_seat, halves) - 0.1
    assert match(carved_seat, laid(Board(480.0, **PLAIN))) == 1.0


def test_ways_are_told_apart_and_ranked(carved_seat):
    boards = (
        Board(240.0, pith_aside_mm=20.0, number=1),
        turned_over(Board(240.0, pith_aside_mm=-40.0, number=2)),
    )
    found = variants(carved_seat, laid(*boards))
    names = [one.name for one in found]
    assert names[0] == "as ordered"
    assert {"bark side up", "bark side down", "boards swapped", "every other one end for end"} <= set(names)
    assert len({one.layup.boards for one in found}) == len(found)
    scores = [one.score for one in ranked(found)]
    assert scores == pytest.approx(sorted(scores, reverse=True), abs=0.01)
    by_name = {one.name: one.layup.boards for one in found}
    assert {one.bark for one in by_name["bark side up"]} == {"up"}
    assert {one.bark for one in by_name["bark side down"]} == {"down"}
    assert by_name["boards swapped"] == boards[::-1]
    single = [one.name for one in variants(carved_seat, laid(Board(480.0)))]
    assert single == ["as ordered", "bark side down", "turned end for end"]


def test_the_ranking_follows_what_is_known_of_the_boards_and_not_what_is_made_up_of_them(carved_seat):
    """A board's number draws its wander and its uneven years, its `wander_mm` their size: no board is known so well."""

    def scores(*numbers, wander):
        boards = (
            Board(240.0, pith_aside_mm=side * 60.0, number=number, wander_mm=wander)
            for side, number in zip((-1.0, 0.4), numbers, strict=True)
        )
        return {one.name: (one.symmetry, one.match) for one in variants(carved_seat, laid(*boards))}

    told = scores(1, 2, wander=4.0)
    for other in (scores(7, 31, wander=4.0), scores(1, 2, wander=9.0), scores(2, 5, wander=0.0)):
        assert set(other) == set(told)
        for name, both in told.items():
            assert other[name] == pytest.approx(both, abs=1e-9), name


def test_ways_that_no_figure_tells_apart_share_a_place(carved_seat):
    """Two boards described alike and swapped are the same figure; so are both bark sides of quarter-sawn ones."""
    alike = laid(Board(240.0, number=1), Board(240.0, number=2))
    found = ranked(variants(carved_seat, alike))
    place = dict(zip((one.name for one in found), places(found), strict=True))
    assert place["as ordered"] == place["boards swapped"]
    assert place["bark side down"] != place["as ordered"]
    assert list(place)[place["as ordered"] - 1] == "as ordered"

    def scored(*scores):
        return tuple(Variant(str(one), alike, one, one) for one in scores)

    assert places(scored(0.5, 0.9, 0.899, 0.5)) == (3, 1, 1, 3)
    # A tie is held against its best, so that a chain of small steps does not tie all.
    assert place_marks(scored(0.900, 0.893, 0.886, 0.7)) == ("1=", "1=", "3", "4")
    assert [one.name for one in ranked(scored(0.7, 0.893, 0.9))] == ["0.893", "0.9", "0.7"]


def test_book_matched_faces_mirror_each_other_but_the_wood_beneath_does_not():
    """One plank of twice the thickness and a kerf, sawn through, the sawn faces up."""
    seat = flat_seat(Blank(boards=2))
    boards = (Board(240.0, pith_aside_mm=30.0, number=1), Board(240.0, number=2))
    book = next(one.layup for one in variants(seat, laid(*boards)) if one.name == "book-matched from board 1")
    assert [one.bark for one in book.boards] == ["up", "down"]
    rng = np.random.default_rng(5)
    x, y = rng.uniform(5.0, 235.0, 40), rng.uniform(10.0, 420.0, 40)
    for depth, limit in ((0.0, 5.0), (18.0, None)):
        right = layup_grain(book, np.column_stack([x, y, np.full(40, -depth)])).radius_mm
        left = layup_grain(book, np.column_stack([-x, y, np.full(40, -depth)])).radius_mm
        apart = np.abs(right - left).max()
        # A kerf of 4 mm lies between the two faces.
        assert apart < limit if limit is not None else apart > 15.0


def test_the_pattern_is_spacing_and_direction_of_the_rings_as_they_show():
    """Beside the pith rings on a level face run along the fibres, one for a ring width over its slope."""
    board = Board(
        480.0, pith_aside_mm=-300.0, pith_away_mm=90.0, aside_deg=20.0, wander_mm=0.0, taper_mm_per_m=0.0
    )
    seat = flat_seat(Blank())
    found = _pattern(seat, laid(board), np.array([0.0, 50.0]), np.array([215.0, 215.0]))
    # The rings' normal in the plan stands at -20 degrees; twice that is told.
    assert np.degrees(np.arctan2(found[:, 1], found[:, 0])) == pytest.approx([-40.0, -40.0], abs=0.5)
    assert np.linalg.norm(found, axis=1).max() <= 1.0
    assert np.linalg.norm(found, axis=1).min() > 0.15
