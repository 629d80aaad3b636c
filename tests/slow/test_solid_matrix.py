"""Sixteen seats unlike one another: their solids are well shaped, whole and true, and mock-ups of all are made."""

from __future__ import annotations

import time

import pytest
from self_intersections import self_intersections
from solid_seats import SEATS
from solids_table import row

from seatmesh.formats.height_map import height_map
from seatmesh.formats.mesh_scale import usual_tolerance_mm
from seatmesh.mesh import faults, volume_mm3
from seatmesh.mock_up.booleans import as_manifold
from seatmesh.mock_up.seat import mock_up
from seatmesh.solids.carved import solid, surface_volume_mm3
from seatmesh.solids.holes import cut_holes
from seatmesh.wood.joint_cuts import joint_cuts

pytestmark = pytest.mark.slow

SCALES = ("1:1", "1:2", "1:3", "1:4", "1:5", "1:6", "1:8", "1:10")
BEDS_MM = ((220.0, 220.0, 220.0), (180.0, 180.0, 180.0), (120.0, 120.0, 120.0))


@pytest.mark.parametrize("name", SEATS)
@pytest.mark.parametrize("tolerance_mm", [0.1, 0.8])
def test_a_solid_has_no_small_angle_off_lines_and_keeps_its_tolerance(name: str, tolerance_mm: float) -> None:
    one = row(SEATS[name](), tolerance_mm, holes=False)
    assert one.faults == ()
    assert one.least_off_lines_deg >= 10.0
    assert one.shortest_mm >= 1e-3
    assert one.reached_mm <= tolerance_mm


@pytest.mark.parametrize("name", SEATS)
def test_no_facets_pass_through_one_another_with_joint_holes_or_without(name: str) -> None:
    seat = SEATS[name]()
    mesh = solid(seat)
    assert self_intersections(mesh) == 0
    assert volume_mm3(mesh) == pytest.approx(surface_volume_mm3(seat), rel=1e-3)
    if cuts := joint_cuts(seat.blank):
        cut = cut_holes(mesh, cuts)
        assert faults(cut) == ()
        assert self_intersections(cut) == 0


def test_facets_that_pass_through_one_another_are_found() -> None:
    seat = SEATS["flat board"]()
    mesh = solid(seat)
    moved = mesh.vertices_mm.copy()
    deepest = moved[:, 2].argmin()
    moved[deepest, 2] = 40.0
    assert self_intersections(type(mesh)(moved, mesh.faces)) > 0


@pytest.mark.parametrize("name", SEATS)
def test_a_small_model_has_fewer_facets(name: str) -> None:
    seat = SEATS[name]()
    large, small = (len(solid(seat, usual_tolerance_mm(scale)).faces) for scale in (1.0, 0.125))
    assert small < 27_000
    assert small < 0.7 * large or large < 15_000


@pytest.mark.parametrize("name", SEATS)
def test_mock_ups_of_every_seat_are_made_at_every_scale_on_every_bed(name: str) -> None:
    seat = SEATS[name]()
    whole = surface_volume_mm3(seat)
    for scale in SCALES:
        for bed_mm in BEDS_MM:
            mock = mock_up(seat, scale, bed_mm=bed_mm)
            parts = sum(volume_mm3(part.mesh) for part in mock.parts)
            assert parts + mock.loose_mm3 + mock.panels_mm3 == pytest.approx(mock.whole_mm3, rel=1e-4)
            if not mock.notes:
                assert mock.whole_mm3 == pytest.approx(whole * mock.scale**3, rel=3e-3)
            bodies = [as_manifold(part.in_place()) for part in mock.parts if part.name != "peg"]
            for peg in (part for part in mock.parts if part.name == "peg"):
                bar = as_manifold(peg.in_place())
                assert max((body ^ bar).volume() for body in bodies) < 1e-6 * mock.whole_mm3


@pytest.mark.parametrize("name", ["offset deck, gutter", "offset deck far forward, waisted, all edges"])
def test_a_curved_deck_takes_no_longer_than_a_few_seconds(name: str) -> None:
    """Processor time on a machine that others use too: alone it is half."""
    seat = SEATS[name]()
    for run, most in ((solid, 6.0), (height_map, 4.0)):
        begun = time.process_time()
        run(seat)
        assert time.process_time() - begun < most
