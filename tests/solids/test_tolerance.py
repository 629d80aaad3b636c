"""The mesh keeps its tolerance, keeps the hollow's edge, and spends no facet where nothing bends."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from seatmesh.adjustment import Adjustment
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh, faults
from seatmesh.solids.carved import solid
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.solids.parts import facet_parts
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat, flat_seat

Carve = Callable[..., Seat]
Floats = NDArray[np.float64]

VARIANTS: dict[str, dict[str, Any]] = {
    "usual": {},
    "uneven": {"deeper_on_the_right_mm": 3.0},
    "step at the deck line": {"deck_mm": 75.0},
    "no roll": {"front_roll_mm": 0.0, "outline": "straight-sided"},
}


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_measured_distance_is_within_the_tolerance(carve: Carve, variant: str) -> None:
    seat = carve(**VARIANTS[variant])
    mesh = solid(seat)
    assert faults(mesh) == ()
    assert 0.03 < measured_distance_mm(mesh, seat) < 0.1


def test_the_measured_distance_is_that_of_a_seat_a_little_deeper(carved_seat: Seat) -> None:
    mesh = solid(carved_seat, 0.05)
    raised = Mesh(mesh.vertices_mm + np.array([0.0, 0.0, 0.4]), mesh.faces)
    assert measured_distance_mm(raised, carved_seat) == pytest.approx(0.4, abs=0.05)
    assert measured_distance_mm(solid(flat_seat()), flat_seat()) == 0.0


def test_a_facet_below_a_step_is_measured_to_the_steps_foot() -> None:
    """A hollow 10 mm deep all over, and a facet that runs down its step at the deck line to 2 mm below the foot."""
    knots_x, knots_y = clamped_knots(-240.0, 240.0, 3), clamped_knots(50.0, 430.0, 3)
    seat = Seat(hollow=BicubicSpline(knots_x, knots_y, np.full((6, 6), 10.0)))
    corners = np.array([[-20.0, 50.3, -12.0], [0.0, 50.0, 0.0], [20.0, 50.3, -12.0]])
    assert measured_distance_mm(Mesh(corners, np.array([[0, 1, 2]])), seat) == pytest.approx(2.0, rel=0.01)


def test_samples_that_measure_nothing_are_refused(carved_seat: Seat) -> None:
    mesh = solid(carved_seat, 1.0)
    below = mesh.faces[np.array(facet_parts(mesh, carved_seat)) == "underside"]
    for bad, samples in ((mesh, 0), (Mesh(mesh.vertices_mm, below), 10)):
        with pytest.raises(ValueRefusedError, match="samples = "):
            measured_distance_mm(bad, carved_seat, samples)


def largest_error_mm(seat: Seat, corners: Floats) -> float:
    share = np.random.default_rng(2).dirichlet([0.8, 0.8, 0.8], size=40)
    at = np.einsum("ki,mij->mkj", share, corners)
    return float(np.abs(at[..., 2] + seat.depth_mm(at[..., 0], at[..., 1])).max())


def uniform_grid(seat: Seat, spacing_mm: float) -> Floats:
    """Corners of a uniform grid's facets ahead of the deck line and behind the front roll, shape (m, 3, 3)."""
    front = seat.roll_start_mm
    x = np.linspace(-240.0, 240.0, int(np.ceil(480.0 / spacing_mm)) + 1)
    y = np.linspace(50.0, front, int(np.ceil((front - 50.0) / spacing_mm)) + 1)
    across, along = np.meshgrid(x, y, indexing="ij")
    at = np.stack([across, along, -seat.depth_mm(across, along)], axis=-1)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    return np.concatenate([np.stack(three, axis=-2).reshape(-1, 3, 3) for three in ((a, b, c), (a, c, d))])


