"""The balance on foreseen cells against the plain one on every cell of the whole grid, from a level start.

Bodies, seats, postures, places, loads and starts are drawn at random: sitters far off hang over the edge or topple.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from seatmesh import Chair, Seat, estimate_body
from seatmesh.arrays import Floats
from seatmesh.body.body import Habit
from seatmesh.body.figure.posture import POSTURES
from seatmesh.contact import ARM_MM, Layer, Load, Pose, balance
from seatmesh.seating.laid import PRESSED_THROUGH
from seatmesh.seating.settle import depth_over, load_of, settle
from seatmesh.seating.sitter import Sitter, lay_over
from seatmesh.solution import CONVERGED, Solution
from seatmesh.tissue import TISSUE, TissueBed
from seatmesh.wood.outline.shapes import OUTLINES

Carve = Callable[..., Seat]

SPACING_MM = 8.0
KPA_PER_MPA = 1000.0


@dataclass(frozen=True)
class Case:
    """A sitter over a seat, with what presses it and the pose to begin from, as they were drawn."""

    sitter: Sitter
    seat: Seat
    load_n: float | None
    start: Pose | None


def drawn(seed: int, carve: Carve) -> Case:
    """Draw a case: one in three sits far off, one in three hears a start, which may be any and far from the balance."""
    rng = np.random.default_rng(seed)
    sex = ["male", "female"][rng.integers(2)]
    body = estimate_body(sex, float(rng.uniform(1480.0, 1980.0)), float(rng.uniform(45.0, 125.0)))
    across = float(rng.choice([0.0, rng.uniform(-15.0, 15.0)]))
    habit = Habit(splay_deg=rng.uniform(0.0, 16.0), forward_mm=rng.uniform(-30.0, 40.0), across_mm=across)
    seat = _seat(rng, carve)
    far = rng.random() < 1.0 / 3.0
    reach = (260.0, 240.0) if far else (12.0, 15.0)
    at = (0.0, 0.0) if rng.random() < 0.3 else (rng.uniform(-1, 1) * reach[0], rng.uniform(-1, 1) * reach[1])
    posture = list(POSTURES)[rng.integers(len(POSTURES))]
    sitter = lay_over(replace(body, habit=habit), seat, posture, at, spacing_mm=SPACING_MM)
    load_n = None if rng.random() < 0.7 else float(rng.uniform(20.0, 2500.0))
    return Case(sitter, seat, load_n, _start(rng, sitter) if rng.random() < 1.0 / 3.0 else None)


def _seat(rng: np.random.Generator, carve: Carve) -> Seat:
    blank = {
        "width_mm": float(rng.uniform(400.0, 560.0)),
        "depth_mm": float(rng.uniform(435.0, 480.0)),
        "outline": list(OUTLINES)[rng.integers(len(OUTLINES))],
    }
    kind = rng.integers(3)
    seat = carve(float(rng.choice([0.0, 2.5])), float(rng.uniform(0.0, 25.0)), **blank)
    chair = Chair(rake_deg=float(rng.uniform(-2.0, 12.0)))
    return replace(seat, chair=chair, hollow=None if kind == 0 else seat.hollow)


def _start(rng: np.random.Generator, sitter: Sitter) -> Pose:
    load = load_of(sitter.laid(half=False).load, 0)
    heave = float(rng.uniform(-30.0, 60.0))
    return Pose(heave, float(rng.uniform(-0.2, 0.2)), float(rng.uniform(-0.2, 0.2)), load)


@dataclass(frozen=True)
class Plain:
    """The balance on every cell, whole grid; `verdict` is "converged", or why not, and of tissue pressed too far."""

    layer: Layer
    load: Load
    solution: Solution[Pose]
    most_compressed: float

    @property
    def sound(self) -> bool:
        """Whether there is a balance, and one that the law knows."""
        return self.solution.verdict == CONVERGED and self.most_compressed <= PRESSED_THROUGH


def plain(case: Case) -> Plain:
    """Balance a case on every cell."""
    sitter, grid = case.sitter, case.sitter.grid
    area = grid.cell_area_mm2 * grid.wood.ravel()
    gap = sitter.fields.skin + depth_over(grid, case.seat).ravel()
    bed = TissueBed(TISSUE, sitter.fields.backing)
    layer = Layer(*sitter.cells_mm, gap, area, bed)
    load = load_of(sitter.laid(half=False).load, 0)
    load = load if case.load_n is None else replace(load, force_n=case.load_n)
    solution = balance(layer, load)
    overlap = np.where(area > 0.0, solution.value.sink_mm(*sitter.cells_mm) - gap, -1.0)
    most = float(bed.compression(overlap).max())
    return Plain(layer, load, solution, most)


def plain_pressure_kpa(every: Plain) -> Floats:
    """Return the pressure of every cell of the grid at its balance, row by row."""
    return _pressure_mpa(every, every.solution.value) * KPA_PER_MPA


def out_of_balance(every: Plain, pose: Pose) -> float:
    """Return what the pressure of every cell at a pose leaves unborne: of the load, or of load times `ARM_MM`."""
    load = every.load
    force = _pressure_mpa(every, pose) * every.layer.area_mm2
    ahead, right = every.layer.y_mm - load.y_mm, every.layer.x_mm - load.x_mm
    left = (force.sum() - load.force_n, (force * ahead).sum() / ARM_MM, (force * right).sum() / ARM_MM)
    return float(np.max(np.abs(left)) / load.force_n)


def _pressure_mpa(every: Plain, pose: Pose) -> Floats:
    layer = every.layer
    pressure = layer.bed.response(pose.sink_mm(layer.x_mm, layer.y_mm) - layer.gap_mm)[0]
    return np.where(layer.area_mm2 > 0.0, pressure, 0.0)


def compare(seed: int, carve: Carve) -> bool:
    """Hold one case against the plain way; return whether it balances."""
    case = drawn(seed, carve)
    found, every = settle(case.sitter, case.seat, case.load_n, start=case.start), plain(case)
    assert found.solution.converged == every.sound, (seed, found.solution.verdict, every.solution.verdict)
    if not every.sound:
        # Toppling is worded alike; what presses too far balances on every cell, but beyond what the law knows.
        if every.solution.verdict != CONVERGED:
            assert found.solution.verdict == every.solution.verdict, seed
        return False
    pose, other = found.solution.value, every.solution.value
    assert pose.heave_mm == pytest.approx(other.heave_mm, abs=1e-6), seed
    assert (pose.pitch, pose.roll) == pytest.approx((other.pitch, other.roll), abs=1e-8), seed
    assert found.pressure_kpa.ravel() == pytest.approx(plain_pressure_kpa(every), abs=1e-4), seed
    # By statics alone, without any solver: the pressure of every cell bears the load.
    assert out_of_balance(every, pose) < 1e-7, seed
    return True


def compare_all(seeds: range, carve: Carve) -> None:
    balanced = [compare(seed, carve) for seed in seeds]
    # The draw has both: sitters that the seat carries, and such as topple or press through.
    assert any(balanced)
    assert not all(balanced)


def test_foreseen_cells_give_what_every_cell_gives(carve: Carve) -> None:
    compare_all(range(20), carve)


@pytest.mark.slow
def test_foreseen_cells_give_what_every_cell_gives_two_hundred_times(carve: Carve) -> None:
    compare_all(range(1000, 1200), carve)


def test_a_start_that_foresees_no_cell_is_no_verdict(carved_seat: Seat) -> None:
    """A skin far above the seat, begun from higher still or turned aside: it settles as it does from no start."""
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), carved_seat, at_mm=(5.0, 3.0), spacing_mm=8.0)
    low = sitter.laid(half=False)
    depth = carved_seat.depth_mm(low.cells.x_mm, low.cells.y_mm)
    high = replace(low, skin=low.skin + 80.0, _touching=None, _coarse=None)
    usual = replace(high).settle(depth, TISSUE).balances
    assert usual.verdicts == (CONVERGED,)
    assert ((high.skin + depth) > 22.5).all()
    for start in ((20.0, 0.0, 0.0), (40.0, 10.0, 0.0), (40.0, 0.0, 15.0)):
        found = replace(high).settle(depth, TISSUE, np.array([start])).balances
        assert found.verdicts == (CONVERGED,)
        assert found.q[0] == pytest.approx(usual.q[0], abs=1e-6)


def test_what_was_found_on_a_depth_is_kept_for_that_depth_law_and_load_alone(carved_seat: Seat) -> None:
    laid = lay_over(estimate_body("male", 1760.0, 78.0), carved_seat, spacing_mm=8.0).laid(half=False)
    depth = carved_seat.depth_mm(laid.cells.x_mm, laid.cells.y_mm)
    first = laid.settle(depth, TISSUE)
    assert laid.settle(depth.copy(), TISSUE, first.balances.q + 0.1) is first
    others = (
        laid.settle(depth + 1e-3, TISSUE),
        laid.settle(depth, replace(TISSUE, modulus_mpa=1.001 * TISSUE.modulus_mpa)),
        laid.settle(depth, TISSUE, force_n=1.001 * laid.load.force_n),
    )
    for other in others:
        assert np.abs(other.balances.q - first.balances.q).max() > 1e-4
    assert replace(laid).settle(depth, TISSUE) is not first


def test_a_failure_is_not_kept(carved_seat: Seat) -> None:
    laid = lay_over(estimate_body("male", 1760.0, 78.0), carved_seat, spacing_mm=8.0).laid(half=False)
    depth, heavy = carved_seat.depth_mm(laid.cells.x_mm, laid.cells.y_mm), 100.0 * laid.load.force_n
    lost = laid.settle(depth, TISSUE, force_n=heavy)
    assert lost.balances.verdicts != (CONVERGED,)
    assert laid.settle(depth, TISSUE, force_n=heavy) is not lost
