"""The balance against closed forms (C3, C4: Johnson 1985, ch. 4.3), and against what mechanics demands."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.contact import Layer, Load, Pose, balance
from seatmesh.contact.descent import State, _step
from seatmesh.tissue import TISSUE, Backing, TissueBed, TissueLaw, even_layer

SPHERE_MM, THICKNESS_MM, MODULUS_MPA, FORCE_N = 100.0, 40.0, 0.06, 150.0
LINEAR = TissueLaw(MODULUS_MPA, lift=0.0, onset=0.0, stiffening=0.0, power=1.0)


def paraboloid(cell=2.0, radius=SPHERE_MM, law=LINEAR):
    """A sphere of `radius`, to second order, over a grid with a layer of even thickness."""
    side = np.arange(-120.0, 120.0, cell) + cell / 2
    x, y = (one.ravel() for one in np.meshgrid(side, side))
    bed = TissueBed(law, even_layer(np.full_like(x, THICKNESS_MM)))
    return Layer(x, y, (x**2 + y**2) / (2 * radius), np.full_like(x, cell**2), bed)


def pressed(layer, load):
    solution = balance(layer, load)
    overlap = solution.value.sink_mm(layer.x_mm, layer.y_mm) - layer.gap_mm
    return solution, layer.bed.response(overlap)[0]


def test_elastic_foundation_under_a_sphere_c3():
    layer = paraboloid(cell=1.0)
    solution, pressure = pressed(layer, Load(FORCE_N, 0.0, 0.0))
    assert solution.converged
    assert solution.value.heave_mm == pytest.approx(17.841, rel=2e-3)
    assert 1000 * pressure.max() == pytest.approx(26.762, rel=2e-3)
    radius = np.sqrt(np.count_nonzero(pressure) * layer.area_mm2[0] / np.pi)
    assert radius == pytest.approx(59.735, rel=5e-3)


def test_error_falls_with_the_cell_by_second_order():
    exact = np.sqrt(FORCE_N * THICKNESS_MM / (np.pi * MODULUS_MPA * SPHERE_MM))
    cells = np.array([12.0, 6.0, 3.0, 1.5])
    errors = [
        abs(pressed(paraboloid(cell), Load(FORCE_N, 0.0, 0.0))[0].value.heave_mm - exact) for cell in cells
    ]
    order = np.polyfit(np.log(cells), np.log(errors), 1)[0]
    assert order > 1.7
    assert errors[-1] < 2e-3


def test_a_dish_lowers_the_peak_c4():
    flat = pressed(paraboloid(1.0), Load(FORCE_N, 0.0, 0.0))[1].max()
    dished = pressed(paraboloid(1.0, radius=200.0), Load(FORCE_N, 0.0, 0.0))[1].max()
    assert dished / flat == pytest.approx(0.70711, rel=3e-3)


def two_spheres():
    """Two bodies side by side, softer than the wood and bonier on one side."""
    side = np.arange(-150.0, 150.0, 3.0) + 1.5
    x, y = (one.ravel() for one in np.meshgrid(side, side))
    gap = np.minimum(((x - 60) ** 2 + y**2) / 160, ((x + 55) ** 2 + (y - 20) ** 2) / 220 + 2.0)
    backing = Backing(
        np.abs(x - 60)[None] / 3,
        (60.0 + 0.05 * np.abs(x) + 0.03 * y)[None],
        np.full((1, len(x)), 20.0),
        np.zeros(len(x)),
    )
    return Layer(x, y, gap, np.full_like(x, 9.0), TissueBed(TISSUE, backing))


def test_force_and_moments_balance_and_pressure_never_pulls():
    layer, load = two_spheres(), Load(400.0, 8.0, 6.0)
    solution, pressure = pressed(layer, load)
    force = pressure * layer.area_mm2
    assert solution.converged
    assert force.sum() == pytest.approx(load.force_n, rel=1e-6)
    assert force @ (layer.x_mm - load.x_mm) == pytest.approx(0.0, abs=1e-4 * load.force_n)
    assert force @ (layer.y_mm - load.y_mm) == pytest.approx(0.0, abs=1e-4 * load.force_n)
    overlap = solution.value.sink_mm(layer.x_mm, layer.y_mm) - layer.gap_mm
    assert np.all(pressure >= 0)
    assert np.all((pressure > 0) == (overlap > 0))


def test_mirrored_and_turned_problems_have_mirrored_and_turned_answers():
    layer, load = two_spheres(), Load(400.0, 8.0, 6.0)
    pose = balance(layer, load).value
    other = balance(replace(layer, x_mm=-layer.x_mm), Load(400.0, -8.0, 6.0)).value
    assert (other.heave_mm, other.pitch, other.roll) == pytest.approx(
        (pose.heave_mm, pose.pitch, -pose.roll), abs=1e-8
    )
    turned = replace(layer, x_mm=-layer.y_mm, y_mm=layer.x_mm)
    quarter = balance(turned, Load(400.0, -6.0, 8.0)).value
    assert (quarter.heave_mm, quarter.pitch, quarter.roll) == pytest.approx(
        (pose.heave_mm, pose.roll, -pose.pitch), abs=1e-8
    )


def test_forces_in_another_unit_give_the_same_pose():
    layer = two_spheres()
    pose = balance(layer, Load(400.0, 8.0, 6.0)).value
    law = replace(TISSUE, modulus_mpa=TISSUE.modulus_mpa / 4.448222)
    pounds = replace(layer, bed=TissueBed(law, layer.bed.backing))
    other = balance(pounds, Load(400.0 / 4.448222, 8.0, 6.0)).value
    assert (other.heave_mm, other.pitch, other.roll) == pytest.approx(
        (pose.heave_mm, pose.pitch, pose.roll), rel=1e-7
    )


def test_signs_follow_the_convention():
    side = np.arange(-100.0, 100.0, 5.0) + 2.5
    x, y = (one.ravel() for one in np.meshgrid(side, side))
    layer = Layer(
        x, y, np.zeros_like(x), np.full_like(x, 25.0), TissueBed(LINEAR, even_layer(np.full_like(x, 40.0)))
    )
    ahead = balance(layer, Load(200.0, 0.0, 20.0)).value
    right = balance(layer, Load(200.0, 20.0, 0.0)).value
    assert ahead.pitch > 0, "a load ahead of the middle takes the front down: positive pitch"
    assert right.roll > 0, "a load right of the middle takes the right down: positive roll"
    assert ahead.roll == pytest.approx(0.0, abs=1e-12)


def test_a_flat_punch_on_a_foundation_is_known_exactly():
    # Rigid rectangle on a linear foundation: heave F h / (K A), tilt M h / (K I); statics.
    side = np.arange(-100.0, 100.0, 5.0) + 2.5
    x, y = (one.ravel() for one in np.meshgrid(side, side))
    layer = Layer(
        x, y, np.zeros_like(x), np.full_like(x, 25.0), TissueBed(LINEAR, even_layer(np.full_like(x, 40.0)))
    )
    pose = balance(layer, Load(200.0, 0.0, 20.0)).value
    per_mm = MODULUS_MPA / 40.0
    assert pose.pitch == pytest.approx(200.0 * 20.0 / (per_mm * 25.0 * (y**2).sum()), rel=1e-9)
    assert pose.heave_mm - pose.pitch * 20.0 == pytest.approx(200.0 / (per_mm * 200.0**2), rel=1e-9)


def test_a_start_nearby_saves_steps_and_changes_nothing():
    layer, load = two_spheres(), Load(400.0, 8.0, 6.0)
    cold = balance(layer, load)
    warm = balance(layer, load, start=cold.value)
    assert warm.iterations < cold.iterations
    assert warm.value.heave_mm == pytest.approx(cold.value.heave_mm, abs=1e-7)


@pytest.mark.parametrize(
    ("load", "word"),
    [
        (Load(300.0, 0.0, 400.0), "forward"),
        (Load(300.0, 0.0, -400.0), "backward"),
        (Load(300.0, 500.0, 0.0), "to the right"),
        (Load(300.0, -500.0, 0.0), "to the left"),
    ],
)
def test_a_load_outside_what_supports_it_topples(load, word):
    solution = balance(paraboloid(4.0, law=TISSUE), load)
    assert not solution.converged
    assert word in solution.verdict


@pytest.mark.parametrize("force", [0.0, -5.0, np.nan, np.inf])
def test_no_load_is_a_verdict(force):
    solution = balance(paraboloid(4.0, law=TISSUE), Load(force, 0.0, 0.0))
    assert not solution.converged
    assert "no load" in solution.verdict


def test_no_cells_is_a_verdict():
    empty = np.zeros(0)
    nothing = Layer(empty, empty, empty, empty, TissueBed(TISSUE, even_layer(empty)))
    solution = balance(nothing, Load(100.0, 0.0, 0.0))
    assert "misses" in solution.verdict


def test_sinking_is_the_pose_at_a_point():
    pose = Pose(3.0, 0.01, -0.02, Load(1.0, 10.0, 20.0))
    assert pose.sink_mm(np.array([10.0, 20.0]), np.array([20.0, 40.0])) == pytest.approx(
        [3.0, 3.0 + 0.2 - 0.2]
    )


@pytest.mark.parametrize(("risen", "length"), [(0.29, 1.0), (0.31, 0.5), (-0.9, 1.0)])
def test_a_step_is_halved_where_the_energy_rises_again_by_three_tenths_of_its_fall(risen, length):
    """Along the step the slope is -2 N at first and `risen` of that, turned round, at its end; halfway it is level."""

    def state(q, which=None):
        there = {0.0: -2.0, 4.0: 2.0 * risen, 2.0: 0.0}[round(float(q[0, 0]), 6)]
        return State(q, np.array([[there, 0.0, 0.0]]), np.diag([0.5, 1.0, 1.0])[None])

    ended = _step(state, state(np.zeros((1, 3))))
    assert ended.q[0, 0] == pytest.approx(4.0 * length)
