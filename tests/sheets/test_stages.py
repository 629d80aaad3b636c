"""Stages of the rough-out: each above the next, their volumes against meshes, their words."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.errors import UnknownKeyError
from seatmesh.mesh import volume_mm3
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.cards.card import card_of
from seatmesh.sheets.sheet_wishes import SheetWishes, Speech
from seatmesh.sheets.stages.stage import NAMES, stages_of
from seatmesh.sheets.stages.stage_words import cards_stand, last_works
from seatmesh.solids.carved import solid
from seatmesh.station import stations
from seatmesh.surface import Seat
from seatmesh.wood.species import wood_named

ALLOWANCE = 1.5
X, Y = np.linspace(-239.0, 239.0, 319)[None, :], np.linspace(1.0, 429.0, 287)[:, None]


@pytest.fixture(scope="module")
def changed(carve):
    seat = carve(gutter_depth_mm=3.0)
    return replace(
        seat, adjustments=(Adjustment(60.0, 200.0, 40.0, 2.0), Adjustment(-60.0, 220.0, 40.0, -2.0))
    )


@pytest.fixture(scope="module")
def made(changed):
    return stages_of(changed, SheetWishes(allowance_mm=ALLOWANCE))


def test_the_stages_come_in_the_trade_s_order(made) -> None:
    assert tuple(one.name for one in made) == NAMES
    assert [one.number for one in made] == [1, 2, 3, 4, 5]


def test_every_stage_lies_above_the_next(made) -> None:
    depths = [one.depth(X, Y) for one in made]
    for before, after in pairwise(depths):
        assert float((after - before).min()) > -1e-9


def test_the_last_rough_stage_keeps_the_allowance(changed, made) -> None:
    """Wherever the finished hollow is deeper than the allowance, that much wood stands over it."""
    finished = replace(changed, front_roll_mm=0.0, blank=replace(changed.blank, gutter_depth_mm=0.0))
    deep = finished.hollow(X, Y) > ALLOWANCE
    gap = (finished.depth_mm(X, Y) - made[3].depth(X, Y))[deep & (finished.depth_mm(X, Y) > ALLOWANCE + 2.0)]
    assert gap == pytest.approx(ALLOWANCE, abs=1e-9)


def test_terraces_are_whole_steps_within_one_of_the_half(made) -> None:
    steps, half = made[0].depth(X, Y), made[1].depth(X, Y)
    assert np.allclose(steps / 3.0, np.round(steps / 3.0))
    assert float((half - steps).max()) < 3.0


def test_half_and_four_fifths_are_shares(made) -> None:
    """Of the surface that the last rough stage ends at."""
    last = made[3].depth(X, Y)
    assert made[1].depth(X, Y) == pytest.approx(0.5 * last, abs=1e-9)
    assert made[2].depth(X, Y) == pytest.approx(0.8 * last, abs=1e-9)


def test_volumes_agree_with_the_meshes(changed, made) -> None:
    """What closed meshes of the stages differ by in volume, which no code of the stages has a part in."""
    whole = volume_mm3(solid(Seat(blank=replace(changed.blank, gutter_depth_mm=0.0))))
    left = [volume_mm3(solid(made[i].seat)) for i in (1, 2, 3, 4)]
    taken = [made[0].removed_mm3 + made[1].removed_mm3, *(one.removed_mm3 for one in made[2:])]
    for before, after, removed in zip([whole, *left], left, taken, strict=False):
        assert removed == pytest.approx(before - after, rel=0.01)


def test_front_roll_and_gutter_come_last(changed, made) -> None:
    assert all(one.seat.front_roll_mm == 0.0 and one.seat.blank.gutter_depth_mm == 0.0 for one in made[:4])
    assert made[4].seat == changed


def test_datum_points_named_are_uncut(made) -> None:
    for one in made:
        assert one.uncut
        for _, x, y in one.uncut:
            assert float(one.depth(np.array(x), np.array(y))) < 0.02
    assert "front middle" in {name for name, _, _ in made[3].uncut}
    assert "front middle" not in {name for name, _, _ in made[4].uncut}


def test_mass_is_volume_times_density() -> None:
    """White oak: specific gravity 0.68 at 12 % moisture (Wood Handbook, from memory): 0.68 x 1.12 kg a litre."""
    assert wood_named("White  oak").mass_kg(1e6) == pytest.approx(0.7616, rel=1e-3)


def test_an_unknown_wood_is_refused_with_the_nearest(carved_seat) -> None:
    with pytest.raises(UnknownKeyError, match="did you mean 'walnut'"):
        sheets_of(carved_seat, (), SheetWishes(wood="wallnut"), ("svg",))


def test_each_rough_stage_has_a_file_and_all_have_a_page(carved_seat) -> None:
    made = sheets_of(carved_seat, (), SheetWishes(paper="roll"), ("pdf", "stages"))
    names = {"stage-1-terraces.pdf", "stage-2-half.pdf", "stage-3-four-fifths.pdf", "stage-4-last.pdf"}
    assert set(made.files) == names | {"sheets.pdf"}
    assert [one for one in made.pages if one.startswith("Stage")] == [
        "Stage 1: terraces",
        "Stage 2: half of the depth",
        "Stage 3: four-fifths of the depth",
        "Stage 4: all but the allowance",
        "Stage 5: finish",
    ]


def test_an_uncarved_seat_has_none() -> None:
    assert stages_of(Seat(), SheetWishes()) == ()


def test_a_hollow_shallower_than_two_steps_has_no_terraces(carve) -> None:
    seat = carve()
    shallow = replace(seat, hollow=replace(seat.hollow, coefficients=0.3 * seat.hollow.coefficients))
    assert 0.5 < float(shallow.depth_mm(X, Y[:-40]).max()) / 6.0 < 1.2
    made = stages_of(shallow, SheetWishes(allowance_mm=ALLOWANCE))
    assert [one.name for one in made] == list(NAMES[1:])
    assert [one.number for one in made] == [1, 2, 3, 4]


def test_the_last_stage_names_only_what_the_seat_has(changed, carve) -> None:
    assert last_works(changed)[0] == "gutter"
    assert last_works(carve()) == ("outline", "front roll")
    assert last_works(replace(carve(), front_roll_mm=0.0)) == ("outline",)


def test_finished_cards_stand_as_high_as_wood_is_left(changed, made) -> None:
    """Of each figure: the seat's depth less the stage's, at its highest over the station, by a fine grid."""
    cards = [card_of(changed, one) for one in stations(changed)]
    x = np.linspace(-239.9, 239.9, 4799)
    (said,) = cards_stand(made[1], cards, Speech("mm"))
    told = dict(re.findall(r"\b([A-G]) ([\d.]+) mm", said))
    across = [one for one in stations(changed) if one.runs == "across" and one.at_mm < changed.roll_start_mm]
    assert set(told) == {one.letter for one in across}
    for one in across:
        left = changed.depth_mm(x, one.at_mm) - made[1].depth(x, np.full(x.shape, one.at_mm))
        assert float(told[one.letter]) == pytest.approx(float(left.max()), abs=0.06)
    assert cards_stand(made[0], cards, Speech("mm")) == ()
    assert cards_stand(made[4], cards, Speech("mm")) == ()
