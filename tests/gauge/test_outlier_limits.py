"""Which neighbours explain a reading that lies far off, which readings a bowl takes in, where ripples are tried."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.gauge.check import outlying_readings
from seatmesh.gauge.check.fair import dents, ripples
from seatmesh.gauge.check.fair.dents import dented
from seatmesh.gauge.check.fair.fair_surface import bare_surface, places_at

GRID = tuple(a.ravel() for a in np.meshgrid(np.arange(-100.0, 101.0, 25.0), np.arange(50.0, 251.0, 25.0)))
MIDDLE = 40


@pytest.fixture
def flat(monkeypatch):
    """A fair surface that is 0 everywhere, whatever it goes through."""
    seen = {}

    def made(places, values, noise, ratio):
        seen.update(x=places.x_mm, y=places.y_mm)
        return SimpleNamespace(at=lambda x, y: np.zeros(len(x)))

    monkeypatch.setattr(outlying_readings, "bare_surface", made)
    return seen


def explained(off, around, noise, x=GRID[0], y=GRID[1]):
    values = np.where(np.hypot(x - x[MIDDLE], y - y[MIDDLE]) < 36.0, around, 0.0)
    values[MIDDLE] = off
    surface = SimpleNamespace(noise_mm=noise, fair_ratio=4.0)
    return outlying_readings._explained(x, y, values, MIDDLE, surface)


def test_eight_neighbours_explain_a_reading_by_three_deviations_of_their_mean(flat):
    """Their mean scatters by the root of an eighth of the noise, the surface across the hole by 0.4 of it."""
    deviation = 0.2 * np.sqrt(1.0 / 8.0 + 0.4**2)
    for sigmas, so in ((2.97, False), (3.03, True)):
        for sign in (1.0, -1.0):
            assert explained(sign * 1.0, sign * sigmas * deviation, 0.2) == so
    assert not explained(-1.0, 1.0, 0.2), "to the other side"


def test_neighbours_explain_a_reading_by_fifteen_hundredths_of_it_at_least(flat):
    for share, so in ((0.148, False), (0.152, True)):
        assert explained(10.0, share * 10.0, 0.01) == so


def test_the_surface_is_told_without_what_lies_within_2_6_spaces(flat):
    x, y = (np.append(one, [0.0, 0.0]) for one in GRID)
    y[-2:] = y[MIDDLE] + np.array([2.57, 2.63]) * 25.0
    explained(10.0, 2.0, 0.1, x, y)
    assert 150.0 + 2.63 * 25.0 in flat["y"]
    assert 150.0 + 2.57 * 25.0 not in flat["y"]
    assert np.hypot(flat["x"], flat["y"] - 150.0).min() > 65.0


@pytest.mark.parametrize(("radius", "around"), [(1.2, (17.7,)), (1.8, (17.7,))])
def test_a_bowl_takes_in_what_lies_within_its_own_quarter(radius, around):
    """Of bowls of 1.2 and 1.8 spaces between four crossings 26 and 39 mm: the next ones, 39.5 mm off, are beyond."""
    grid = places_at(*GRID)
    apart = np.hypot(grid.x_mm - 12.5, grid.y_mm - 162.5)
    bowl = np.maximum(0.0, 1.0 - (apart / (radius * 25.0)) ** 2)
    precision = bare_surface(grid, bowl, 1.0, 4.0).precision
    deviation = 1.0 / np.sqrt(bowl @ precision @ bowl)
    found = dented(bare_surface(grid, 2.0 * bowl, 2.0 / (4.22 * deviation), 4.0), 25.0, 0.5)
    assert np.unique(np.round(apart[found], 1)).tolist() == list(around)


def test_patches_of_ripples_lie_thirty_millimetres_apart_from_half_of_that_on():
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-200.0, 201.0, 20.0), np.arange(0.0, 401.0, 20.0)))
    waves, _ = ripples._pairs(ripples.KINDS[0], places_at(x, y), np.ones(len(x), dtype=bool))
    for at, first, last in ((0, -185.0, 175.0), (1, 15.0, 375.0)):
        assert np.unique([one[at] for one in waves]).tolist() == np.arange(first, last + 1.0, 30.0).tolist()


def test_a_ripple_is_told_once_where_patches_lie_nearer_than_80_mm_and_a_half_of_them(monkeypatch):
    """Middles of two patches of 120 by 120 mm: 80 and 60 mm apart they are two."""
    shapes = np.tile(np.eye(2)[None], (2, 1, 1))
    for apart, count in ((139.0, 1), (141.0, 2)):
        waves = np.array([(0.0, 100.0, 80.0, 0.0, 120.0, 120.0), (apart, 100.0, 80.0, 0.0, 120.0, 120.0)])
        tried = ripples.Waves(waves, shapes, shapes, np.ones(2))
        monkeypatch.setattr(ripples, "_waves", lambda *_, tried=tried: tried)
        assert len(ripples.ripples(None, np.array([3.0, 0.0]), None, 1.0, 1.0)) == count


@pytest.mark.parametrize(("height", "told"), [(0.246, 0), (0.254, 1)])
def test_a_wave_is_felt_from_a_quarter_of_a_millimetre_on_and_six_are_told(monkeypatch, height, told):
    """Crest to trough is twice the amplitude; see the slope that a hand feels: 80 mm times 0.01 over pi."""
    assert pytest.approx(80.0 * 0.01 / np.pi, rel=0.02) == ripples.WORTH_MM
    waves = np.array([(500.0 * k, 100.0, 80.0, 0.0, 120.0, 120.0) for k in range(8)])
    shapes = np.tile(np.eye(2)[None], (8, 1, 1))
    tried = ripples.Waves(waves, shapes, shapes, np.full(8, 0.01))
    monkeypatch.setattr(ripples, "_waves", lambda *_: tried)
    assert len(ripples.ripples(None, np.array([0.5 * height, 0.0]), None, 1.0, 1.0)) == 6 * told


def test_a_bowl_of_1_2_spaces_ends_a_quarter_deep_26_mm_from_its_middle():
    """30 mm times the root of 3/4: a crossing beside it is within, a further one 26.5 mm off is not."""
    further = np.array([18.74, 168.74])
    grid = places_at(np.append(GRID[0], further[0]), np.append(GRID[1], further[1]))
    apart = np.hypot(grid.x_mm, grid.y_mm - 150.0)
    bowl = np.maximum(0.0, 1.0 - (apart / 30.0) ** 2)
    precision = bare_surface(grid, bowl, 1.0, 4.0).precision
    deviation = 1.0 / np.sqrt(bowl @ precision @ bowl)
    found = dented(bare_surface(grid, 2.0 * bowl, 2.0 / (4.22 * deviation), 4.0), 25.0, 0.5)
    assert np.unique(np.round(apart[found], 1)).tolist() == [0.0, 25.0]


def test_the_patches_of_ripples_are_120_mm_wide_and_120_or_300_mm_long():
    """One and a half waves of 80 mm, or three of 100 mm; a report tells the patch."""
    x, y = (a.ravel() for a in np.meshgrid(np.arange(-200.0, 201.0, 20.0), np.arange(0.0, 401.0, 20.0)))
    places, carved = places_at(x, y), np.ones(len(x), dtype=bool)
    for kind, size in zip(ripples.KINDS, ((120.0, 120.0), (300.0, 120.0), (120.0, 300.0)), strict=True):
        assert {one[4:] for one in ripples._pairs(kind, places, carved)[0]} == {size}


@pytest.mark.parametrize(("told", "seen"), [(0.295, False), (0.305, True)])
def test_a_bowl_of_which_three_tenths_of_a_reading_tell_is_seen(monkeypatch, told, seen):
    """A crossing on its own, of which the fair surface leaves so much: its bowl is 1 there and 0 elsewhere."""
    monkeypatch.setattr(dents, "bare_surface", lambda *_: SimpleNamespace(precision=told * np.eye(2)))
    places = SimpleNamespace(x_mm=np.array([0.0, 200.0]), y_mm=np.array([100.0, 100.0]))
    surface = SimpleNamespace(
        places=places, values_mm=np.array([5.0, 0.0]), noise_mm=0.01, fair_ratio=1.0, shared=None
    )
    assert dented(surface, 25.0, 0.5).tolist() == [seen, False]
