"""Waves that are tried for ripples: their patches and crests, by places turned as complex numbers."""

import numpy as np
import pytest

from seatmesh.gauge.check.fair.fair_surface import places_at
from seatmesh.gauge.check.fair.ripples import WaveKind, _pairs


@pytest.fixture
def scattered():
    x, y = np.random.default_rng(5).uniform((-90.0, 60.0), (110.0, 210.0), (300, 2)).T
    return places_at(x, y), np.arange(300) % 7 != 0


def test_a_wave_runs_across_its_crests_and_stays_in_its_patch(scattered):
    places, carved = scattered
    kind = WaveKind(lengths_mm=(36.0, 50.0), patch_mm=(120.0, 70.0), turns=4, fewest=12, false_alarms=0.01)
    waves, pairs = _pairs(kind, places, carved)
    assert {round(float(np.degrees(one[3]))) for one in waves} == {0, 45, 90, 135}
    for (a, b, length, turn, along, across), (cosine, sine) in zip(waves, pairs, strict=True):
        turned = ((places.x_mm - a) + 1j * (places.y_mm - b)) * np.exp(-1j * turn)
        inside = carved & (np.abs(turned.real) <= 60.0) & (np.abs(turned.imag) <= 35.0)
        wave = np.where(inside, np.exp(2j * np.pi * turned.real / length), 0.0)
        assert (along, across) == (120.0, 70.0)
        assert cosine == pytest.approx(wave.real)
        assert sine == pytest.approx(wave.imag)
        assert inside.sum() >= 12


def test_middles_of_patches_lie_30_mm_apart_and_half_of_that_off_the_outermost_readings(scattered):
    places, carved = scattered
    waves, _ = _pairs(WaveKind((120.0, 70.0), (50.0,), turns=1, fewest=1, false_alarms=0.01), places, carved)
    for k, at in enumerate((places.x_mm, places.y_mm)):
        middles = np.unique([one[k] for one in waves])
        assert middles[0] - at.min() == pytest.approx(15.0)
        assert np.diff(middles) == pytest.approx(30.0)
        assert 0.0 < at.max() - middles[-1] <= 30.0
