"""The project's law of independent points against the finite elements, on cases kept from its fit."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from fast_batch import Batch, Pressure, batch, carry, misfit, to_sit_bone
from fast_law import TOUCH_STRAIN, VARIANTS, pressed_strain
from fit_fast_law import LAWS, WITHIN, evaluate, fit, is_held_out, is_in_reach, split
from press_mesh import bone_curve
from reference_case import TISSUES
from reference_table import SIT_BONE, read_rows
from tissue_left import left_misfit

from seatmesh.tissue import TISSUE, TissueLaw

CHOSEN = VARIANTS[-1]
ALPHAS = [tissue.alpha for tissue in TISSUES]
KPA = 1e-3


def _stored(alpha: float, name: str = CHOSEN.name) -> Mapping[str, Any]:
    found: Mapping[str, Any] = json.loads(LAWS.read_text(encoding="utf-8"))[f"alpha {alpha:g}, {name}"]
    return found


def _by_the_project(law: TissueLaw) -> Pressure:
    """Return the pressure that `seatmesh.tissue` answers with, kPa."""
    return lambda b, d: law.response(pressed_strain(b, d), np.broadcast_to(b.free, b.skin.shape))[0] / KPA


def _fitted(alpha: float) -> TissueLaw:
    K, beta, s = _stored(alpha)["parameters"]
    return TissueLaw(KPA * float(np.exp(K)), 0.5, TOUCH_STRAIN, float(np.exp(beta)), s)


@pytest.mark.parametrize("alpha", ALPHAS)
def test_the_stored_figures_are_those_of_the_stored_law(alpha: float) -> None:
    """The law as `seatmesh.tissue` has it gives the errors that `fast_laws.json` states."""
    stored = _stored(alpha)
    for name, found in evaluate(_by_the_project(_fitted(alpha)), split(alpha)).items():
        for figure, values in found.items():
            assert values == pytest.approx(stored[name][figure], abs=2e-3), (name, figure)


@pytest.mark.parametrize("alpha", ALPHAS)
def test_what_was_fitted_is_what_the_project_computes(alpha: float) -> None:
    b = split(alpha)["held out"]
    approach = 0.4 * b.thickness
    fitted = CHOSEN.make(_stored(alpha)["parameters"])(b, approach)
    assert fitted == pytest.approx(_by_the_project(_fitted(alpha))(b, approach), rel=1e-9)


@pytest.mark.parametrize("alpha", ALPHAS)
def test_held_out_levels(alpha: float) -> None:
    error = misfit(split(alpha)["held out"], _by_the_project(_fitted(alpha)))
    within = (np.abs(error) <= WITHIN).mean(axis=0)
    assert np.sqrt((error**2).mean(axis=0)) == pytest.approx([0.0, 0.0, 0.0], abs=0.1)
    assert within[0] >= 0.85
    assert within[1] == 1.0
    assert within[2] == 1.0


def test_the_constants_in_use_are_near_a_tissue_of_the_table() -> None:
    """`TISSUE` at the modulus of alpha 3.5: its b and s lie by that tissue's; K scales with the modulus alone."""
    K = _fitted(3.5).modulus_mpa
    law = TissueLaw(K, TISSUE.lift, TISSUE.onset, TISSUE.stiffening, TISSUE.power)
    error = misfit(split(3.5)["held out"], _by_the_project(law))
    assert np.all(np.sqrt((error**2).mean(axis=0)) < [0.12, 0.06, 0.03])


@pytest.mark.parametrize("alpha", ALPHAS)
def test_the_chosen_law_beats_the_others(alpha: float) -> None:
    """In the held-out peak; straight-up columns are worst, three times as far off."""
    peaks = {variant.name: _stored(alpha, variant.name)["held out"]["rms"][0] for variant in VARIANTS}
    assert peaks[CHOSEN.name] == min(peaks.values())
    assert peaks["column, power"] > 3.0 * peaks[CHOSEN.name]


@pytest.mark.slow
@pytest.mark.parametrize("alpha", ALPHAS)
def test_the_fit_made_again(alpha: float) -> None:
    assert fit(CHOSEN, split(alpha)) == pytest.approx(_stored(alpha)["parameters"], abs=0.02)


@pytest.mark.parametrize(("alpha", "worst"), [(2.0, 0.25), (3.5, 0.18), (5.0, 0.13)])
def test_tissue_left_from_the_peak(alpha: float, worst: float) -> None:
    """On held-out cases, flat and hollow; the stiffer the tissue becomes, the surer."""
    a, b = _stored(alpha, "tissue left")["parameters"]
    rows = [
        row for row in read_rows(SIT_BONE) if row["alpha"] == alpha and is_in_reach(row) and is_held_out(row)
    ]
    error = left_misfit(rows, a, b)
    assert np.abs(error).max() < worst
    assert np.sqrt((error**2).mean()) < 0.5 * worst


def test_distance_to_the_sit_bone() -> None:
    """Against the nearest of many points on the bone that the elements are fitted to."""
    curve = bone_curve(30.0, 15.0, 20_000)
    for r, z in ((0.0, 0.0), (12.0, 5.0), (25.0, 20.0), (30.0, 60.0), (60.0, 40.0)):
        nearest = np.hypot(curve[:, 0] - r, curve[:, 1] - z).min()
        found = to_sit_bone(np.array([r]), np.array([z]), np.array([30.0]), np.array([15.0]))
        assert found[0] == pytest.approx(nearest, abs=2e-3)


def _hertz_batch() -> Batch:
    rows = [row for row in read_rows(SIT_BONE) if row["dish_mm"] == 0.0 and row["top_held"] == 0.0]
    return batch(rows[:4], "sit bone")


def test_carried_loads_are_the_loads() -> None:
    b = _hertz_batch()
    _, p = carry(b, _by_the_project(_fitted(2.0)))
    assert (p * b.ring).sum(axis=1) * 1e-3 == pytest.approx(b.load[:, 0], rel=1e-6)


def test_figures_of_a_known_pressure() -> None:
    """A cone of pressure under the load that it carries: mean over 1 cm2, area above 0.67 kPa and share by integral."""
    b = _hertz_batch()
    reach, top = 40.0, 30.0
    cone = np.broadcast_to(top * np.maximum(1.0 - b.r / reach, 0.0), b.skin.shape)
    load = np.pi * reach**2 * top / 3.0 * 1e-3
    disc, above = np.sqrt(100.0 / np.pi), reach * (1.0 - 0.67 / top)
    hot = above * np.sqrt(0.08)
    share = 3.0 * (hot / reach) ** 2 - 2.0 * (hot / reach) ** 3
    found = np.broadcast_to(
        [top * (1.0 - 2.0 / 3.0 * disc / reach), np.pi * above**2 / 100.0, share], (len(cone), 3)
    )
    known = Batch(**{**vars(b), "found": found, "load": np.full_like(b.load, load)})
    assert misfit(known, lambda _, d: cone * (d >= 0.0)) == pytest.approx(np.zeros((len(cone), 3)), abs=3e-3)
