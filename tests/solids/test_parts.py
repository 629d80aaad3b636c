from __future__ import annotations

import numpy as np
import pytest

from seatmesh.mesh import Mesh, facet_areas_mm2
from seatmesh.outline import area_mm2
from seatmesh.solids.carved import solid
from seatmesh.solids.parts import PARTS, facet_parts
from seatmesh.surface import Seat, flat_seat


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
    assert set(part) == set(PARTS)
    y, z = corners[..., 1], corners[..., 2]
    assert y[part == "deck"].max() <= 50.0
    assert y[part == "front roll"].min() >= 430.0 - 20.0 * np.sin(np.pi / 3) - 1e-9
    assert np.all(z[part == "underside"] == -45.0)
    assert np.all(z[part == "rim"] > -0.5)
    assert np.all(z[part == "hollow"].min(axis=1) < 0.0)
