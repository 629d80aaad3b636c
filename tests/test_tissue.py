"""The law of the tissue against its own derivatives, its inverse and known ends."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.tissue import LAST_COMPRESSION, TISSUE, Backing, TissueBed, TissueLaw, even_layer

LINEAR = TissueLaw(0.06, lift=0.0, onset=0.0, stiffening=0.0, power=1.0)
LAWS = [LINEAR, TISSUE, replace(TISSUE, lift=0.0), replace(TISSUE, power=1.5, stiffening=20.0)]
BACKING = Backing(
    aside=np.array([[0.0, 5.0, 15.0, 30.0, 45.0, 20.0], [80.0, 70.0, 60.0, 40.0, 30.0, 90.0]]),
    above=np.array([[60.0, 58.0, 60.0, 62.0, 66.0, 58.0], [70.0, 60.0, 75.0, 70.0, 80.0, 90.0]]),
    radius=np.array([[20.0, 20.0, 20.0, 20.0, 20.0, 15.0], [25.0, 25.0, 25.0, 20.0, 20.0, 20.0]]),
    rise=np.array([0.0, 0.05, 0.1, 0.3, 0.5, 0.0]),
)
OVERLAP = np.array([1.0, 8.0, 15.0, 20.0, 30.0, 43.0])


@pytest.mark.parametrize("law", LAWS)
def test_stiffness_is_the_slope_of_pressure(law):
    bed, step = TissueBed(law, BACKING), 1e-5
    slope = (bed.response(OVERLAP + step)[0] - bed.response(OVERLAP - step)[0]) / (2 * step)
    assert bed.response(OVERLAP)[1] == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("law", LAWS)
def test_pressure_rises_all_the_way_and_stays_finite(law):
    bed = TissueBed(law, BACKING)
    path = np.array([bed.response(np.full(6, u))[0] for u in np.linspace(0.01, 120.0, 400)])
    assert np.all(np.isfinite(path))
    assert np.all(np.diff(path, axis=0) >= 0)
    assert np.all(np.diff(path[:100], axis=0) > 0)


@pytest.mark.parametrize("law", LAWS)
def test_nothing_pushes_without_contact(law):
    pressure, stiffness = TissueBed(law, BACKING).response(np.array([-5.0, -1e-9, 0.0, -1.0, -2.0, -30.0]))
    assert np.all(pressure == 0.0)
    assert np.all(stiffness == 0.0)


def test_columns_without_lift_are_the_elastic_foundation():
    # p = K u / t (C3: Johnson 1985, ch. 4.3).
    bed = TissueBed(LINEAR, even_layer(np.array([40.0, 25.0])))
    assert bed.response(np.array([10.0, 5.0]))[0] == pytest.approx([0.06 * 10 / 40, 0.06 * 5 / 25])


def test_known_value():
    # By hand, e = 1/2, t = 30 mm: K / 2 / sqrt(0.53) (1 + 3.6).
    law = TissueLaw(0.02, lift=0.5, onset=0.03, stiffening=3.6, power=2.7)
    pressure = TissueBed(law, even_layer(np.array([30.0]))).response(np.array([15.0]))[0]
    assert pressure == pytest.approx(0.02 * 0.5 / np.sqrt(0.53) * 4.6)


def test_compression_is_what_is_lost_of_the_distance_in_space():
    bed = TissueBed(TISSUE, Backing(np.array([[30.0]]), np.array([[60.0]]), np.array([[20.0]]), np.zeros(1)))
    free, now = np.hypot(30.0, 60.0) - 20.0, np.hypot(30.0, 45.0) - 20.0
    assert bed.compression(np.array([15.0])) == pytest.approx([1.0 - now / free])


def test_between_two_bones_the_pressure_has_no_step():
    # Places along a line between two bones, lifted alike: where the nearer bone changes, the pressure does not jump.
    x = np.linspace(-30.0, 30.0, 601)
    backing = Backing(
        np.stack([np.abs(x + 30), np.abs(x - 30)]),
        np.stack([0 * x + 60, 0 * x + 75]),
        np.full((2, 601), 20.0),
        np.zeros(601),
    )
    pressure = TissueBed(TISSUE, backing).response(np.full(601, 20.0))[0]
    assert np.abs(np.diff(pressure)).max() < 0.02 * pressure.max()


def test_what_holds_from_two_sides_shares_the_distance():
    # By hand: bones 40 mm to either side of a place's way up make the smooth least distance shorter by r t ln 2.
    law = replace(LINEAR, rounding=0.3)
    twice = Backing(np.full((2, 1), 40.0), np.full((2, 1), 30.0), np.full((2, 1), 10.0), np.zeros(1))
    assert TissueBed(law, twice).thickness == pytest.approx([40.0 * (1.0 - 0.3 * np.log(2.0))])
    # One of them far off, it does nothing.
    alone = replace(twice, aside=np.array([[40.0], [400.0]]))
    assert TissueBed(law, alone).thickness == pytest.approx([40.0], abs=1e-9)


def test_the_slope_of_the_skin_and_the_thickness_stiffen():
    # By hand: K times (80 / 40)^m on a layer twice as thick, and times 1 + w sin^2 a on skin that slopes by a.
    law = replace(LINEAR, thickening=0.25, wall=4.0)
    layer = even_layer(np.array([80.0, 80.0]))
    sloped = replace(layer, rise=np.array([0.0, np.sin(np.radians(30.0)) ** 2]))
    pressure = TissueBed(law, sloped).response(np.array([20.0, 20.0]))[0]
    assert pressure == pytest.approx(0.06 * 0.25 * 2.0**0.25 * np.array([1.0, 2.0]))


@pytest.mark.parametrize("law", LAWS)
def test_overlap_undoes_pressure(law):
    bed = TissueBed(law, BACKING)
    overlap = bed.overlap_at(0.006)
    assert bed.response(overlap)[0] == pytest.approx(0.006, rel=1e-9)


def test_tissue_stiffens_as_it_runs_out():
    # B7, Isogai et al. 2022: fat and muscle many times stiffer under the heavier load.
    bed = TissueBed(TISSUE, even_layer(np.full(4, 40.0)))
    stiffness = bed.response(40.0 * np.array([0.2, 0.5, 0.7, LAST_COMPRESSION - 0.01]))[1]
    assert np.all(np.diff(stiffness) > 0)
    assert stiffness[2] > 5 * stiffness[0]


def test_modulus_stands_where_published_moduli_do():
    # B8, from memory: effective moduli of the seated buttock 48 and 65 kPa; a wide band of pressure over compression
    # at half of the thickness.
    pressure = TissueBed(TISSUE, even_layer(np.array([40.0]))).response(np.array([20.0]))[0][0]
    assert 30.0 < 1000.0 * pressure / 0.5 < 250.0


def test_the_most_overlap_leaves_a_twentieth():
    # By hand: a ball of 20 mm, 60 mm straight above: 40 mm of tissue, of which 38 may go. Beside it, with the centre
    # 10 mm aside, the place may rise until a twentieth is left.
    ball = Backing(
        np.array([[0.0, 10.0, 0.0]]), np.array([[60.0, 60.0, 60.0]]), np.full((1, 3), 20.0), np.zeros(3)
    )
    free = np.hypot(10.0, 60.0) - 20.0
    beside = 60.0 - np.sqrt((0.05 * free + 20.0) ** 2 - 10.0**2)
    assert ball.most_overlap == pytest.approx([38.0, beside, 38.0])
    bed = TissueBed(replace(TISSUE, rounding=0.0), ball)
    assert bed.compression(np.array([38.0, beside, 500.0])) == pytest.approx([LAST_COMPRESSION] * 3)


def test_what_is_about_nearest_is_a_mean_that_the_least_rules():
    """By hand, 40 and 44 mm away: shares of 1 and (40 / 44)^12 = 0.3186; two that are as near are as near together."""
    nothing = np.zeros((2, 3))
    above = np.array([[40.0, 40.0, 40.0], [44.0, 40.0, 400.0]])
    backing = Backing(nothing, above, nothing, np.zeros(3))
    assert backing.about_nearest == pytest.approx([(40.0 + 0.3186 * 44.0) / 1.3186, 40.0, 40.0], abs=1e-3)


def test_pressure_has_no_crease_where_another_bone_becomes_the_nearest():
    """Across the place where two are as near a crease would show as a second difference in proportion to the step."""

    def pressure(step):
        x = np.array([-step, 0.0, step])
        above = np.array([[40.0], [44.0]]) + np.zeros((2, 3))
        middle = 0.5 * ((30.0**2 + 40.0**2) - (25.0**2 + 44.0**2)) / 55.0
        aside = np.abs(np.stack([x - middle + 30.0, x - middle - 25.0]))
        bed = TissueBed(TISSUE, Backing(aside, above, np.zeros((2, 3)), np.zeros(3)))
        return bed.response(np.full(3, 12.0))[0]

    second = [abs(float(pressure(step) @ np.array([1.0, -2.0, 1.0]))) for step in (0.4, 0.04)]
    assert second[1] < 0.03 * second[0]


@pytest.mark.parametrize("rounding", [-0.1, 0.0049, np.nan])
def test_a_rounding_too_small_to_reckon_with_is_refused(rounding):
    with pytest.raises(ValueRefusedError, match="rounding"):
        replace(TISSUE, rounding=rounding)


def test_the_least_rounding_is_reckoned_with_as_deep_as_the_law_goes():
    """Almost unrounded, tissue answers as with the nearest bone alone."""
    sharp, alone = (TissueBed(replace(TISSUE, rounding=one), BACKING) for one in (0.005, 0.0))
    deep = BACKING.most_overlap * np.linspace(0.1, 1.0, len(BACKING.rise))
    assert sharp.response(deep)[0] == pytest.approx(alone.response(deep)[0], rel=0.03)
