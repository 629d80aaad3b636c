"""How a scan lies: what is found whichever way it lies, what is refused, and in which words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from seatmesh.adjustment import Adjustment
from seatmesh.errors import FileRefusedError, InputError, ValueRefusedError
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh
from seatmesh.reading.carved import read_carved
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.joint_cuts import joint_cuts

Floats = NDArray[np.float64]
Put = Callable[[bytes, str], Path]
BEVEL = {"under_bevel_width_mm": 30.0, "under_bevel_height_mm": 18.0}
AWRY = Rotation.from_euler("xyz", [31, -54, 107], degrees=True).as_matrix()
MOVE = np.array([310.0, -120.0, 45.0])


def stl(mesh: Mesh, put: Put, turn: Floats = AWRY) -> Path:
    return put(mesh_bytes(Mesh(mesh.vertices_mm @ turn.T + MOVE, mesh.faces), "stl"), ".stl")


def rms_off(seat: Seat, again: Seat) -> float:
    x, y = np.meshgrid(np.arange(-238.0, 239.0, 4.0), np.arange(2.0, 429.0, 4.0))
    own = seat.blank.inside_mm(x, y) > 3.0
    return float(np.sqrt(np.mean((again.depth_mm(x, y) - seat.depth_mm(x, y))[own] ** 2)))


def refused(path: Path, blank: Blank, **options: Any) -> str:
    with pytest.raises(InputError) as refusal:
        read_carved(path, blank, **{"unit": "mm", **options})
    return str(refusal.value)


@pytest.fixture(scope="module")
def coarse(uneven_seat: Seat) -> Mesh:
    return solid(uneven_seat, 0.5)


def test_only_what_lies_uppermost_is_read(carve: Any, put: Put) -> None:
    """An under-bevel rises into the depths of the hollow; it is no part of it."""
    leg = Joint("leg mortise", 160.0, 330.0, 25.0, 12.0, depth_mm=18.0, keep_mm=8.0)
    seat = carve(deeper_on_the_right_mm=3.0, joints=(leg,), **BEVEL)
    mesh = cut_holes(solid(seat), joint_cuts(seat.blank))
    got = read_carved(stl(mesh, put), seat.blank, unit="mm")
    assert rms_off(seat, got.seat) < 0.02
    assert got.coverage == 1.0
    assert got.thickness_mm == pytest.approx(45.0, abs=1e-3)
    assert got.outline_rms_mm < 0.01
    np.testing.assert_allclose(got.frame.axes, AWRY.T, atol=1e-5)
    np.testing.assert_allclose(got.frame.origin, MOVE, atol=1e-3)


def test_a_change_on_one_side_stays_on_its_side(carve: Any, put: Put) -> None:
    seat = replace(carve(), adjustments=(Adjustment(70.0, 160.0, 45.0, 2.5, side="one"),))
    half_turn = np.diag([-1.0, -1.0, 1.0])
    got = read_carved(stl(solid(seat), put, half_turn), seat.blank, unit="mm")
    assert rms_off(seat, got.seat) < 0.02
    assert any("deeper on the sitter's right than on the left, by up to 2." in note for note in got.notes)


@pytest.mark.parametrize("thickness", [30.0, 42.0, 48.0, 60.0])
def test_another_thickness_is_refused(uneven_seat: Seat, put: Put, thickness: float) -> None:
    other = replace(uneven_seat, blank=replace(uneven_seat.blank, thickness_mm=thickness))
    words = refused(stl(solid(other, 0.5), put), uneven_seat.blank)
    assert f"the scan is {thickness:.1f} mm thick, and the blank's thickness_mm is 45" in words


def test_another_size_is_refused_with_its_measure(uneven_seat: Seat, coarse: Mesh, put: Put) -> None:
    path = stl(coarse, put)
    blank = uneven_seat.blank
    words = refused(path, replace(blank, width_mm=472.0))
    assert float(words.split("the scan measures ")[1].split(" mm wide")[0]) == pytest.approx(480.0, abs=0.3)
    assert "and the blank's width_mm is 472" in words
    words = refused(path, replace(blank, depth_mm=426.0))
    assert "430.0 mm from rear to front, and the blank's depth_mm is 426" in words
    assert "0.5% larger than the blank, both ways alike" in refused(stl(coarse.scaled(1.005), put), blank)
    assert "say --scale 1:4, if it is" in refused(stl(coarse.scaled(0.25), put), blank)
    assert (
        rms_off(uneven_seat, read_carved(stl(coarse.scaled(0.25), put), blank, unit="mm", scale=0.25).seat)
        < 0.05
    )


def test_what_the_order_does_not_say_of_edge_and_underside_is_refused(
    carve: Any, coarse: Mesh, put: Put
) -> None:
    plain = carve().blank
    rounded = stl(solid(carve(round_over_mm=6.0), 0.5), put)
    assert "the top edge falls by" in refused(rounded, plain)
    guttered = stl(solid(carve(gutter_depth_mm=4.0), 0.5), put)
    assert "cannot be followed" in refused(guttered, plain)
    bevelled = stl(solid(carve(**BEVEL), 0.5), put)
    assert "of the underside is not where the blank's is" in refused(bevelled, plain)
    path = stl(coarse, put)
    assert "of the gutter is not as deep as the order's 4 mm" in refused(
        path, replace(plain, gutter_depth_mm=4.0)
    )
    assert "deck" in refused(path, replace(plain, deck_mm=90.0))


def test_an_underside_shaped_by_eye_is_read_once_up_is_said(
    uneven_seat: Seat, coarse: Mesh, put: Put
) -> None:
    points = coarse.vertices_mm.copy()
    low = points[:, 2] < -44.9
    points[low, 2] += 6.0 * np.maximum(
        0.0, 1.0 - (np.hypot(points[low, 0], points[low, 1] - 215.0) / 180.0) ** 2
    )
    path = stl(Mesh(points, coarse.faces), put, np.eye(3))
    assert "say which way is up in the file's axes: --up=X,Y,Z" in refused(path, uneven_seat.blank)
    got = read_carved(path, uneven_seat.blank, unit="mm", up=(0, 0, 1))
    assert rms_off(uneven_seat, got.seat) < 0.05
    assert any("of the underside is not where the order has it" in note for note in got.notes)


def bowl_in_a_rim(seat: Seat) -> Seat:
    """A hollow with more rim in front than the deck is wide, on an outline that is alike both ways."""
    assert seat.hollow is not None
    knots_x, knots_y = np.asarray(seat.hollow.knots_x), np.asarray(seat.hollow.knots_y)
    x, y = ((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0 for knots in (knots_x, knots_y))
    depth = 14.0 * (1.0 - (x[:, None] / 170.0) ** 2 - ((y[None, :] - 180.0) / 110.0) ** 2)
    return replace(seat, front_roll_mm=0.0, hollow=replace(seat.hollow, coefficients=depth))


def test_a_front_that_nothing_tells_is_asked_for(carve: Any, put: Put) -> None:
    seat = bowl_in_a_rim(carve())
    path = stl(solid(seat, 0.3), put, np.eye(3))
    words = refused(path, seat.blank)
    assert "its front may point along 0,1,0 or along 0,-1,0: neither outline nor deck tells" in words
    assert words.endswith("--front=0,1,0 or --front=0,-1,0")
    got = read_carved(path, seat.blank, unit="mm", front=(0.2, 1.0, 0.1))
    assert rms_off(seat, got.seat) < 0.05
    words = refused(path, seat.blank, up=(0, 0, -1))
    assert "it shows its carved face looking along 0,0,1" in words
    assert "no way to lay it on the blank points as --up and --front say" in refused(
        path, seat.blank, front=(1, 0, 0)
    )


def test_a_round_outline_asks_for_its_front(carve: Any, put: Put) -> None:
    turn = np.linspace(0.0, np.pi, 91)
    ring = tuple(zip((210.0 * np.sin(turn)).tolist(), (215.0 - 215.0 * np.cos(turn)).tolist(), strict=True))
    ring = tuple((x, y * 420.0 / 430.0) for x, y in ring)
    seat = bowl_in_a_rim(carve(own_outline_mm=ring, width_mm=420.0, depth_mm=420.0))
    path = stl(solid(seat, 0.3), put, AWRY)
    assert "the outline is as good as round" in refused(path, seat.blank)
    got = read_carved(path, seat.blank, unit="mm", front=tuple(AWRY[:, 1]))
    x, y = np.meshgrid(np.arange(-200.0, 201.0, 5.0), np.arange(5.0, 416.0, 5.0))
    own = seat.blank.inside_mm(x, y) > 3.0
    assert np.sqrt(np.mean((got.seat.depth_mm(x, y) - seat.depth_mm(x, y))[own] ** 2)) < 0.05


def test_what_makes_the_same_seat_either_way_needs_no_words(put: Put) -> None:
    """An uncut blank is flat on both faces and in every turn."""
    square = Blank(width_mm=430.0, outline="straight-sided")
    got = read_carved(stl(solid(flat_seat(square)), put), square, unit="mm")
    assert (
        float(np.abs(got.seat.depth_mm(np.arange(-210.0, 211.0)[:, None], np.arange(2.0, 429.0))).max())
        < 0.02
    )
    assert "nothing is carved in this blank" in got.notes


def test_one_flat_face_may_be_the_underside(uneven_seat: Seat, coarse: Mesh, put: Put) -> None:
    corners = coarse.vertices_mm[coarse.faces]
    up = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2]
    under = stl(Mesh(coarse.vertices_mm, coarse.faces[up < -1e-6]), put)
    assert "it may be the underside" in refused(under, uneven_seat.blank)
    top = stl(Mesh(coarse.vertices_mm, coarse.faces[up > 0.0]), put)
    got = read_carved(top, uneven_seat.blank, unit="mm")
    assert rms_off(uneven_seat, got.seat) < 0.05
    assert got.thickness_mm is None


def test_left_and_right_are_not_guessed(uneven_seat: Seat, carved_seat: Seat, coarse: Mesh, put: Put) -> None:
    mirrored = Mesh(coarse.vertices_mm * [-1.0, 1.0, 1.0], coarse.faces)
    inside_out = Mesh(coarse.vertices_mm, coarse.faces[:, ::-1])
    for mesh in (mirrored, inside_out):
        assert "its faces look inward, so that it is inside out or mirrored" in refused(
            stl(mesh, put), uneven_seat.blank
        )
    even = solid(carved_seat, 0.5)
    got = read_carved(
        stl(Mesh(even.vertices_mm * [-1.0, 1.0, 1.0], even.faces), put), carved_seat.blank, unit="mm"
    )
    assert rms_off(carved_seat, got.seat) < 0.05
    assert not any("deeper on the sitter's" in note for note in got.notes)


def test_holes_on_one_side_show_a_mirrored_scan(carve: Any, put: Put) -> None:
    legs = tuple(
        Joint("leg mortise", x, y, 25.0, 12.0, depth_mm=18.0, keep_mm=8.0, side="one")
        for x, y in ((160.0, 330.0), (140.0, 80.0))
    )
    seat = carve(deeper_on_the_right_mm=3.0, joints=legs)
    mesh = cut_holes(solid(seat, 0.5), joint_cuts(seat.blank))
    mirrored = Mesh(mesh.vertices_mm * [-1.0, 1.0, 1.0], mesh.faces[:, ::-1])
    assert "is mirrored: its mortises are where the order's mirror image has them" in refused(
        stl(mirrored, put), seat.blank
    )
    assert rms_off(seat, read_carved(stl(mesh, put), seat.blank, unit="mm").seat) < 0.05


def scanned_from_above(seat: Seat, scatter: float, downward: bool = False) -> bytes:
    """A list of points of top face and edge, as a scanner over a bench gives it."""
    random = np.random.default_rng(5)
    x, y = np.meshgrid(np.arange(-240.0, 241.0, 2.0), np.arange(0.0, 431.0, 2.0))
    x, y = x + random.uniform(-0.6, 0.6, x.shape), y + random.uniform(-0.6, 0.6, x.shape)
    own = seat.blank.inside_mm(x, y) > 0.0
    plan = seat.blank.polygon_mm()
    along = np.linspace(0.0, 1.0, 40, endpoint=False)[:, None, None]
    edge = (plan + along * (np.roll(plan, -1, axis=0) - plan)).reshape(-1, 2)
    edge = edge[random.choice(len(edge), 4000)]
    wall = np.column_stack([edge, random.uniform(-30.0, -14.0, len(edge))])
    points = np.vstack([np.column_stack([x[own], y[own], -seat.depth_mm(x[own], y[own])]), wall])
    points += random.normal(0.0, scatter, points.shape)
    points[:, 2] *= -1.0 if downward else 1.0
    return ("x,y,z\n" + "".join(f"{a:.4f},{b:.4f},{c:.4f}\n" for a, b, c in points.tolist())).encode()


def test_a_noisy_scan_says_how_sure_it_is_and_a_noisier_one_is_refused(uneven_seat: Seat, put: Put) -> None:
    got = read_carved(put(scanned_from_above(uneven_seat, 0.3), ".csv"), uneven_seat.blank, unit="mm")
    off = rms_off(uneven_seat, got.seat)
    assert off < 0.12
    assert 0.6 * off < got.error_mm < 1.6 * off
    assert got.noise_mm == pytest.approx(0.3, rel=0.15)
    assert any("so that its depths are, by that alone, sure within" in note for note in got.notes)
    words = refused(put(scanned_from_above(uneven_seat, 1.5), ".csv"), uneven_seat.blank)
    assert "its points scatter by 1." in words
    assert "allowed is 1 mm; scan again" in words


def test_points_that_count_downward_are_refused_where_it_matters(
    uneven_seat: Seat, carved_seat: Seat, put: Put
) -> None:
    path = put(scanned_from_above(uneven_seat, 0.05, downward=True), ".csv")
    assert "its points count downward, so that left and right are swapped" in refused(path, uneven_seat.blank)
    path = put(scanned_from_above(carved_seat, 0.05, downward=True), ".csv")
    assert rms_off(carved_seat, read_carved(path, carved_seat.blank, unit="mm").seat) < 0.08


def test_a_part_that_was_not_seen_is_refused_with_its_place(uneven_seat: Seat, put: Put) -> None:
    mesh = solid(uneven_seat, 0.05)
    x, y, z = mesh.vertices_mm.T

    def without(gone: NDArray[np.bool_]) -> Path:
        return stl(Mesh(mesh.vertices_mm, mesh.faces[~gone[mesh.faces].any(axis=1)]), put, np.eye(3))

    hole = (np.hypot(x - 60.0, y - 190.0) < 45.0) & (z > -40.0)
    words = refused(without(hole), uneven_seat.blank)
    assert re.search(
        r"has a hole 9\d mm across \((59|60|61) mm to the sitter's right of the centre line, 1(89|90|91) mm",
        words,
    )
    assert "does not fit the blank's" in refused(without(y < 60.0), uneven_seat.blank)
    assert "does not fit the blank's" in refused(without(x > 150.0), uneven_seat.blank)


def test_a_narrow_gouge_is_named_not_smoothed_away(carved_seat: Seat, put: Put) -> None:
    seat = replace(carved_seat, adjustments=(Adjustment(70.0, 160.0, 9.0, 3.0, side="one"),))
    got = read_carved(stl(solid(seat), put), seat.blank, unit="mm")
    (patch,) = got.patches
    assert (patch.x_mm, patch.y_mm) == pytest.approx((70.0, 160.0), abs=1.5)
    assert 1.5 < patch.off_mm < 3.0
    assert any("below the seat as read, which leaves it out: look there" in note for note in got.notes)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"up": (0, 0)}, "up = .*: allowed are three finite numbers"),
        ({"front": (0, float("nan"), 1)}, "front = .*: allowed are three finite numbers"),
        ({"up": (0, 0, 0)}, "up = .*: allowed are three finite numbers, not all 0"),
        ({"up": (0, 0, 1), "front": (0, 0.1, 1)}, "front = .*: allowed is a direction square to up"),
    ],
)
def test_directions_that_are_none_are_refused(
    coarse: Mesh, put: Put, options: dict[str, Any], words: str
) -> None:
    with pytest.raises(ValueRefusedError, match=words):
        read_carved(stl(coarse, put), Blank(), unit="mm", **options)


def test_a_table_under_the_seat_does_no_harm(uneven_seat: Seat, put: Put) -> None:
    seat = scanned_from_above(uneven_seat, 0.05).decode()
    x, y = np.meshgrid(np.arange(-300.0, 301.0, 4.0), np.arange(-80.0, 511.0, 4.0))
    around = uneven_seat.blank.inside_mm(x, y) < 0.0
    table = "".join(f"{a},{b},-45.0\n" for a, b in zip(x[around].tolist(), y[around].tolist(), strict=True))
    got = read_carved(put((seat + table).encode(), ".csv"), uneven_seat.blank, unit="mm")
    assert rms_off(uneven_seat, got.seat) < 0.05


def test_another_seat_under_the_seat_is_told(
    uneven_seat: Seat, carved_seat: Seat, coarse: Mesh, put: Put
) -> None:
    below = solid(carved_seat, 0.5)
    both = Mesh(
        np.vstack([coarse.vertices_mm, below.vertices_mm - np.array([0.0, 0.0, 100.0])]),
        np.vstack([coarse.faces, below.faces + len(coarse.vertices_mm)]),
    )
    got = read_carved(put(mesh_bytes(both, ".stl"), ".stl"), uneven_seat.blank, unit="mm")
    assert rms_off(uneven_seat, got.seat) < 0.1
    assert any("down to 100 mm under its lower face" in note for note in got.notes)
    alone = read_carved(put(mesh_bytes(coarse, ".stl"), ".stl"), uneven_seat.blank, unit="mm")
    assert not any("under its lower face" in note for note in alone.notes)


def test_too_little_is_refused(uneven_seat: Seat, coarse: Mesh, put: Put) -> None:
    few = coarse.vertices_mm[::200]
    with pytest.raises((ValueRefusedError, FileRefusedError)):
        read_carved(
            put("".join(f"{a} {b} {c}\n" for a, b, c in few.tolist()).encode(), ".xyz"),
            uneven_seat.blank,
            unit="mm",
        )
