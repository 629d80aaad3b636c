"""The law of the tissue against its own derivatives and known ends."""

import numpy as np
import pytest

from seatmesh.tissue import LAST_COMPRESSION, TISSUE, StiffeningLaw

LAWS = [StiffeningLaw(0.02, m) for m in (0.0, 0.76, 1.0, 1.5, 2.0, 3.0)]
THICKNESS = np.full(6, 40.0)
OVERLAP = 40.0 * np.array([0.02, 0.2, 0.45, 0.7, 0.9, 0.97])


@pytest.mark.parametrize("law", LAWS)
def test_stiffness_is_the_slope_of_pressure(law):
    step = 1e-5
    slope = (law.pressure(OVERLAP + step, THICKNESS) - law.pressure(OVERLAP - step, THICKNESS)) / (2 * step)
    assert law.stiffness(OVERLAP, THICKNESS) == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("law", LAWS)
def test_pressure_is_the_slope_of_energy(law):
    step = 1e-3
    slope = (law.energy(OVERLAP + step, THICKNESS) - law.energy(OVERLAP - step, THICKNESS)) / (2 * step)
    assert law.pressure(OVERLAP, THICKNESS) == pytest.approx(slope, rel=1e-5)


@pytest.mark.parametrize("law", LAWS)
def test_nothing_pushes_without_contact(law):
    apart = np.array([-5.0, -1e-9, 0.0])
    thick = np.full(3, 40.0)
    assert law.pressure(apart, thick) == pytest.approx(0.0)
    assert law.energy(apart, thick) == pytest.approx(0.0)
    assert law.stiffness(apart, thick) == pytest.approx(0.0)


def test_known_values():
    # By hand: 0.02 x 0.5 / 0.5^2 = 0.04 MPa; with m = 0 the foundation p = K e.
    half, thick = np.array([20.0]), np.array([40.0])
    assert StiffeningLaw(0.02, 2.0).pressure(half, thick)[0] == pytest.approx(0.04)
    assert StiffeningLaw(0.02, 0.0).pressure(half, thick)[0] == pytest.approx(0.01)


@pytest.mark.parametrize("law", LAWS)
def test_compression_undoes_pressure(law):
    e = np.array([0.0, 0.05, 0.3, 0.6, 0.9])
    assert law.compression(law.pressure(e * 40.0, np.full(5, 40.0))) == pytest.approx(e, abs=1e-9)


def test_stiffness_rises_with_compression():
    e = np.linspace(0.001, LAST_COMPRESSION, 50)
    assert np.all(np.diff(TISSUE.stiffness(e * 40.0, np.full(50, 40.0))) > 0)


def test_modulus_and_law_stand_where_published_moduli_do():
    # B8, from memory: effective moduli of the seated buttock 48 and 65 kPa; taken as a wide band of the slope of
    # pressure by compression at half of the thickness.
    e = np.array([0.5])
    slope_kpa = 1000.0 * TISSUE.stiffness(e * 40.0, np.array([40.0]))[0] * 40.0
    assert 30.0 < slope_kpa < 250.0
