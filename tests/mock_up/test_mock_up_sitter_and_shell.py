from __future__ import annotations

from dataclasses import replace

import manifold3d
import numpy as np
import pytest
import pyvista

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh, extents_mm, faults, volume_mm3
from seatmesh.mock_up.booleans import as_manifold
from seatmesh.mock_up.shell import shell
from seatmesh.mock_up.sitter_body import sitter_body
from seatmesh.seating.sit import sit
from seatmesh.seating.sitting import Sitting
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat


@pytest.fixture(scope="module")
def sitting(uneven_seat: Seat) -> Sitting:
    return sit(read_body(bodies_folder() / "cello.toml"), uneven_seat)


def back_on_the_seat(mesh: Mesh, scale: float, top_mm: float) -> manifold3d.Manifold:
    """Turn a printed sitter back over onto the seat, in the frame of the blank, full size."""
    x, y, z = mesh.vertices_mm.T / scale
    return as_manifold(Mesh(np.column_stack([-x, y, top_mm - z]), mesh.faces))


@pytest.mark.parametrize("scale", [0.25, 1.0])
def test_the_sitter_is_printed_flat_side_down_in_parts_that_fit(sitting: Sitting, scale: float) -> None:
    mock = sitter_body(sitting, scale)
    assert (len(mock.parts) == 1) == (scale < 0.5)
    for part in mock.parts:
        assert faults(part.mesh) == ()
        assert np.all(extents_mm(part.mesh) <= 220.0)
        assert part.mesh.vertices_mm[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    lowest = float(np.minimum(sitting.skin_mm, 1e9).min())
    pressed = np.maximum(
        sitting.skin_mm, -sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None])
    )
    height = max(extents_mm(part.mesh)[2] for part in mock.parts)
    assert height == pytest.approx(scale * (40.0 - pressed.min()), rel=2e-3)
    assert lowest < pressed.min()


def test_pressed_sitter_and_seat_fit_together_in_the_hand(sitting: Sitting) -> None:
    whole = sitter_body(sitting, "1:2", bed_mm=(300.0, 300.0, 300.0)).parts[0]
    sitter = back_on_the_seat(whole.in_place(), 0.5, 40.0)
    wood = as_manifold(solid(sitting.seat))
    # Both are meshes within their tolerance: over the contact they run into one another by 0.02 mm on average.
    assert (sitter ^ wood).volume() < 2.5e-4 * sitter.volume()
    # Let down by 1 mm it meets the wood over about the contact area.
    cell = (sitting.x_mm[1] - sitting.x_mm[0]) * (sitting.y_mm[1] - sitting.y_mm[0])
    contact = float(((sitting.pressure_kpa > 0.0) * sitting.wood).sum() * cell)
    lowered = (sitter.translate((0.0, 0.0, -1.0)) ^ wood).volume()
    assert contact < lowered < 1.25 * contact


def test_the_free_skin_passes_through_the_seat_by_the_overlap(sitting: Sitting) -> None:
    whole = sitter_body(sitting, "1:2", skin="free", bed_mm=(300.0, 300.0, 300.0)).parts[0]
    wood = as_manifold(solid(sitting.seat))
    cell = (sitting.x_mm[1] - sitting.x_mm[0]) * (sitting.y_mm[1] - sitting.y_mm[0])
    top = -sitting.seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None])
    overlap = float((np.maximum(top - sitting.skin_mm, 0.0) * sitting.wood).sum() * cell)
    assert (back_on_the_seat(whole.in_place(), 0.5, 40.0) ^ wood).volume() == pytest.approx(overlap, rel=0.01)


def test_the_sitters_right_stays_on_the_right(sitting: Sitting) -> None:
    lifted = np.where(sitting.x_mm[None, :] > 0.0, sitting.skin_mm + 15.0, sitting.skin_mm)
    mesh = sitter_body(
        replace(sitting, skin_mm=lifted), "1:2", skin="free", bed_mm=(300.0, 300.0, 300.0)
    ).parts[0]
    x, _, z = mesh.in_place().vertices_mm.T
    deepest_right, deepest_left = z[-x > 5.0].max(), z[-x < -5.0].max()
    right = sitting.x_mm > 5.0
    assert deepest_right == pytest.approx(0.5 * (40.0 - lifted[:, right].min()), abs=0.02)
    assert deepest_left == pytest.approx(0.5 * (40.0 - lifted[:, right[::-1]].min()), abs=0.02)
    assert deepest_left > deepest_right + 3.0


def test_a_sitter_that_cannot_be_printed_is_refused(sitting: Sitting) -> None:
    with pytest.raises(ValueRefusedError, match="skin = 'worn': allowed are pressed, free"):
        sitter_body(sitting, "1:4", skin="worn")  # type: ignore[arg-type]
    with pytest.raises(ValueRefusedError, match=r"top_mm = 0\.0"):
        sitter_body(sitting, "1:4", top_mm=0.0)
    with pytest.raises(ValueRefusedError, match="allowed is a sitter in balance"):
        sitter_body(replace(sitting, verdict="toppled"), "1:4")
    with pytest.raises(ValueRefusedError, match="all of the body is above it"):
        sitter_body(replace(sitting, skin_mm=sitting.skin_mm + 200.0), "1:4")


def test_the_shell_is_as_thick_as_asked_square_to_the_surface(uneven_seat: Seat) -> None:
    thickness = 4.0
    mesh = shell(uneven_seat, thickness)
    assert faults(mesh) == ()
    upper = solid(uneven_seat)
    corners = upper.vertices_mm[upper.faces]
    looks_up = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] > 0.0
    face = upper.faces[looks_up]
    top = pyvista.PolyData(upper.vertices_mm, np.column_stack([np.full(len(face), 3), face]).ravel())
    x, y, z = mesh.vertices_mm.T
    inside = (np.abs(x) < 225.0) & (y > 15.0) & (y < 405.0)
    below = inside & (z + uneven_seat.depth_mm(x, y) < -0.5 * thickness)
    away = np.abs(
        pyvista.PolyData(mesh.vertices_mm[below]).compute_implicit_distance(top)["implicit_distance"]
    )
    assert np.count_nonzero(below) > 1000
    # Within the 0.1 mm of the upper side's mesh and what a grid of 2 mm leaves at creases.
    assert away.min() > thickness - 0.13
    assert away.max() < thickness + 0.12
    assert away.mean() == pytest.approx(thickness, abs=0.03)
    area = float(
        np.linalg.norm(
            np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[looks_up], axis=1
        ).sum()
        / 2
    )
    assert volume_mm3(mesh) == pytest.approx(thickness * area, rel=0.02)


def test_the_shell_keeps_the_seats_upper_side(uneven_seat: Seat) -> None:
    x, y, z = shell(uneven_seat, 3.0).vertices_mm.T
    on_top = z + uneven_seat.depth_mm(x, y) > -0.2
    assert np.count_nonzero(on_top) > 2000
    assert np.abs(z + uneven_seat.depth_mm(x, y))[on_top].max() < 0.15


@pytest.mark.parametrize("thickness_mm", [0.0, 0.3, 20.0, float("nan")])
def test_a_shell_too_thin_or_too_thick_is_refused(carved_seat: Seat, thickness_mm: float) -> None:
    with pytest.raises(ValueRefusedError, match="thickness_mm = "):
        shell(carved_seat, thickness_mm)
