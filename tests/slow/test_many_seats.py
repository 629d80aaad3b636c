"""Many random orders: every bound, every balance, every mesh."""

import numpy as np
import pytest
import trimesh
from random_orders import random_order

from seatmesh import estimate_body, sit, solid
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import design
from seatmesh.errors import InputError
from seatmesh.solids.carved import surface_volume_mm3

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("seed", range(40))
def test_a_random_order(seed):
    order = order_from_table(random_order(seed), "order", "seat")
    made = design(order)
    blank, seat = order.blank, made.seat
    x = np.arange(0.0, blank.width_mm / 2, 0.25)
    x = np.concatenate([-x[:0:-1], x])
    y = np.arange(0.0, blank.depth_mm, 0.25)
    for start in range(0, len(y), 200):
        rows = y[start : start + 200]
        depth = seat.depth_mm(x[None, :], rows[:, None])
        assert depth.max() <= blank.greatest_depth_mm + 1e-12
        assert depth.min() >= 0.0
        assert np.all(depth[rows <= blank.deck_mm] == 0.0)
        assert np.abs(depth - depth[:, ::-1]).max() < 1e-9
    for result in made.results:
        assert result.best.figures.balance_error < 1e-3
    mesh = solid(seat)
    body = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.body_count == 1
    assert body.volume == pytest.approx(surface_volume_mm3(seat), rel=1e-3)


@pytest.mark.parametrize("seed", range(200))
def test_a_random_body_sits_or_says_why_not(seed):
    rng = np.random.default_rng(1000 + seed)
    try:
        body = estimate_body(
            [None, "male", "female"][rng.integers(3)],
            float(rng.uniform(1350, 2100)),
            float(rng.uniform(38, 190)),
        )
    except InputError:
        return
    order = order_from_table({"sitter": [{"body": "viola"}]}, "order", "seat")
    from seatmesh import Seat

    posture = ["upright", "slouched", "leaning forward", "legs apart", "right leg crossed"][rng.integers(5)]
    sitting = sit(
        body, Seat(order.blank, order.chair), posture=posture, at_mm=(float(rng.uniform(-40, 40)), 0.0)
    )
    assert np.all(np.isfinite(sitting.pressure_kpa))
    if sitting.converged:
        assert sitting.figures.balance_error < 1e-3
    else:
        assert len(sitting.verdict) > 20
