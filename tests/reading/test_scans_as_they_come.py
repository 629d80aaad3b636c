"""A few scans as they come, small ones: the sixty drawn ones are in the slow suite."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent))

from drawn_scans import (
    RIGHT_MM,
    Drawn,
    body_of,
    box,
    kept,
    legs,
    meshed,
    off_mm,
    sampled,
    seen_from_above,
    table_top_only,
    waves,
)

from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.fit.hollow import deepest_place
from seatmesh.formats.scan_contents import Raw
from seatmesh.reading.carved import AsDrawn, Carved, RimPoints, read_carved
from seatmesh.reading.quality.maps import meant_figures, quality
from seatmesh.reading.quality.picture import quality_picture
from seatmesh.reading.surroundings import without_surroundings
from seatmesh.surface import Seat

Floats = NDArray[np.float64]
Put = Callable[[bytes, str], Path]
NOISE_MM = 0.3
"""Of a phone's scan."""


def points_of(body: Any, seat: Seat, apart_mm: float, on_table: bool = False) -> Floats:
    """Return places on what a scanner sees from above of a body, about so far apart."""
    mesh = meshed(body, 6.0)
    if on_table:
        mesh = kept(mesh, table_top_only(mesh, seat))
    mesh = kept(mesh, seen_from_above(mesh))
    corners = mesh.vertices_mm[mesh.faces]
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = 0.5 * float(np.linalg.norm(across, axis=1).sum())
    return sampled(mesh, int(area / apart_mm**2), np.random.default_rng(4))


def shaken(points: Floats, sigma_mm: float = NOISE_MM) -> Floats:
    return points + np.random.default_rng(8).normal(0.0, sigma_mm, points.shape)


def read(points: Floats, seat: Seat, put: Put, **options: Any) -> Carved:
    data, suffix = Drawn("drawn", seat, points, np.zeros((0, 3), dtype=np.int64)).file()
    return read_carved(put(data, suffix), seat.blank, unit="mm", **options)


def rms(off: Floats) -> float:
    return float(np.sqrt(np.mean(off**2)))


@pytest.fixture(scope="module")
def seat_points(uneven_seat: Seat) -> Floats:
    """Return a scan of the seat alone from above, 2.2 mm between its points."""
    return points_of(body_of(uneven_seat), uneven_seat, 2.2)


def test_a_table_under_the_seat_is_cut_away_and_named(uneven_seat: Seat, put: Put) -> None:
    table = box((900.0, 760.0, 20.0), (20.0, 215.0, -54.99))
    scan = points_of(body_of(uneven_seat) + table, uneven_seat, 2.4, on_table=True)
    got = read(shaken(scan), uneven_seat, put)
    assert rms(off_mm(uneven_seat, got.seat)) < RIGHT_MM
    assert any("a flat surface wider than the seat" in note for note in got.notes)


def test_legs_and_a_floor_under_them_are_no_seat(uneven_seat: Seat, put: Put) -> None:
    body = body_of(uneven_seat) + legs(-35.0, -450.0, 8.0)
    floor = box((1100.0, 1100.0, 20.0), (0.0, 215.0, -459.0))
    scan = points_of(body + floor, uneven_seat, 2.6, on_table=True)
    got = read(shaken(scan, 0.1), uneven_seat, put)
    assert rms(off_mm(uneven_seat, got.seat)) < RIGHT_MM
    assert any("a flat surface wider than the seat" in note for note in got.notes)


def test_scatter_of_a_phone_makes_the_seat_neither_deeper_nor_shallower(
    uneven_seat: Seat, seat_points: Floats, put: Put
) -> None:
    got = read(shaken(seat_points), uneven_seat, put)
    off = off_mm(uneven_seat, got.seat)
    assert rms(off) < RIGHT_MM
    assert abs(float(off.mean())) < 0.02
    x, y = np.meshgrid(np.arange(-150.0, 151.0, 4.0), np.arange(90.0, 300.0, 4.0))
    deep = uneven_seat.depth_mm(x, y) > 12.0
    assert abs(float((got.seat.depth_mm(x, y) - uneven_seat.depth_mm(x, y))[deep].mean())) < 0.03


def test_a_wavy_scan_is_refused_with_how_wavy_its_deck_is(
    uneven_seat: Seat, seat_points: Floats, put: Put
) -> None:
    scan = seat_points + waves(seat_points, np.random.default_rng(6), 0.3, 25.0)
    with pytest.raises(
        FileRefusedError, match=r"deck wavy by 0\.[23]\d mm rms, and its hollow is no better; allowed"
    ):
        read(scan, uneven_seat, put)
    gentle = seat_points + waves(seat_points, np.random.default_rng(6), 0.04, 25.0)
    assert rms(off_mm(uneven_seat, read(gentle, uneven_seat, put).seat)) < RIGHT_MM


