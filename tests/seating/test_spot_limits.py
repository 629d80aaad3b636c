"""Where one cause of a hot spot ends and the next begins, and what carving may be advised: both sides of each limit."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh import Blank, Seat, flat_seat
from seatmesh.adjustment import Adjustment
from seatmesh.seating.hot_spots import advice, causes, spots
from seatmesh.seating.hot_spots.advice import SIZES


class Place:
    """A spot at the origin of a surface that is a formula, with the body given."""

    def __init__(self, depth=lambda x, y: 0.0 * x, skin=lambda x, y: 0.0 * x, **known):
        self._depth, self._skin = depth, skin
        self.behind_roll_mm, self.part = 300.0, "left_thigh"
        self.spot = SimpleNamespace(x_mm=0.0, y_mm=0.0)
        self.__dict__.update(known)

    def depth(self, across, along):
        return self._depth(*np.broadcast_arrays(np.asarray(across, float), np.asarray(along, float)))

    def skin(self, across, along):
        return self._skin(across, along)


def on_body(x, y, part="left_sit_bone", covered=20.0):
    seated = SimpleNamespace(anatomy=SimpleNamespace(sit_bone_x=60.0), tailbone_tip=(0.0, -65.0, 30.0))
    sitter = SimpleNamespace(seated=seated, fields=SimpleNamespace(tissue=np.array([covered])))
    return Place(on_body=(x, y), sitter=sitter, part=part, cell=0)


def test_a_sit_bones_spot_lies_within_30_mm_of_its_tip():
    """Half of the length of its underside: twice the 31.6 mm of a half-axis (B12)."""
    for away, holds in ((29.5, True), (30.5, False)):
        assert causes._is_sit_bone(on_body(60.0, away)) == holds
        assert causes._is_sit_bone(on_body(-60.0 - away, 0.0)) == holds


def test_a_tailbones_spot_lies_within_25_mm_of_its_tip_under_30_mm_of_tissue():
    for away, covered, holds in (
        (24.7, 20.0, True),
        (25.3, 20.0, False),
        (0.0, 29.6, True),
        (0.0, 30.4, False),
    ):
        assert causes._is_tailbone(on_body(0.0, -65.0 + away, "tailbone", covered)) == holds
    assert not causes._is_tailbone(on_body(0.0, -65.0, "left_sit_bone"))


def test_a_thigh_bears_on_the_front_edge_up_to_40_mm_behind_it():
    for behind, holds in ((39.5, True), (40.5, False), (-5.0, True)):
        assert causes._is_front_edge(Place(behind_roll_mm=behind)) == holds
    assert not causes._is_front_edge(Place(behind_roll_mm=10.0, part="left_sit_bone"))


@pytest.mark.parametrize("way", [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
def test_an_edge_falls_by_two_millimetres_within_25_mm(way):
    def step(at, deep, here=0.0):
        return lambda x, y: np.where(way[0] * x + way[1] * y > at, deep, here)

    assert causes._is_edge(Place(step(24.7, 2.05)))
    assert not causes._is_edge(Place(step(25.3, 2.05)))
    assert not causes._is_edge(Place(step(20.0, 1.95)))
    assert causes._is_edge(Place(step(20.0, 4.0, 1.95))), "wood that is itself no deeper"
    assert not causes._is_edge(Place(step(20.0, 5.0, 2.05)))


def test_what_falls_away_on_the_front_roll_is_no_hollow():
    roll = Place(lambda x, y: np.where(y > 10.0, 9.0, 0.0), behind_roll_mm=9.5)
    assert not causes._is_edge(roll)
    assert causes._is_edge(Place(lambda x, y: np.where(y > 10.0, 9.0, 0.0), behind_roll_mm=10.5))
    # Sideways the whole 25 mm count, whatever the front edge.
    beside = Place(lambda x, y: np.where(np.abs(x) > 24.7, 9.0, 0.0), behind_roll_mm=-20.0)
    assert causes._is_edge(beside)


def test_a_decks_edge_is_an_edge_within_25_mm_of_the_deck_line():
    for ahead, holds in ((24.6, True), (25.4, False)):
        place = Place(lambda x, y: np.where(x > 10.0, 9.0, 0.0))
        place.seat = SimpleNamespace(
            blank=SimpleNamespace(ahead_of_deck_mm=lambda x, y, mm=ahead: np.array(mm))
        )
        assert causes._is_deck_edge(place) == holds


def pommel(ridge, here, at=40.0, trough=100.0):
    """A thigh at x = `at` on the flank of a ridge `ridge` above hollows at `trough`, `here` above them itself."""
    out = np.array([0.0, at, trough, 240.0])
    deep = np.array([10.0 - ridge, 10.0 - here, 10.0, 0.0])
    surface = SimpleNamespace(depth_mm=lambda x, y: np.interp(np.abs(x), out, deep))
    return Place(
        lambda x, y: np.interp(np.abs(at + x), out, deep),
        seat=surface,
        spot=SimpleNamespace(x_mm=at, y_mm=300.0),
    )


def test_a_pommel_is_three_millimetres_high_and_borne_on_a_third_of_that_up():
    for ridge, here, holds in ((3.05, 2.0, True), (2.95, 2.0, False), (5.0, 1.02, True), (5.0, 0.98, False)):
        assert causes._is_pommel(pommel(ridge, here)) == holds
    assert not causes._is_pommel(pommel(5.0, 2.0, at=120.0)), "beyond the hollow beside it"
    assert causes._is_pommel(pommel(5.0, 2.0, trough=156.0))
    assert causes._is_pommel(pommel(5.0, 1.5, trough=190.0)) == causes._is_pommel(
        pommel(5.0, 1.5, trough=160.0)
    )


def bowl(wood_radius, body_radius, wall=0.2):
    """Wood and body both round along x about a place downhill, at which the wall has a slope of `wall`."""
    return Place(
        lambda x, y: wall * x - x**2 / (2.0 * wood_radius),
        lambda x, y: x**2 / (2.0 * body_radius),
    )


def test_a_hollow_is_too_tight_from_half_as_round_again_as_the_body_on():
    for ratio, tight in ((1.47, False), (1.53, True)):
        assert causes._is_tight(bowl(100.0, 100.0 * ratio)) == tight
    for wall, tight in ((0.102, True), (0.098, False)):
        assert causes._is_tight(bowl(50.0, 500.0, wall)) == tight


def test_circles_and_amounts_are_what_a_maker_sets_a_compass_and_a_rule_to():
    """Whole centimetres and millimetres; quarters of an inch and thirty-seconds."""
    assert all(one % 10.0 == 0.0 for one in SIZES["mm"].diameters)
    assert all(one % 1.0 == 0.0 for one in SIZES["mm"].amounts)
    quarters = np.array(SIZES["in"].diameters) / 25.4 * 4.0
    parts = np.array(SIZES["in"].amounts) / 25.4 * 32.0
    for one in (quarters, parts):
        assert one == pytest.approx(np.round(one))
    assert (SIZES["mm"].step, SIZES["in"].step) == (1.0, pytest.approx(25.4 / 16.0))
    for mm, inch in zip(SIZES["mm"].diameters, SIZES["in"].diameters, strict=True):
        assert inch == pytest.approx(mm, rel=0.06)


def case(seat, at=(60.0, 150.0), pair=False):
    x, y = np.arange(-240.0, 241.0, 4.0), np.arange(0.0, 431.0, 4.0)
    spot = SimpleNamespace(x_mm=at[0], y_mm=at[1], peak_kpa=20.0)
    sitting = SimpleNamespace(x_mm=x, y_mm=y, wood=np.ones((len(y), len(x))))
    twin = SimpleNamespace(x_mm=-at[0], y_mm=at[1], peak_kpa=20.0)
    return SimpleNamespace(
        seat=seat,
        sitting=sitting,
        spots=(spot, twin) if pair else (spot,),
        depth=seat.depth_mm(x[None, :], y[:, None]),
    )


def test_an_action_is_cut_off_where_a_twentieth_of_a_millimetre_is_missing():
    for room, cut_off in ((1.952, False), (1.948, True)):
        seat = flat_seat(Blank(thickness_mm=20.0 + room, floor_mm=20.0))
        assert advice._is_cut_off(case(seat), Adjustment(60.0, 200.0, 30.0, 2.0)) == cut_off


def test_a_dimple_is_no_steeper_than_a_tenth_of_its_radius(monkeypatch):
    def pressed(*_, **__):
        raise InterruptedError

    monkeypatch.setattr(advice, "press", pressed)
    seat = Seat()
    of = case(seat)
    of.sitter, of.sitting.pose = None, SimpleNamespace(load=SimpleNamespace(force_n=500.0))
    assert advice._try(of, (60.0, 200.0), 40.0, 2.05) is None
    with pytest.raises(InterruptedError):
        advice._try(of, (60.0, 200.0), 40.0, 1.95)


def test_places_that_are_tried_lie_15_mm_beside_the_spot_and_on_the_ridge_near_by():
    assert list(advice._places(case(Seat())))[:5] == [
        (60.0, 150.0), (45.0, 150.0), (75.0, 150.0), (60.0, 135.0), (60.0, 165.0)
    ]  # fmt: skip
    for x, ridge in ((14.8, False), (15.2, True), (59.5, True), (60.5, False), (-59.5, True)):
        assert ((0.0, 300.0) in advice._places(case(Seat(), (x, 300.0)))) == ridge


def test_an_action_on_the_centre_line_is_one_without_a_sign():
    done = advice._adjustment(case(Seat(), pair=True), (-0.3, 200.4), 60.0, 2.0)
    assert (done.x_mm, np.copysign(1.0, done.x_mm), done.y_mm, done.side) == (0.0, 1.0, 200.0, "one")


def test_the_usual_mean_is_that_of_the_flat_seat_study():
    """S3: young men on a bare flat seat, 7.5 kPa; what is a spot goes by it."""
    assert spots.USUAL_MEAN_KPA == 7.5


def test_roundness_is_that_of_three_chords_10_20_and_30_mm_downhill():
    """Wood of flat pieces with one bend of k at a place: chords of 30 mm about c take in k (15 - |place - c|) / 15^2.

    Bends lie where one chord alone, or it more than the others, takes them in; a round body is spanned by 1 / R.
    """
    bend = 0.02
    for place in (0.0, 10.0, 25.0, 42.0):
        seen = sum(max(15.0 - abs(place - middle), 0.0) for middle in (10.0, 20.0, 30.0))
        same = 1.5 / (bend * seen / 15.0**2 / 3.0)
        for factor, tight in ((1.015, True), (0.985, False)):
            bent = Place(
                lambda x, y, at=place: 0.2 * x - bend * np.maximum(x - at, 0.0),
                lambda x, y, radius=same * factor: x**2 / (2.0 * radius),
            )
            assert causes._is_tight(bent) == tight, place


def test_the_hollow_beside_a_pommel_is_looked_for_within_160_mm():
    """From 40 mm on the wood falls evenly by 1.5 mm: a third of a pommel's least height is reached before 160 mm."""
    assert causes._is_pommel(pommel(5.0, 1.5, trough=218.5))
    assert not causes._is_pommel(pommel(5.0, 1.5, trough=224.0))