@pytest.mark.parametrize("tolerance_mm", [0.05, 0.1])
def test_the_carved_face_has_less_than_half_the_facets_of_a_uniform_grid(
    carved_seat: Seat, tolerance_mm: float
) -> None:
    """Of the grid only facets wholly inside the hollow count, where it does best: the hollow's edge it cannot keep."""
    mesh = solid(carved_seat, tolerance_mm)
    hollow = np.array(facet_parts(mesh, carved_seat)) == "hollow"
    error = largest_error_mm(carved_seat, mesh.vertices_mm[mesh.faces[hollow]])
    for spacing in np.arange(8.0, 1.0, -0.25):
        grid = uniform_grid(carved_seat, spacing)
        inside = grid[(grid[..., 2] < 0.0).all(axis=1)]
        if largest_error_mm(carved_seat, inside) <= error:
            break
    else:
        pytest.fail("no grid was as near")
    assert np.count_nonzero(hollow) < 0.5 * len(inside)
    assert largest_error_mm(carved_seat, grid) > 3.0 * error


@pytest.mark.parametrize("variant", VARIANTS)
def test_no_facet_bridges_the_hollows_edge(carve: Carve, variant: str) -> None:
    seat = carve(**VARIANTS[variant])
    mesh = solid(seat, 0.3)
    top = np.isin(facet_parts(mesh, seat), ["hollow", "rim", "front roll"])
    x, y, _ = mesh.vertices_mm[mesh.faces[top]].transpose(2, 0, 1)
    assert seat.hollow is not None
    level = seat.hollow(x, y)
    bridging = np.minimum(-level.min(axis=1), level.max(axis=1))
    # A mesh without feature lines bridges by up to 2 mm; what is left lies where the edge meets a fixed line.
    assert np.quantile(bridging, 0.999) < 0.02
    assert np.count_nonzero(bridging > 0.02) < 12


def test_wood_left_moves_the_hollows_edge_and_the_mesh_follows(carved_seat: Seat) -> None:
    left = Adjustment(x_mm=150.0, y_mm=150.0, radius_mm=60.0, amount_mm=-30.0)
    seat = Seat(carved_seat.blank, hollow=carved_seat.hollow, front_roll_mm=20.0, adjustments=(left,))
    mesh = solid(seat)
    assert faults(mesh) == ()
    assert measured_distance_mm(mesh, seat) < 0.1
    assert len(mesh.faces) < 20_000


def test_a_finer_angle_asks_for_more_facets_and_gets_its_direction(carved_seat: Seat) -> None:
    coarse, fine = (solid(carved_seat, 1.0, angle) for angle in (90.0, 2.5))
    assert faults(fine) == ()
    assert len(fine.faces) > 1.5 * len(coarse.faces)

    def worst_deg(mesh: Mesh) -> float:
        hollow = np.array(facet_parts(mesh, carved_seat)) == "hollow"
        corners = mesh.vertices_mm[mesh.faces[hollow]]
        sides = np.linalg.norm((corners - np.roll(corners, 1, axis=1))[..., :2], axis=2)
        corners = corners[sides.max(axis=1) > 2.0]
        normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        assert carved_seat.hollow is not None
        worst = 0.0
        for share in ([0.5, 0.25, 0.25], [0.25, 0.5, 0.25], [0.25, 0.25, 0.5]):
            x, y, _ = np.einsum("i,mij->jm", share, corners)
            rise = [carved_seat.hollow(x, y, *order) for order in ((1, 0), (0, 1))]
            true = np.column_stack([*rise, np.ones(len(x))])
            size = np.linalg.norm(normal, axis=1) * np.linalg.norm(true, axis=1)
            cosine = np.einsum("ij,ij->i", normal, true) / size
            # Where the spline lies above the wood the top face is flat: its slope says nothing there.
            cosine = cosine[carved_seat.hollow(x, y) > 0.0]
            worst = max(worst, float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)).max())))
        return worst

    # So many facets come near the limit that one lies close below it.
    assert 2.3 < worst_deg(fine) < 2.5 < worst_deg(coarse)


@pytest.mark.parametrize("angle_deg", [0.0, 0.9, 91.0, float("nan")])
def test_an_angle_out_of_range_is_refused(angle_deg: float) -> None:
    with pytest.raises(ValueRefusedError, match=r"angle_deg = .*1 to 90"):
        solid(flat_seat(), 0.1, angle_deg)
