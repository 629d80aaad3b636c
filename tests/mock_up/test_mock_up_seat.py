from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.mesh import Mesh, extents_mm, faults, volume_mm3
from seatmesh.mock_up import pegs
from seatmesh.mock_up.booleans import as_manifold, as_mesh, height_block
from seatmesh.mock_up.digits import DIGITS, number_shape, panel_cells
from seatmesh.mock_up.numbering import RELIEF_MM, numbered
from seatmesh.mock_up.seat import mock_up, seat_stock
from seatmesh.mock_up.stock import MockUp, MockUpPart, Printer, Stock
from seatmesh.solids.carved import surface_volume_mm3
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

Carve = Callable[..., Seat]
Floats = NDArray[np.float64]
OCTAGON = 2.0 * (np.sqrt(2.0) - 1.0)
"""Area of a regular octagon over the square of the distance between its sides."""

CUTS: dict[str, dict[str, Any]] = {
    "full size": {"scale": "1:1"},
    "full size, bed longer than wide": {"scale": 1.0, "bed_mm": (250.0, 180.0, 60.0), "clearance_mm": 0.3},
    "half": {"scale": "1/2", "bed_mm": (130.0, 300.0, 100.0)},
    "quarter, small bed": {
        "scale": "25 %",
        "bed_mm": (70.0, 60.0, 50.0),
        "wall_mm": 0.8,
        "clearance_mm": 0.15,
    },
}


@pytest.fixture(scope="module", params=CUTS)
def cut(request: pytest.FixtureRequest, uneven_seat: Seat) -> tuple[MockUp, dict[str, Any]]:
    options = {"bed_mm": (220.0, 220.0, 220.0), "wall_mm": 1.2, "clearance_mm": 0.2} | CUTS[request.param]
    return mock_up(uneven_seat, **options), options


def of_kind(mock: MockUp) -> tuple[list[MockUpPart], list[MockUpPart]]:
    return [p for p in mock.parts if p.number], [p for p in mock.parts if not p.number]


def test_every_part_is_one_closed_body_on_its_flat_side_and_fits_the_bed(cut: Any) -> None:
    mock, options = cut
    numbers, loose = of_kind(mock)
    assert [p.number for p in numbers] == list(range(1, len(numbers) + 1))
    assert len(numbers) >= 2
    assert len(loose) >= 2
    for part in mock.parts:
        assert faults(part.mesh) == ()
        np.testing.assert_allclose(part.mesh.vertices_mm.min(axis=0), 0.0, atol=1e-9)
        assert np.all(extents_mm(part.mesh) <= np.array(options["bed_mm"]) + 1e-6)
        area = as_manifold(part.mesh).slice(1e-3).area()
        assert area > 0.3 * np.prod(extents_mm(part.mesh)[:2])


def test_parts_have_the_volume_of_the_seat_less_clearances_and_panels(cut: Any, uneven_seat: Seat) -> None:
    mock, options = cut
    numbers, loose = of_kind(mock)
    clear = options["clearance_mm"]
    room = 0.0
    for peg in loose:
        thin, _, long = np.sort(extents_mm(peg.mesh))
        # A hole is one and a half times as deep as the peg is thick, on either side of the cut.
        assert long == pytest.approx(2.0 * (1.5 * thin - clear), abs=3e-3)
        assert volume_mm3(peg.mesh) == pytest.approx(OCTAGON * thin**2 * long, rel=1e-3)
        room += OCTAGON * (thin + 2.0 * clear) ** 2 * (long + 2.0 * clear)
    panels = 0.0
    for part in numbers:
        body = as_manifold(part.mesh)
        panels += (body.slice(RELIEF_MM + 0.05).area() - body.slice(RELIEF_MM - 0.05).area()) * RELIEF_MM
    whole = surface_volume_mm3(uneven_seat) * mock.scale**3
    assert mock.whole_mm3 == pytest.approx(whole, rel=3e-4)
    solid_parts = sum(volume_mm3(part.mesh) for part in numbers)
    assert solid_parts + room + panels == pytest.approx(whole, rel=5e-4)
    # What is left out is small beside 0.1 % of the whole only at full size: so it is held to account by itself.
    left_out = mock.whole_mm3 - sum(volume_mm3(part.mesh) for part in mock.parts)
    pegs_themselves = sum(volume_mm3(peg.mesh) for peg in loose)
    assert mock.panels_mm3 == pytest.approx(panels, rel=1e-3)
    assert mock.loose_mm3 == pytest.approx(room - pegs_themselves, rel=5e-3)
    assert left_out == pytest.approx(mock.loose_mm3 + mock.panels_mm3, rel=1e-3)