def test_the_rearmost_of_a_circle_is_among_what_the_deck_is_held_against():
    line = 50.0
    for middle, reaches in ((line + 29.99, True), (line + 30.01, False)):
        assert advice._reaches_deck(Blank(deck_mm=line), 0.0, middle, 30.0) == reaches


def spots_on(monkeypatch, kpa, cell):
    """Spots of a row of cells, `cell` mm wide, that press as stated; wide apart in the other direction."""
    map_kpa = np.zeros((3, len(kpa)))
    map_kpa[1] = kpa
    seen = spots.Felt(cell * np.arange(len(kpa)), np.array([0.0, 100.0, 200.0]), map_kpa)
    monkeypatch.setattr(spots, "felt", lambda _: seen)
    return spots.spots_of(SimpleNamespace(converged=True, figures=SimpleNamespace(mean_kpa=5.0)))


def test_two_peaks_nearer_than_25_mm_are_one_spot(monkeypatch):
    for apart, count in ((49, 1), (51, 2)):
        kpa = np.full(apart + 5, 2.0)
        kpa[[2, 2 + apart]] = 21.0, 20.0
        assert len(spots_on(monkeypatch, kpa, 0.5)) == count


@pytest.mark.parametrize(
    ("saddle", "cells"),
    # Shares of the lesser peak: where the way to the hotter one stays above 0.75 the level is 0.8, and so on.
    [(0.74, 5), (0.76, 3), (0.82, 2), (0.87, 1)],
)
def test_a_spots_area_is_that_above_the_first_level_that_parts_it_from_a_hotter_one(
    monkeypatch, saddle, cells
):
    kpa = 20.0 * np.array([0.0, 0.751, 0.77, 0.81, 0.86, 1.0, *[saddle] * 20, 1.3, 0.0])
    _, lesser = spots_on(monkeypatch, kpa, 2.0)
    assert lesser.area_cm2 == pytest.approx(cells * 2.0 * 100.0 / 100.0)


def test_what_presses_less_than_the_usual_mean_or_not_three_tenths_over_its_own_is_no_spot(monkeypatch):
    for mean, peak, count in ((5.0, 7.45, 0), (5.0, 7.55, 1), (10.0, 12.9, 0), (10.0, 13.1, 1)):
        kpa = np.array([0.0, 1.0, peak, 1.0, 0.0])
        seen = spots.Felt(
            4.0 * np.arange(5), np.array([0.0, 100.0, 200.0]), np.array([0.0 * kpa, kpa, 0.0 * kpa])
        )
        monkeypatch.setattr(spots, "felt", lambda _, seen=seen: seen)
        sitting = SimpleNamespace(converged=True, figures=SimpleNamespace(mean_kpa=mean))
        assert len(spots.spots_of(sitting)) == count
