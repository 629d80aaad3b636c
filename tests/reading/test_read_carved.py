"""A seat to a scan and back: what is read is what was carved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh
from seatmesh.reading.carved import AsDrawn, RimPlane, RimPoints, read_carved
from seatmesh.solids.carved import solid
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import contains

Floats = NDArray[np.float64]
Put = Callable[[bytes, str], Path]
TURN = Rotation.from_euler("xyz", [3.0, -4.0, 7.0], degrees=True).as_matrix()
MOVE = np.array([310.0, -120.0, 45.0])


def away_mm(seat: Seat, again: Seat) -> Floats:
    """Differences of depth over a grid of 2 mm, 3 mm and more away from crisp edges and the outline."""
    x, y = np.meshgrid(np.arange(-238.0, 239.0, 2.0), np.arange(2.0, 429.0, 2.0))
    polygon = seat.blank.polygon_mm()
    assert seat.hollow is not None
    # The hollow meets the flat where its spline is 0; it rises there by 0.2 mm a mm at most.
    crisp = (np.abs(seat.hollow(x, y)) < 0.6) | (np.abs(y - seat.blank.deck_mm) < 3.0)
    sound = contains(np.column_stack([polygon[:, 0] * 0.985, polygon[:, 1] * 0.985 + 3.0]), x, y) & ~crisp
    return (again.depth_mm(x, y) - seat.depth_mm(x, y))[sound]


def rms(values: Floats) -> float:
    return float(np.sqrt(np.mean(values**2)))


def stl(mesh: Mesh, put: Put) -> Path:
    return put(mesh_bytes(mesh, "stl"), ".stl")


@pytest.mark.parametrize(
    "options", [{}, {"front_roll_mm": 0.0}, {"outline": "tapered to the rear", "front_roll_mm": 12.0}]
)
def test_seat_to_stl_and_back_keeps_the_seat(carve: Any, put: Put, options: dict[str, Any]) -> None:
    seat = carve(deeper_on_the_right_mm=3.0, **options)
    got = read_carved(stl(solid(seat), put), seat.blank, unit="mm", placing=AsDrawn())
    assert rms(away_mm(seat, got.seat)) < 0.02
    # Beside the crisp edge the corners of a mesh of 0.1 mm stand up to 10 mm apart.
    assert np.median(np.abs(away_mm(seat, got.seat))) < 0.001
    # The mesh's chords lie up to 0.075 mm inside the roll.
    assert got.seat.front_roll_mm == pytest.approx(seat.front_roll_mm, abs=0.15)
    assert got.residual_rms_mm < 0.02
    assert got.residual_95_mm < 0.035
    assert got.coverage > 0.99
    assert got.widest_hole_mm < 12.0
    assert got.deck_rms_mm == pytest.approx(0.0, abs=1e-4)
    assert (got.strays, got.stray_points, got.outliers) == (0, 0, 0)
    assert got.unit == "mm"
    assert got.seat.blank == seat.blank


def scanned(seat: Seat, hole_at: tuple[float, float] = (70.0, 140.0)) -> Mesh:
    """A fine mesh with 0.2 mm of noise and a hole of 30 mm in the hollow."""
    mesh = solid(seat, 0.02)
    noise = np.random.default_rng(7).normal(0.0, 0.2, mesh.vertices_mm.shape)
    x, y, z = mesh.vertices_mm.T
    gone = (np.hypot(x - hole_at[0], y - hole_at[1]) < 15.0) & (z > -40.0)
    return Mesh(mesh.vertices_mm + noise, mesh.faces[~gone[mesh.faces].any(axis=1)])


@pytest.mark.parametrize("placing", [AsDrawn(), None], ids=["as drawn", "rim plane, askew"])
def test_noise_and_a_hole_are_smoothed_and_bridged(uneven_seat: Seat, put: Put, placing: Any) -> None:
    scan = scanned(uneven_seat)
    if placing is None:
        scan = Mesh(scan.vertices_mm @ TURN.T + MOVE, scan.faces)
    got = read_carved(stl(scan, put), uneven_seat.blank, unit="mm", placing=placing)
    assert rms(away_mm(uneven_seat, got.seat)) < 0.15
    x, y = np.meshgrid(np.arange(56.0, 85.0, 2.0), np.arange(126.0, 155.0, 2.0))
    assert rms(got.seat.depth_mm(x, y) - uneven_seat.depth_mm(x, y)) < 0.15
    assert got.noise_mm == pytest.approx(0.2, rel=0.25)
    assert got.residual_rms_mm == pytest.approx(0.2, rel=0.25)
    assert 24.0 < got.widest_hole_mm < 34.0
    assert 0.98 < got.coverage < 1.0


def test_a_seat_that_lies_askew_is_laid_into_the_frame(uneven_seat: Seat, put: Put) -> None:
    mesh = solid(uneven_seat)
    path = stl(Mesh(mesh.vertices_mm @ TURN.T + MOVE, mesh.faces), put)
    got = read_carved(path, uneven_seat.blank, unit="mm")
    assert rms(away_mm(uneven_seat, got.seat)) < 0.02
    np.testing.assert_allclose(got.frame.axes, TURN.T, atol=2e-4)
    np.testing.assert_allclose(got.frame.origin, MOVE, atol=0.05)


@pytest.mark.parametrize("upside_down", [False, True])
def test_rim_points_and_centre_line_lay_it_too(uneven_seat: Seat, put: Put, upside_down: bool) -> None:
    mesh = solid(uneven_seat)
    turn = TURN @ np.diag([1.0, -1.0, -1.0]) if upside_down else TURN

    def moved(*points: tuple[float, float, float]) -> Any:
        return tuple(map(tuple, ((np.array(points) @ turn.T + MOVE) / 25.4).tolist()))

    scan = Mesh((mesh.vertices_mm @ turn.T + MOVE) / 25.4, mesh.faces)
    line = moved((0.0, 0.0, 0.0), (0.0, 430.0, -10.0))
    rim = moved((-200.0, 20.0, 0.0), (200.0, 25.0, 0.0), (-230.0, 200.0, 0.0))
    by_points = read_carved(stl(scan, put), uneven_seat.blank, unit="in", placing=RimPoints(line, rim))
    assert rms(away_mm(uneven_seat, by_points.seat)) < 0.02
    by_plane = read_carved(stl(scan, put), uneven_seat.blank, unit="in", placing=RimPlane(line))
    assert rms(away_mm(uneven_seat, by_plane.seat)) < 0.02
    assert by_plane.unit == "in"


def test_strays_and_outliers_do_not_shape_the_seat(uneven_seat: Seat, put: Put) -> None:
    mesh = solid(uneven_seat)
    crumbs = solid(flat_seat(Blank(width_mm=60.0, depth_mm=50.0, corner_radius_mm=10.0)), 0.5)
    count = len(mesh.vertices_mm)
    points = [
        mesh.vertices_mm,
        crumbs.vertices_mm + np.array([60.0, 200.0, 60.0]),
        crumbs.vertices_mm + np.array([900.0, 0.0, 0.0]),
    ]
    faces = [mesh.faces, crumbs.faces + count, crumbs.faces + count + len(crumbs.vertices_mm)]
    vertices = np.vstack(points)
    spikes = np.random.default_rng(3).choice(count, 60, replace=False)
    # On the rim one corner of a wide facet lifts half a hand of it, which is no spike.
    spikes = spikes[(vertices[spikes, 2] > -30.0) & (vertices[spikes, 2] < -1.0)]
    vertices[spikes, 2] += 2.5
    cluttered = Mesh(vertices, np.vstack(faces))
    got = read_carved(
        stl(cluttered, put), uneven_seat.blank, unit="mm", placing=AsDrawn(), front_roll_radius_mm=20.0
    )
    assert got.strays == 2
    assert got.stray_points == 2 * len(crumbs.vertices_mm)
    assert rms(away_mm(uneven_seat, got.seat)) < 0.03
    assert got.outliers > 10


def test_a_probed_point_list_is_enough(uneven_seat: Seat, put: Put) -> None:
    x, y = np.meshgrid(np.arange(-238.0, 239.0, 7.0), np.arange(2.0, 429.0, 7.0))
    own = contains(uneven_seat.blank.polygon_mm(), x, y)
    points = np.column_stack([x[own], y[own], -uneven_seat.depth_mm(x, y)[own]])
    far_off = np.array([[5000.0, 0.0, 0.0], [0.0, 0.0, 900.0]])
    text = "x_mm,y_mm,z_mm\n" + "".join(f"{a},{b},{c}\n" for a, b, c in np.vstack([points, far_off]).tolist())
    path = put(text.encode(), ".csv")
    got = read_carved(path, uneven_seat.blank, placing=AsDrawn(), front_roll_radius_mm=20.0)
    assert rms(away_mm(uneven_seat, got.seat)) < 0.1
    assert got.unit == "mm"
    assert got.stray_points == 2
    assert got.widest_hole_mm == pytest.approx(7.0 * np.sqrt(2.0), abs=4.0)


def test_a_flat_seat_reads_back_flat(put: Put) -> None:
    blank = Blank()
    got = read_carved(stl(solid(flat_seat(blank)), put), blank, unit="mm")
    x, y = np.meshgrid(np.arange(-200.0, 201.0, 10.0), np.arange(60.0, 420.0, 10.0))
    assert np.abs(got.seat.depth_mm(x, y)).max() < 0.05
    assert got.seat.front_roll_mm == 0.0


def test_the_unit_is_asked_for_and_looked_at(uneven_seat: Seat, put: Put, three_mf: Any) -> None:
    mesh, blank = solid(uneven_seat, 0.5), uneven_seat.blank
    path = stl(mesh, put)
    with pytest.raises(
        ValueRefusedError, match=r"unit = None: scan .* does not say its unit; allowed are mm, in, m"
    ):
        read_carved(path, blank)
    with pytest.raises(ValueRefusedError, match="unit = 'furlong': allowed are"):
        read_carved(path, blank, unit="furlong")
    for factor, said, meant in (
        (1.0 / 25.4, "mm", "in"),
        (1.0, "in", "mm"),
        (0.001, "mm", "m"),
        (0.1, "mm", "cm"),
    ):
        with pytest.raises(ValueRefusedError, match=f"unit and scale = '{said}': .* fits in {meant}: say so"):
            read_carved(stl(mesh.scaled(factor), put), blank, unit=said)
    with pytest.raises(ValueRefusedError, match=r"looks like a model at 1:5: say --scale 1:5, if it is"):
        read_carved(stl(mesh.scaled(0.2), put), blank, unit="mm")
    with pytest.raises(ValueRefusedError, match="check that it is this seat"):
        read_carved(stl(mesh.scaled(0.42), put), blank, unit="mm")
    xml, zipped = three_mf
    inches = put(zipped(xml(mesh.scaled(1.0 / 25.4), "inch")), ".3mf")
    # The mesh keeps 0.5 mm, not the 0.1 of others.
    assert rms(away_mm(uneven_seat, read_carved(inches, blank, placing=AsDrawn()).seat)) < 0.03
    with pytest.raises(ValueRefusedError, match="says that it is in in; leave the unit out"):
        read_carved(inches, blank, unit="mm")


def test_notes_say_what_to_look_at(uneven_seat: Seat, put: Put) -> None:
    given: Any = {"unit": "mm", "placing": AsDrawn(), "front_roll_radius_mm": 20.0}
    mesh = solid(uneven_seat, 0.3)
    asks_more = replace(uneven_seat.blank, floor_mm=26.0)
    got = read_carved(stl(mesh, put), asks_more, **given)
    deepest = float(uneven_seat.depth_mm(np.arange(-240.0, 241.0)[:, None], np.arange(431.0)).max())
    (note,) = (note for note in got.notes if "too deep for floor, bevel and joints" in note)
    assert float(note.split(" mm")[0]) == pytest.approx(deepest + 26.0 - 45.0, abs=0.1)
    fine = solid(uneven_seat, 0.05)
    x, y, z = fine.vertices_mm.T
    holed = Mesh(
        fine.vertices_mm,
        fine.faces[~((np.hypot(x - 60.0, y - 250.0) < 17.0) & (z > -40.0))[fine.faces].any(axis=1)],
    )
    got = read_carved(stl(holed, put), uneven_seat.blank, **given)
    assert any("was bridged: check the depth there" in note for note in got.notes)
    top_only = Mesh(mesh.vertices_mm, mesh.faces[(mesh.vertices_mm[mesh.faces][:, :, 2] > -44.0).any(axis=1)])
    got = read_carved(stl(top_only, put), uneven_seat.blank, **given)
    assert "the underside was not seen: thickness and floor are the order's word" in got.notes
    lifted = Mesh(mesh.vertices_mm + np.array([0.0, 0.0, 0.2]), mesh.faces)
    got = read_carved(stl(lifted, put), uneven_seat.blank, **given)
    assert any("the deck lies 0.2 mm off" in note for note in got.notes)
    with pytest.raises(
        ValueRefusedError, match=r"laid as it was given, .*the wood behind the deck line is not flat"
    ):
        read_carved(
            stl(Mesh(mesh.vertices_mm + np.array([0.0, 0.0, 1.5]), mesh.faces), put),
            uneven_seat.blank,
            **given,
        )


def test_what_cannot_be_laid_into_the_frame_is_refused(uneven_seat: Seat, put: Put) -> None:
    mesh, blank = solid(uneven_seat, 0.5), uneven_seat.blank
    path = stl(mesh, put)
    line = ((0.0, 0.0, 0.0), (0.0, 430.0, 0.0))
    cases: list[tuple[Any, str]] = [
        (RimPoints(line, ((0.0, 0.0, 0.0), (0.0, 200.0, 0.0), (0.0, 430.0, 0.1))), "next to one line"),
        (RimPoints(line, ((0.0, 0.0, 0.0), (1.0, 2.0, np.nan), (9.0, 9.0, 9.0))), "three finite numbers"),
        (RimPoints(line, ((0.0, 0.0, 0.0),)), "allowed are 3 points"),  # type: ignore[arg-type]
        (RimPlane(((0.0, 0.0, 0.0), (0.0, 0.0, 50.0))), "centre_line = .* apart along it"),
    ]
    for placing, words in cases:
        with pytest.raises(ValueRefusedError, match=words):
            read_carved(path, blank, unit="mm", placing=placing)
    ball = np.random.default_rng(5).normal(size=(4000, 3))
    ball *= 230.0 / np.linalg.norm(ball, axis=1)[:, None]
    text = "".join(f"{a} {b} {c}\n" for a, b, c in ball.tolist()).encode()
    with pytest.raises(ValueRefusedError, match="no side of it lies flat enough"):
        read_carved(put(text, ".xyz"), blank, unit="mm")
    with pytest.raises(
        ValueRefusedError, match=r"its outline, 480 x 430 mm seen from above, does not fit the blank's"
    ):
        read_carved(stl(mesh, put), replace(blank, width_mm=560.0), unit="mm")
    with pytest.raises(ValueRefusedError, match="front_roll_radius_mm = -1"):
        read_carved(path, blank, unit="mm", front_roll_radius_mm=-1.0)
    with pytest.raises(FileRefusedError, match="from the origin"):
        read_carved(stl(Mesh(mesh.vertices_mm + 1e9, mesh.faces), put), blank, unit="mm")
    with pytest.raises(
        ValueRefusedError, match=r"0% of the deck was seen, and without it the scan has no level"
    ):
        read_carved(
            stl(Mesh(mesh.vertices_mm + np.array([0.0, 330.0, 0.0]), mesh.faces), put),
            blank,
            unit="mm",
            placing=AsDrawn(),
        )


def test_the_same_scan_gives_the_same_seat(uneven_seat: Seat, put: Put) -> None:
    path = stl(solid(uneven_seat, 0.3), put)
    first, second = (
        read_carved(path, uneven_seat.blank, unit="mm", placing=AsDrawn()).seat for _ in range(2)
    )
    assert first.hollow is not None
    assert second.hollow is not None
    np.testing.assert_array_equal(first.hollow.coefficients, second.hollow.coefficients)