def test_parts_belong_beside_one_another_and_pegs_in_their_holes(cut: Any) -> None:
    mock, options = cut
    numbers, loose = of_kind(mock)
    placed = [as_manifold(part.in_place()) for part in numbers]
    for one, other in combinations(placed, 2):
        assert (one ^ other).volume() < 1e-3
    for peg in loose:
        bar = as_manifold(peg.in_place())
        gaps = [body.min_gap(bar, 5.0) for body in placed]
        near = [gap for gap in gaps if gap < 2.0 * options["clearance_mm"]]
        assert len(near) == 2
        assert near == pytest.approx([options["clearance_mm"]] * 2, abs=2e-3)
        # A peg a little thicker than its clearance allows does not fit.
        grown = bar.minkowski_sum(type(bar).sphere(1.1 * options["clearance_mm"], 8))
        assert sum((grown ^ body).volume() for body in placed) > 0.0


def test_holes_have_walls_and_parts_run_from_the_rear_left(cut: Any, uneven_seat: Seat) -> None:
    mock, options = cut
    numbers, loose = of_kind(mock)
    first, second = (part.in_place().vertices_mm.mean(axis=0) for part in numbers[:2])
    assert first[0] < second[0] or first[1] < second[1]
    corner = np.min([part.in_place().vertices_mm.min(axis=0) for part in numbers], axis=0)
    np.testing.assert_allclose(numbers[0].in_place().vertices_mm.min(axis=0)[1:], corner[1:], atol=1e-2)
    printer = Printer(options["bed_mm"], options["wall_mm"], options["clearance_mm"])
    whole = seat_stock(uneven_seat, mock.scale, printer)[0].body
    low, high = np.array(whole.bounding_box()[:3]), np.array(whole.bounding_box()[3:])
    box = type(whole).cube(tuple(high - low + 20.0)).translate(tuple(low - 10.0))
    for peg in loose:
        gap = as_manifold(peg.in_place()).min_gap(box - whole, 60.0)
        assert gap >= options["wall_mm"] + options["clearance_mm"] - 0.02


def test_numbers_read_from_below_with_their_top_to_the_front(carved_seat: Seat) -> None:
    mock = mock_up(carved_seat, "1:1")
    for part in of_kind(mock)[0]:
        body = as_manifold(part.in_place())
        solid_below = body.slice(0.5 * RELIEF_MM)
        above = body.slice(1.5 * RELIEF_MM)
        sunk = max(map(shapely.Polygon, (above - solid_below).to_polygons()), key=shapely.area)
        left, rear, right, front = sunk.bounds
        wide, high = panel_cells(part.number or 0)
        cell = (right - left) / wide
        assert cell == pytest.approx((front - rear) / high, rel=1e-3)
        pattern = [
            [_filled(solid_below, right - (i + 0.5) * cell, front - (j + 0.5) * cell) for i in range(wide)]
            for j in range(1, 6)
        ]
        digit = DIGITS[str(part.number)]
        assert [row[1:4] for row in pattern] == [[mark == "#" for mark in line] for line in digit]


def _filled(section: Any, x: float, y: float) -> bool:
    inside = [shapely.Polygon(ring).contains(shapely.Point(x, y)) for ring in section.to_polygons()]
    return sum(inside) % 2 == 1


def test_every_number_is_made_of_strokes_that_touch_side_by_side() -> None:
    for number in (*range(10), 64):
        shape = number_shape(number, 1.0)
        assert shape.is_valid
        assert len(shapely.get_parts(shape)) == len(str(number)) + 1
        wide, high = panel_cells(number)
        assert shapely.box(1, 1, wide - 1, high - 1).covers(shape)
    assert len({DIGITS[d] for d in DIGITS}) == 10


