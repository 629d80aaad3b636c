from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from seatmesh.front_roll import roll_length_mm
from seatmesh.mesh import Mesh, facet_areas_mm2
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.solids.parts import PARTS, facet_parts
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.joint_cuts import Hole
from seatmesh.wood.outline.shapes import area_mm2


def areas_mm2(mesh: Mesh, seat: Seat) -> dict[str, float]:
    part, area = np.array(facet_parts(mesh, seat)), facet_areas_mm2(mesh)
    return {name: float(area[part == name].sum()) for name in PARTS}


def test_the_parts_of_an_uncarved_seat_have_their_own_areas() -> None:
    seat = flat_seat()
    mesh = solid(seat)
    ring = seat.blank.polygon_mm()
    girth = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum()
    areas = areas_mm2(mesh, seat)
    assert areas["underside"] == pytest.approx(area_mm2(ring), rel=1e-9)
    assert areas["deck"] + areas["rim"] == pytest.approx(area_mm2(ring), rel=1e-9)
    assert areas["wall"] == pytest.approx(45.0 * girth, rel=1e-9)
    assert areas["hollow"] == areas["front roll"] == 0.0


def test_each_part_of_a_carved_seat_lies_where_its_name_says(carved_seat: Seat) -> None:
    mesh = solid(carved_seat)
    part, corners = np.array(facet_parts(mesh, carved_seat)), mesh.vertices_mm[mesh.faces]
    assert set(part) == {"deck", "rim", "hollow", "front roll", "wall", "underside"}
    y, z = corners[..., 1], corners[..., 2]
    assert y[part == "deck"].max() <= 50.0
    assert y[part == "front roll"].min() >= 430.0 - roll_length_mm(20.0) - 1e-9
    assert np.all(z[part == "underside"] == -45.0)
    assert np.all(z[part == "rim"] > -0.5)
    assert np.all(z[part == "hollow"].min(axis=1) < 0.0)


def test_gutter_round_bevel_and_holes_are_parts_of_their_own(carve: Callable[..., Seat]) -> None:
    """A straight-sided blank with mitred corners, whose round-over and bevel have areas in closed form."""
    seat = carve(
        outline="straight-sided",
        front_roll_mm=0.0,
        gutter_depth_mm=3.0,
        round_over_mm=6.0,
        under_bevel_width_mm=30.0,
        under_bevel_height_mm=16.0,
    )
    mesh = solid(seat)
    drilled = cut_holes(mesh, [Hole(150.0, 300.0, 25.0, depth_mm=20.0)])
    assert areas_mm2(mesh, seat)["joint hole"] == 0.0
    areas = areas_mm2(drilled, seat)
    assert set(facet_parts(drilled, seat)) == set(PARTS) - {"front roll"}
    # A polygon in place of the circle has up to 1 % less.
    assert areas["joint hole"] == pytest.approx(np.pi * 25.0 * 20.0 + np.pi * 12.5**2, rel=0.01)
    # Each side's bevel is a trapezium, 34 mm wide down the slope.
    assert areas["under-bevel"] == pytest.approx((2.0 * 480.0 + 2.0 * 430.0 - 4.0 * 30.0) * 34.0, rel=1e-9)
    # Of a quarter cylinder cut by a mitre at either end, by integration: r (pi / 2 L - 2 r (pi / 2 - 1)).
    sides = np.array([480.0, 480.0, 430.0, 430.0])
    quarters = 6.0 * (0.5 * np.pi * sides - 2.0 * 6.0 * (0.5 * np.pi - 1.0))
    # The gutter runs out across it on either side.
    assert areas["round-over"] == pytest.approx(quarters.sum(), rel=0.01)
