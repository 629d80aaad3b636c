"""The pressure scale's colours, and where the peak is."""

from __future__ import annotations

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_hex, to_rgb

from seatmesh.picture.contact.peak import FELT_SHARE, peaks
from seatmesh.picture.contact.pressure_scale import BANDS, STEPS_KPA, lightness, pressure_scale
from seatmesh.picture.style import WOOD


@pytest.mark.parametrize(("grey", "expected"), [(0.0, 0.0), (1.0, 100.0), (0.5, 53.389), (0.03, 2.097)])
def test_lightness_of_greys(grey: float, expected: float) -> None:
    """CIE L* of sRGB greys: 116 Y^(1/3) - 16, and 903.3 Y in the dark, worked out by hand."""
    assert float(lightness(np.array([grey] * 3))) == pytest.approx(expected, abs=0.005)


def test_bands_darken_in_equal_steps() -> None:
    middles = np.array([*np.sqrt(np.multiply(STEPS_KPA[:-1], STEPS_KPA[1:])), 200.0])
    steps = -np.diff(lightness(pressure_scale().rgb(middles)))
    assert len(steps) == len(STEPS_KPA) - 1
    assert np.all(np.abs(steps / steps.mean() - 1.0) < 0.1)
    assert steps.mean() > 4.0


def test_bands_are_matplotlibs_colours_in_equal_steps_of_lightness() -> None:
    """Its YlGnBu from 12 % on (its first colours would pass for bare wood), by the CIE lightness of each colour."""
    fine = matplotlib.colormaps["YlGnBu"](np.linspace(0.12, 1.0, 512))[:, :3]
    light = lightness(fine)
    nearest = np.abs(light[None, :] - np.linspace(light[0], light[-1], len(STEPS_KPA))[:, None]).argmin(
        axis=1
    )
    assert [to_hex(one) for one in fine[nearest]] == list(BANDS)


def test_no_contact_is_bare_wood_and_the_edge_of_a_band_belongs_to_the_band_above() -> None:
    rgb = pressure_scale().rgb(np.array([0.0, 0.09, 0.1, 0.99, 1.0]))
    assert np.allclose(rgb[:2], to_rgb(WOOD))
    assert np.array_equal(rgb[2], rgb[3])
    assert not np.array_equal(rgb[3], rgb[4])


@pytest.mark.parametrize("cell", [1.0, 2.0, 3.0, 4.0, 10.0])
def test_peak_is_the_mean_over_a_square_of_10_mm(cell: float) -> None:
    """One pressed cell carries its own area's share of the square."""
    x, y = cell * np.arange(-20.0, 21.0), cell * np.arange(30.0)
    pressure = np.zeros((30, 41))
    pressure[11, 29] = 80.0
    first = peaks(x, y, pressure)[0]
    assert first.kpa == pytest.approx(80.0 * cell**2 / 100.0, rel=1e-12)
    assert abs(first.x_mm - x[29]) <= 5.0
    assert abs(first.y_mm - y[11]) <= 5.0


def test_peak_stands_at_the_top_of_a_smooth_hill() -> None:
    x, y = np.arange(-198.0, 199.0, 4.0), np.arange(2.0, 400.0, 4.0)
    pressure = 40.0 * np.exp(-(((x[None, :] - 62.0) / 30.0) ** 2) - ((y[:, None] - 166.0) / 30.0) ** 2)
    (first,) = peaks(x, y, pressure)
    assert (first.x_mm, first.y_mm) == (62.0, 166.0)


@pytest.mark.parametrize(("share", "rings"), [(1.0 - FELT_SHARE + 0.01, 2), (1.0 - FELT_SHARE - 0.01, 1)])
def test_second_side_counts_only_when_it_cannot_be_felt_apart(share: float, rings: int) -> None:
    x, y = np.arange(-198.0, 199.0, 4.0), np.arange(2.0, 400.0, 4.0)
    pressure = np.zeros((len(y), len(x)))
    pressure[40:46, 70:76] = 30.0
    pressure[40:46, 20:26] = 30.0 * share
    found = peaks(x, y, pressure)
    assert len(found) == rings
    assert found[0].x_mm > 0


def test_of_two_equal_sides_the_right_is_first() -> None:
    x, y = np.arange(-198.0, 199.0, 4.0), np.arange(2.0, 400.0, 4.0)
    pressure = 30.0 * np.exp(
        -(((np.abs(x)[None, :] - 58.0) / 20.0) ** 2) - ((y[:, None] - 166.0) / 20.0) ** 2
    )
    right, left = peaks(x, y, pressure)
    assert (right.x_mm, left.x_mm) == (58.0, -58.0)


def test_marks_on_flat_tops_lie_alike_left_and_right() -> None:
    """Two cells of a top are equal but for rounding, another one on each side."""
    x, y = np.arange(-58.0, 60.0, 4.0), np.arange(2.0, 42.0, 4.0)
    pressure = np.exp(-(((np.abs(x)[None, :] - 32.0) / 20.0) ** 2) - ((y[:, None] - 22.0) / 12.0) ** 2)
    right, left = peaks(x, y, pressure * (1.0 + 1e-5 * np.sign(x * (np.abs(x) - 32.0)))[None, :])
    assert (left.x_mm, left.y_mm) == pytest.approx((-right.x_mm, right.y_mm))