def test_a_seat_that_fits_is_one_part_with_no_number(carved_seat: Seat) -> None:
    mock = mock_up(carved_seat, "1:4")
    assert [(p.name, p.number) for p in mock.parts] == [("part 1", None)]
    np.testing.assert_allclose(extents_mm(mock.parts[0].mesh), [120.0, 107.5, 11.25], atol=1e-6)
    assert mock.notes == ()
    assert mock.loose_mm3 == mock.panels_mm3 == 0.0


def test_a_floor_too_thin_to_print_is_thickened_and_said(carved_seat: Seat) -> None:
    mock = mock_up(carved_seat, "1:40", wall_mm=1.2)
    mesh = mock.parts[0].mesh
    high = mesh.vertices_mm[mesh.vertices_mm[:, 2] > 1e-6, 2]
    assert high.min() == pytest.approx(1.2, abs=2e-3)
    deepest = float(np.max(carved_seat.depth_mm(*np.meshgrid(np.arange(-240, 241, 2), np.arange(0, 431, 2)))))
    added = 1.2 - (45.0 - deepest) / 40.0
    assert extents_mm(mesh)[2] == pytest.approx(45.0 / 40.0 + added, abs=2e-3)
    assert f"let down by {added:.2f} mm" in mock.notes[0]


def test_the_same_seat_gives_the_same_parts(uneven_seat: Seat) -> None:
    first, second = (mock_up(uneven_seat, "1:2", bed_mm=(130.0, 130.0, 50.0)) for _ in range(2))
    assert len(first.parts) == len(second.parts)
    for one, other in zip(first.parts, second.parts, strict=True):
        np.testing.assert_array_equal(one.mesh.vertices_mm, other.mesh.vertices_mm)
        np.testing.assert_array_equal(one.mesh.faces, other.mesh.faces)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"scale": "1:0"}, "scale = '1:0'"),
        ({"scale": 0.0}, r"scale = 0\.0: allowed is 0\.01 to 10"),
        ({"scale": float("nan")}, "scale = nan"),
        ({"scale": "1:1", "bed_mm": (220.0, 220.0, 40.0)}, r"height = 40\.0: the mock-up is 45\.0 mm high"),
        ({"scale": "1:1", "bed_mm": (50.0, 50.0, 50.0)}, "would fall into 90 parts; allowed are 64"),
        ({"scale": "1:1", "bed_mm": (0.0, 50.0, 50.0)}, "bed_mm, width = 0.0"),
        ({"scale": "1:1", "bed_mm": (50.0, 50.0)}, "allowed are three lengths"),
        ({"scale": "1:1", "wall_mm": 0.0}, "wall_mm = 0.0: allowed is 0.1 to 10 mm"),
        ({"scale": "1:1", "clearance_mm": -0.1}, "clearance_mm = -0.1"),
    ],
)
def test_what_cannot_be_printed_is_refused(carved_seat: Seat, options: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueRefusedError, match=words):
        mock_up(carved_seat, **options)


@pytest.mark.parametrize("size", [(6.0, 6.0, 10.0), (40.0, 40.0, 1.5)])
def test_a_part_too_small_for_its_number_is_refused(size: tuple[float, float, float]) -> None:
    edges = (np.array([0.0, length]) for length in size[:2])
    block = height_block(*edges, np.full((2, 2), size[2]), 0.0)
    with pytest.raises(ValueRefusedError, match="too small or thin for a number"):
        numbered(block, 1, Printer(), 3.0)