def test_a_bent_scan_is_refused_where_it_would_spoil_the_depths(
    uneven_seat: Seat, seat_points: Floats, put: Put
) -> None:
    x, y, _ = seat_points.T
    dome = 1.0 - ((x / 240.0) ** 2 + ((y - 215.0) / 240.0) ** 2)
    for bend, refused in ((0.3, True), (-0.3, True), (0.1, False)):
        scan = seat_points.copy()
        scan[:, 2] += bend * dome
        if refused:
            with pytest.raises(
                FileRefusedError, match=r"shows the deck bent, .* wrong by 0\.1\d mm rms; allowed"
            ):
                read(scan, uneven_seat, put)
        else:
            assert rms(off_mm(uneven_seat, read(scan, uneven_seat, put).seat)) < RIGHT_MM


def test_few_points_that_scatter_are_refused(uneven_seat: Seat, seat_points: Floats, put: Put) -> None:
    with pytest.raises(FileRefusedError, match=r"sure within 0\.\d\d mm rms; allowed is 0\.1 mm; scan again"):
        read(shaken(seat_points, 0.7), uneven_seat, put)


def test_a_gutter_that_scatters_does_not_shape_the_hollow(carve: Any, put: Put) -> None:
    seat = carve(gutter_depth_mm=5.0, gutter_width_mm=10.0, round_over_mm=4.0, deeper_on_the_right_mm=2.0)
    scan = shaken(points_of(body_of(seat), seat, 2.0))
    assert rms(off_mm(seat, read(scan, seat, put).seat)) < RIGHT_MM


def test_points_on_the_rim_tell_its_plane_though_picked_roughly(
    uneven_seat: Seat, seat_points: Floats, put: Put
) -> None:
    rim: Any = ((-200.0, 20.0, 0.3), (200.0, 25.0, -0.3), (-230.0, 200.0, 0.3))
    got = read(seat_points, uneven_seat, put, placing=RimPoints(None, rim))
    assert rms(off_mm(uneven_seat, got.seat)) < 0.03
    with_line = RimPoints(((0.0, 0.0, 0.0), (0.0, 430.0, -10.0)), rim)
    assert rms(off_mm(uneven_seat, read(seat_points, uneven_seat, put, placing=with_line).seat)) < 0.03
    with pytest.raises(ValueRefusedError, match="next to one line"):
        read(
            seat_points,
            uneven_seat,
            put,
            placing=RimPoints(None, ((0.0, 0.0, 0.0), (0.0, 9.0, 0.0), (0.0, 99.0, 0.0))),
        )


def test_only_what_is_wider_than_the_blank_and_what_lies_alone_is_cut_away(uneven_seat: Seat) -> None:
    rng = np.random.default_rng(9)
    x, y = np.meshgrid(np.arange(-220.0, 221.0, 4.0), np.arange(20.0, 421.0, 4.0))
    board = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    alone = rng.uniform((-240.0, 0.0, 60.0), (240.0, 430.0, 400.0), (20, 3))
    cleared = without_surroundings(Raw(np.vstack([board, alone])), 1.0, uneven_seat.blank)
    np.testing.assert_array_equal(cleared.raw.points, board)
    assert (cleared.planes, cleared.points_cut) == (0, 20)
    x, y = np.meshgrid(np.arange(-400.0, 401.0, 4.0), np.arange(-150.0, 581.0, 4.0))
    table = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, -45.0)])
    cleared = without_surroundings(Raw(np.vstack([board, table])), 1.0, uneven_seat.blank)
    np.testing.assert_array_equal(cleared.raw.points, board)
    assert cleared.planes == 1


def test_the_quality_says_where_it_was_seen_and_what_differs(
    uneven_seat: Seat, seat_points: Floats, put: Put, tmp_path: Path
) -> None:
    own = np.hypot(seat_points[:, 0] - 60.0, seat_points[:, 1] - 250.0) > 20.0
    given: Any = {"placing": AsDrawn(), "front_roll_radius_mm": 20.0}
    got = read(seat_points[own], uneven_seat, put, **given)
    assert uneven_seat.hollow is not None
    meant = replace(
        uneven_seat,
        hollow=replace(uneven_seat.hollow, coefficients=np.asarray(uneven_seat.hollow.coefficients) - 0.5),
    )
    found = quality(got.seat, got.face, meant)
    unseen = np.argwhere(found.seen == 0.0)
    middle = np.array([found.y_mm[unseen[:, 0]].mean(), found.x_mm[unseen[:, 1]].mean()])
    np.testing.assert_allclose(middle, [250.0, 60.0], atol=3.0)
    assert np.nanmax(np.abs(found.residual_mm)) < 0.5
    x, y, _ = deepest_place(uneven_seat)
    assert found.deeper_than_meant_mm is not None
    row, column = int(np.argmin(np.abs(found.y_mm - y))), int(np.argmin(np.abs(found.x_mm - x)))
    assert found.deeper_than_meant_mm[row, column] == pytest.approx(0.5, abs=0.01)
    assert 0.2 < meant_figures(found)["deeper_than_meant_mean_mm"] < 0.5
    target = tmp_path / "quality.png"
    quality_picture(found, got.seat, target, title="a scan")
    assert target.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    wider = replace(uneven_seat, blank=replace(uneven_seat.blank, width_mm=490.0))
    with pytest.raises(ValueRefusedError, match="its blank differs from the scan's"):
        quality(got.seat, got.face, wider)
