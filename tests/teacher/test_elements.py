"""The elements of a seated body against theory: uniform strain, a sphere on a bonded layer, derivatives."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from flesh_balance import Ground, flesh_of, forces
from flesh_mesh import CORNERS, FleshMesh, bone_distance, flesh_mesh
from numpy.typing import NDArray
from ogden_solid import Ogden
from settle_flesh import SEAT_MPA_PER_MM, settle_flesh

from seatmesh import estimate_body
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import seat_body

sys.path.insert(0, str(Path(__file__).parents[1] / "verification"))
from layer_theory import bonded_layer

Floats = NDArray[np.float64]

MU = 5.0


def block(x: Floats, y: Floats, z: Floats) -> FleshMesh:
    """Return the right half of a block with the plane x = 0 in its middle; z runs up from the skin to the cut."""
    points = np.stack(np.meshgrid(x, y, z, indexing="ij"), axis=-1)
    numbers = np.arange(points[..., 0].size).reshape(points.shape[:3])
    n = [size - 1 for size in numbers.shape]
    cells = np.stack([numbers[i : i + n[0], j : j + n[1], k : k + n[2]] for i, j, k in CORNERS], axis=-1)
    flat = points.reshape(-1, 3)
    return FleshMesh(
        points=flat,
        cells=cells.reshape(-1, 8),
        skin=cells[:, :, 0, :4].reshape(-1, 4),
        bone=np.zeros(len(flat), dtype=bool),
        cut=flat[:, 2] == z[-1],
        middle=flat[:, 0] == 0.0,
        lines=(x, y, z),
        steps=np.stack(np.unravel_index(numbers.ravel(), numbers.shape), axis=1),
    )


def flat(x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the plane z = 0."""
    return np.zeros_like(x), np.zeros((len(x), 2)), np.zeros((len(x), 2, 2))


def knob(radius_mm: float) -> Ground:
    """Return a round knob of this radius, highest at the origin."""

    def ground(x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
        place = np.stack([x, y], axis=1)
        curve = np.broadcast_to(-np.eye(2) / radius_mm, (len(x), 2, 2))
        return -(x**2 + y**2) / (2.0 * radius_mm), -place / radius_mm, curve

    return ground


@pytest.mark.parametrize("alpha", [2.0, 10.0])
def test_a_block_that_slides_is_strained_alike_everywhere(alpha: float) -> None:
    """Force over free area (2 mu / alpha) (l^(-alpha/2 - 1) - l^(alpha - 1)) of an incompressible Ogden solid."""
    line = np.linspace(0.0, 30.0, 4)
    mesh = block(line, line, np.linspace(0.0, 20.0, 3))
    # Both faces slide: the rear one is held in y, so that the block has a place.
    held = np.zeros((len(mesh.points), 3), dtype=bool)
    held[mesh.points[:, 1] == 0.0, 1] = True
    flesh = flesh_of(mesh, Ogden(MU, alpha, bulk_kpa=2e4), sliding_cut=True, also_tied=held)
    wanted = 0.7
    stress = 2e-3 * MU / alpha * (wanted ** (-alpha / 2 - 1) - wanted ** (alpha - 1))
    done = settle_flesh(flesh, flat, stress * 900.0, 15.0 * wanted**-0.5)
    # The seat gives way by its push over `SEAT_MPA_PER_MM`.
    height = 20.0 - done.heave_mm + stress / SEAT_MPA_PER_MM[-1]
    assert height / 20.0 == pytest.approx(wanted, abs=0.002)
    moves = done.unknowns[:-2].reshape(-1, 3)
    assert moves[mesh.points[:, 0] == 30.0, 0] == pytest.approx(30.0 * (wanted**-0.5 - 1.0), rel=0.01)


@pytest.mark.slow
def test_a_knob_on_a_bonded_layer() -> None:
    """Theory of a bonded incompressible layer at small strain (C7's series within its own error of it)."""
    thick, radius = 20.0, 150.0
    exact = bonded_layer(16.0, radius, thick, MU)
    line = np.concatenate([np.linspace(0.0, 22.0, 12), np.array([26.0, 33.0, 45.0, 65.0])])
    mesh = block(line, np.concatenate([-line[:0:-1], line]), thick * (np.linspace(0.0, 1.0, 7) ** 1.2))
    flesh = flesh_of(mesh, Ogden(MU, 2.0, bulk_kpa=2e3))
    done = settle_flesh(flesh, knob(radius), 0.5 * exact.force_n, 0.0)
    approach = done.heave_mm - exact.force_n / (np.pi * 16.0**2) / SEAT_MPA_PER_MM[-1]
    assert approach == pytest.approx(exact.approach_mm, rel=0.06)


def test_what_is_out_of_balance_is_the_energy_s_slope_and_its_derivative_the_tangent() -> None:
    seated = seat_body(estimate_body("male", 1740, 69), posture_named("upright"))
    flesh = flesh_of(flesh_mesh(seated, 0.45), Ogden(3.5, 10.0))
    rng = np.random.default_rng(1)
    u, way = np.zeros(flesh.count), np.zeros(flesh.count)
    u[flesh.free] = 0.25 * rng.normal(size=len(flesh.free))
    way[flesh.free] = rng.normal(size=len(flesh.free))
    u[-2:], way[-2:] = (-30.0, 0.5), (1.0, -0.7)

    def at(step: float) -> tuple[float, Floats]:
        found = forces(flesh, knob(-400.0), 40.0, u + step * way, SEAT_MPA_PER_MM[-1])
        assert found is not None
        return found.energy, found.out

    here = forces(flesh, knob(-400.0), 40.0, u, SEAT_MPA_PER_MM[-1])
    assert here is not None
    assert here.push_n.sum() > 10.0
    step = 1e-6
    (more, out_more), (less, out_less) = at(step), at(-step)
    assert (more - less) / (2 * step) == pytest.approx(here.out @ way[flesh.free], rel=1e-5)
    whole = here.tangent().whole()
    by_difference = (out_more - out_less) / (2 * step)
    assert np.abs(whole @ way[flesh.free] - by_difference).max() < 1e-5 * np.abs(by_difference).max()


@pytest.mark.parametrize("who", [("male", 1740.0, 69.0), ("female", 1610.0, 98.0), ("female", 1620.0, 48.0)])
@pytest.mark.parametrize("posture", ["upright", "slouched"])
def test_a_mesh_of_flesh_is_sound(who: tuple[str, float, float], posture: str) -> None:
    """No cell is turned inside out; nodes called bone lie on bone or in it, others outside."""
    seated = seat_body(estimate_body(who[0], *who[1:]), posture_named(posture))  # type: ignore[arg-type]
    mesh = flesh_mesh(seated)
    flesh = flesh_of(mesh, Ogden(3.5, 10.0))
    assert flesh.weights.min() > 0.0
    away = bone_distance(seated, mesh.points)
    assert away[mesh.bone].max() < 0.6
    assert away[~mesh.bone].min() > 0.0
    skin = seated.fields(*mesh.points[flesh.skin_nodes, :2].T).skin
    assert mesh.points[flesh.skin_nodes, 2] == pytest.approx(skin, abs=1e-9)
