"""Letters of stations: one place each, whoever asks, from whichever file of a seat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.errors import ValueRefusedError
from seatmesh.fit.stages import stage
from seatmesh.sheets.all_sheets import card_stations, sheets_of
from seatmesh.sheets.sheet_wishes import SheetWishes
from seatmesh.sheets.stages.stage import stages_of
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.station import APART_MM, station_words, stations, stations_at
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.blank import Blank


def mm(length: float) -> str:
    return format_length(length, "mm")


def places(seat: Seat) -> list[tuple[str, str, float]]:
    return [(one.letter, one.runs, one.at_mm) for one in stations(seat)]


def test_letters_run_from_the_rear_and_then_along(carved_seat) -> None:
    found = stations(carved_seat)
    assert [one.name for one in found] == list("ABCDEFG")
    assert [one.runs for one in found] == ["across"] * 4 + ["along"] * 3
    assert [one.at_mm for one in found[:4]] == sorted(one.at_mm for one in found[:4])
    x, y = np.meshgrid(np.arange(-240.0, 241.0), np.arange(0.0, 410.0))
    deepest = y.ravel()[int(np.argmax(carved_seat.depth_mm(x, y)))]
    assert abs(found[1].at_mm - deepest) <= 2.5 + 0.5  # whole 5 mm, looked for by whole mm
    assert found[1].words == "through the deepest line"
    assert found[4].at_mm == 0.0
    for runs in ("across", "along"):
        at = [one.at_mm for one in found if one.runs == runs]
        assert np.diff(at).min() >= APART_MM


@pytest.mark.parametrize("share", [0.5, 0.65, 0.8])
def test_a_stage_has_the_finished_seat_s_letters(carve, share: float) -> None:
    seat = replace(carve(gutter_depth_mm=3.0), adjustments=(Adjustment(70.0, 250.0, 40.0, 6.0, "both"),))
    assert places(stage(seat, share)) == places(seat)
    for one in stages_of(seat, SheetWishes()):
        assert places(one.seat) == places(seat)


def test_a_hollow_that_lies_on_its_floor_has_steady_letters() -> None:
    """All places of a level ground are equally deep but for last bits: no share of the depth may move a letter."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 40), clamped_knots(50.0, 430.0, 32)
    random = np.random.default_rng(3)
    x = (knots_x[1:-3] + knots_x[2:-2] + knots_x[3:-1])[:, None] / 3.0
    y = (knots_y[1:-3] + knots_y[2:-2] + knots_y[3:-1])[None, :] / 3.0
    level = np.minimum(30.0 * (1.0 - (x / 230.0) ** 2 - ((y - 190.0) / 170.0) ** 2), 15.0)
    for share in random.uniform(0.2, 1.0, 20):
        seat = Seat(hollow=BicubicSpline(knots_x, knots_y, level * share))
        assert places(seat) == places(Seat(hollow=BicubicSpline(knots_x, knots_y, level)))


def test_adjustments_move_no_letter_and_the_words_say_so(carved_seat) -> None:
    changed = replace(carved_seat, adjustments=(Adjustment(0.0, 260.0, 50.0, 6.0),))
    assert places(changed) == places(carved_seat)
    assert stations(changed)[1].words == "through the deepest line before adjustments"


def test_of_a_seat_deeper_on_one_side_that_side_is_cut(uneven_seat) -> None:
    hollow = uneven_seat.hollow
    mirrored = replace(uneven_seat, hollow=replace(hollow, coefficients=hollow.coefficients[::-1]))
    right = next(one for one in stations(uneven_seat) if one.words == "through the deepest place")
    left = next(one for one in stations(mirrored) if one.words == "through the deepest place")
    assert right.at_mm == -left.at_mm > 0.0


def test_a_flat_seat_and_a_small_one_have_stations() -> None:
    assert len(stations(Seat())) == 7
    small = stations(Seat(Blank(width_mm=250.0, depth_mm=220.0, deck_mm=40.0)))
    assert [one.letter for one in small] == list("ABCDEFG")[: len(small)]


def test_a_maker_s_own_place_never_bears_a_letter_of_another(carved_seat) -> None:
    """Cards at 307 and 175 mm, one where B stands (140 mm), and one along: letters only where the letter stands."""
    own = {one.letter: (one.runs, one.at_mm) for one in stations(carved_seat)}
    found = stations_at(carved_seat, (307.0, 140.0, 175.0), (57.5, -57.5, 0.0), mm)
    assert [one.name for one in found] == ["B", "y 175 mm", "y 307 mm", "x 57.5 mm L", "E", "x 57.5 mm R"]
    assert all(own[one.letter] == (one.runs, one.at_mm) for one in found if one.letter)


@pytest.mark.parametrize(("units", "step"), [("mm", 32), ("in", 16), ("in", 32)])
def test_no_two_places_read_alike(carved_seat, units: str, step: int) -> None:
    random = np.random.default_rng(5)
    wished = tuple(np.cumsum(random.uniform(2.0, 2.4, 150)) + 11.0)
    found = stations_at(carved_seat, wished, None, lambda one: format_length(one, units, step))
    assert len({one.name for one in found}) == len(found) == 150 + 3


def test_places_too_near_to_be_told_apart_are_refused(carved_seat) -> None:
    with pytest.raises(ValueRefusedError, match="two cards stand 2 mm apart or more"):
        stations_at(carved_seat, (100.0, 101.9), None, mm)
    with pytest.raises(ValueRefusedError, match="along_mm"):
        stations_at(carved_seat, None, (-5.0, -5.5), mm)


def test_sheets_with_and_without_the_sitter_have_the_same_cards(carved_seat, tmp_path) -> None:
    from seatmesh import read_seat, write_seat
    from seatmesh.body.body_file import bodies_folder, read_body

    cello = read_body(bodies_folder() / "cello.toml")
    write_seat(carved_seat, tmp_path / "seat.json")
    again = read_seat(tmp_path / "seat.json")
    assert sheets_of(carved_seat, (cello,), None, ("svg",)).stations == stations(again)
    assert card_stations(again, SheetWishes(units="in")) == stations(carved_seat)


def test_where_a_station_stands_in_words(carved_seat) -> None:
    words = [station_words(one, mm) for one in stations_at(carved_seat, (135.0,), (-40.0, 0.0, 40.0), mm)]
    assert words == [
        "135 mm from the rear edge",
        "40 mm to the sitter's left",
        "on the centre line",
        "40 mm to the sitter's right",
    ]