def test_a_joint_without_room_for_a_peg_is_glued_plainly_and_said(carved_seat: Seat) -> None:
    mock = mock_up(carved_seat, "1:10", bed_mm=(30.0, 30.0, 30.0))
    pieces = [part for part in mock.parts if part.name != "peg"]
    loose = len(mock.parts) - len(pieces)
    joints = 4
    (note,) = (one for one in mock.notes if "peg" in one)
    bare = int(note.split()[0])
    assert note.startswith(f"{bare} of {joints} joints have no room for a peg (parts ")
    assert note.endswith("glue them on a flat board without one")
    assert 0 < bare <= joints
    # With one peg or two in each joint that is not named.
    assert joints - bare <= loose <= 2 * (joints - bare)
    parts = sum(volume_mm3(part.mesh) for part in mock.parts)
    assert parts + mock.loose_mm3 + mock.panels_mm3 == pytest.approx(mock.whole_mm3, rel=1e-4)


def test_parts_without_a_flat_side_or_room_for_a_number_are_made_and_said() -> None:
    wide = Seat(Blank(under_bevel_width_mm=100.0, under_bevel_height_mm=18.0, round_over_mm=5.0))
    mock = mock_up(wide, "1:1", bed_mm=(120.0, 120.0, 60.0))
    pieces = [part for part in mock.parts if part.name != "peg"]
    assert [part.name for part in pieces] == [f"part {n}" for n in range(1, len(pieces) + 1)]
    plain = [part.name.split()[1] for part in pieces if part.number is None]
    assert plain
    (note,) = (one for one in mock.notes if "write it on" in one)
    assert [word.strip(",") for word in note.split(" has ")[0].split() if word.strip(",").isdigit()] == plain
    (note,) = (one for one in mock.notes if "print it with support" in one)
    assert set(plain) & {word.strip(",") for word in note.split(" has ")[0].split()}
    bodies = [as_manifold(part.in_place()) for part in pieces]
    for peg in (part for part in mock.parts if part.name == "peg"):
        bar = as_manifold(peg.in_place())
        assert max((body ^ bar).volume() for body in bodies) < 1e-3


def test_a_peg_needs_a_wall_round_its_hole() -> None:
    block = height_block(np.array([0.0, 20.0, 40.0]), np.array([0.0, 20.0]), np.full((2, 3), 10.0), 0.0)
    assert block.volume() == pytest.approx(40.0 * 20.0 * 10.0, rel=1e-12)
    assert pegs.has_wall(pegs.Peg(0, (20.0, 10.0, 5.0), 4.0, 6.0, 0.2), block, 1.2)
    assert not pegs.has_wall(pegs.Peg(0, (20.0, 10.0, 7.5), 4.0, 6.0, 0.2), block, 1.2)


def test_a_peg_moves_along_its_cut_away_from_a_hollow_that_its_heights_do_not_tell_of() -> None:
    block = height_block(np.array([0.0, 40.0]), np.array([0.0, 100.0]), np.full((2, 2), 10.0), 0.0)
    drilled = block - type(block).cylinder(10.0, 6.0).translate((20.0, 25.0, 0.0))

    def ten(x: Floats, _: Floats) -> Floats:
        return np.full(np.shape(x), 10.0)

    cut = pegs.SawCut(0, 20.0, 0.0, 100.0)
    (whole,) = pegs.pegs_for([cut], Stock(block, ten), 20.0, Printer())
    (moved,) = pegs.pegs_for([cut], Stock(drilled, ten), 20.0, Printer())
    assert sorted(peg.centre_mm[1] for peg in whole) == pytest.approx([25.0, 75.0], abs=2.0)
    assert len(moved) == 2
    for peg in moved:
        assert pegs.has_wall(peg, drilled, 1.2)
    assert any(peg.centre_mm[1] == whole[1].centre_mm[1] for peg in moved)


def test_an_open_mesh_cannot_be_cut_and_two_bodies_are_no_part(carved_seat: Seat) -> None:
    one = height_block(np.array([0.0, 1.0]), np.array([0.0, 1.0]), np.ones((2, 2)), 0.0)
    mesh = as_mesh(one, "block")
    with pytest.raises(NotSolvedError, match="cannot be cut"):
        as_manifold(Mesh(mesh.vertices_mm, mesh.faces[:-1]))
    with pytest.raises(NotSolvedError, match="the pair came out unfit to print: it falls into 2 bodies"):
        as_mesh(type(one).compose([one, one.translate((5.0, 0.0, 0.0))]), "the pair")
