"""Gutters are rolled out to mesh them: the sheet is as wide as the arc, and what comes of it lies on the wood."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from seatmesh.mesh import faults, volume_mm3
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.measured import measured_distance_mm
from seatmesh.solids.plan.gutter_sheet import gutter_sheet, upright_lip_mm
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

Carve = Callable[..., Seat]


@pytest.mark.parametrize("line", ["straight", "bowed"])
def test_the_sheet_is_as_wide_as_the_arc_and_leads_back_to_where_a_place_was(line: str) -> None:
    blank = Blank(deck_line=line, deck_bow_mm=25.0, gutter_width_mm=8.0, gutter_depth_mm=4.0)  # type: ignore[arg-type]
    sheet = gutter_sheet(blank)
    assert sheet is not None
    # A gutter half as deep as it is wide is half a circle.
    assert np.ptp(sheet.across) == pytest.approx(4.0 * np.pi, rel=1e-9)
    rng = np.random.default_rng(3)
    at = np.column_stack([rng.uniform(5.0, 200.0, 50), rng.uniform(sheet.across[0], sheet.across[-1], 50)])
    plan = sheet.plan(at)
    np.testing.assert_allclose(sheet.rolled_out(plan), at, atol=2e-3)
    np.testing.assert_allclose(blank.ahead_of_deck_mm(*plan.T), sheet.ahead_mm(at), atol=0.02)


def test_a_gutter_that_turns_a_sharp_corner_stays_in_the_plan() -> None:
    sharp = Blank(outline="straight-sided", deck_line="offset", corner_radius_mm=10.0, gutter_depth_mm=3.0)
    assert gutter_sheet(sharp) is None
    assert gutter_sheet(Blank()) is None


def test_a_gutter_deeper_than_half_its_width_has_upright_sides_and_fine_tolerances_are_kept(
    carve: Carve,
) -> None:
    seat = carve(gutter_width_mm=10.0, gutter_depth_mm=5.25, front_roll_mm=0.0)
    # Radius (25 + 5.25^2) / 10.5 = 5.00595; its middle lies 0.24405 below the top face, and so do both lips twice.
    assert upright_lip_mm(seat.blank) == pytest.approx(0.4881, abs=1e-4)
    mesh = solid(seat, 0.04)
    assert faults(mesh) == ()
    assert len(mesh.faces) < 60_000
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=5e-4)
    assert measured_distance_mm(mesh, seat) <= 0.04


def test_no_strip_of_the_round_runs_across_the_seat_where_an_edge_crosses_one_ring_more_often(
    carve: Carve,
) -> None:
    seat = carve(
        outline="tapered to the rear", deck_mm=47.52330039344169, gutter_width_mm=7.358234087040017,
        gutter_depth_mm=2.8964824318660316, round_over_mm=8.811157186676638, corner_radius_mm=63.909249314360025,
        front_roll_mm=25.0,
    )  # fmt: skip
    mesh = solid(seat, 0.5)
    assert measured_distance_mm(mesh, seat) <= 0.5
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=1e-3)
