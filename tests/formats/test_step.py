"""The STEP file, read back by the kernel: exact face, valid solid, right volume; and what is refused."""

from __future__ import annotations

import importlib
import importlib.util
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from seatmesh.adjustment import Adjustment
from seatmesh.errors import FileRefusedError, ValueRefusedError
from seatmesh.formats.step import kernel as step_kernel
from seatmesh.formats.step import solid as step_solid
from seatmesh.formats.step import wood_taken
from seatmesh.formats.step.exact_surface import carved_spline
from seatmesh.formats.step.outline_curves import circle_of, end_directions, smooth_through, stretches
from seatmesh.formats.step.writer import NO_CLOCK, remarks, step_bytes, write_step
from seatmesh.front_roll import arc_centre_mm, roll_length_mm
from seatmesh.solids.carved import surface_volume_mm3
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.outline.shapes import OUTLINES

Carve = Callable[..., Seat]
needs_kernel = pytest.mark.skipif(
    importlib.util.find_spec("OCP") is None, reason="the CAD kernel is not installed"
)


def ocp(module: str) -> Any:
    return importlib.import_module(f"OCP.{module}")


def read_solid(path: Path) -> Any:
    reader = ocp("STEPControl").STEPControl_Reader()
    assert reader.ReadFile(str(path)) == ocp("IFSelect").IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    return reader.OneShape()


def faces(shape: Any) -> Iterator[tuple[Any, Any, str]]:
    """Return each face, its surface and the surface's kind."""
    found = ocp("TopExp").TopExp_Explorer(shape, ocp("TopAbs").TopAbs_ShapeEnum.TopAbs_FACE)
    while found.More():
        face = ocp("TopoDS").TopoDS.Face(found.Current())
        surface = ocp("BRepAdaptor").BRepAdaptor_Surface(face)
        yield face, surface, str(surface.GetType()).rsplit("_", 1)[-1]
        found.Next()


def volume_mm3(shape: Any) -> float:
    held = ocp("GProp").GProp_GProps()
    ocp("BRepGProp").BRepGProp.VolumeProperties_s(shape, held, 1e-5, True, False)
    return float(held.Mass())


@pytest.fixture(scope="module")
def written(carve: Carve, tmp_path_factory: pytest.TempPathFactory) -> tuple[Seat, Path]:
    # Straight sides cost the kernel half of its time with round corners.
    seat = carve(deeper_on_the_right_mm=3.0, outline="straight-sided")
    path = tmp_path_factory.mktemp("step") / "seat_mm.step"
    write_step(seat, path, name="viola d'amore")
    return seat, path


@needs_kernel
def test_the_solid_is_one_valid_closed_body_with_the_seats_volume(written: tuple[Seat, Path]) -> None:
    seat, path = written
    body = read_solid(path)
    assert ocp("BRepCheck").BRepCheck_Analyzer(body).IsValid()
    shells = ocp("TopExp").TopExp_Explorer(body, ocp("TopAbs").TopAbs_ShapeEnum.TopAbs_SHELL)
    assert ocp("BRep").BRep_Tool.IsClosed_s(shells.Current())
    shells.Next()
    assert not shells.More()
    assert volume_mm3(body) == pytest.approx(surface_volume_mm3(seat, 1.0), rel=1e-4)
    kinds = Counter(kind for _, _, kind in faces(body))
    assert kinds["BSplineSurface"] == 1
    assert kinds["Cylinder"] >= 1
    for cylinder in (surface.Cylinder() for _, surface, kind in faces(body) if kind == "Cylinder"):
        axis = cylinder.Axis()
        assert cylinder.Radius() == pytest.approx(20.0, abs=1e-9)
        assert abs(axis.Direction().X()) == pytest.approx(1.0, abs=1e-12)
        ahead, deep = arc_centre_mm(20.0)
        assert axis.Location().Y() == pytest.approx(430.0 - roll_length_mm(20.0) + ahead, abs=1e-9)
        assert axis.Location().Z() == pytest.approx(-deep, abs=1e-9)
    assert set(kinds) == {"BSplineSurface", "Cylinder", "Plane", "SurfaceOfExtrusion"}


@needs_kernel
def test_the_hollow_face_is_the_seats_depth_at_ten_thousand_points(written: tuple[Seat, Path]) -> None:
    seat, path = written
    ((face, surface),) = [(f, s) for f, s, kind in faces(read_solid(path)) if kind == "BSplineSurface"]
    random = np.random.default_rng(17)
    x, y = random.uniform(-239.9, 239.9, 40_000), random.uniform(50.1, 429.9, 40_000)
    assert seat.hollow is not None
    # Inside by 0.1 mm: the hollow is there all round, at that distance.
    turn = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    around = seat.hollow(x[:, None] + 0.1 * np.cos(turn), y[:, None] + 0.1 * np.sin(turn))
    inside = np.flatnonzero((around > 0.0).all(axis=1))[:10_000]
    assert len(inside) == 10_000
    points = [surface.Value(float(x[i]), float(y[i])) for i in inside]
    read = np.array([(p.X(), p.Y(), p.Z()) for p in points])
    np.testing.assert_allclose(read[:, 0], x[inside], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(read[:, 1], y[inside], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(read[:, 2], -seat.depth_mm(x[inside], y[inside]), rtol=0.0, atol=1e-6)
    assert np.count_nonzero(y[inside] > 413.0) > 50
    # And the face, as trimmed, covers them.
    classify = ocp("BRepClass").BRepClass_FaceClassifier()
    state = ocp("TopAbs").TopAbs_State
    for i in inside[:300]:
        classify.Perform(face, ocp("gp").gp_Pnt2d(float(x[i]), float(y[i])), 1e-6)
        assert classify.State() == state.TopAbs_IN
    outside = np.flatnonzero((around < 0.0).all(axis=1))[:100]
    for i in outside:
        classify.Perform(face, ocp("gp").gp_Pnt2d(float(x[i]), float(y[i])), 1e-6)
        assert classify.State() == state.TopAbs_OUT


@needs_kernel
def test_the_file_states_unit_and_name_holds_no_clock_and_is_the_same_again(
    written: tuple[Seat, Path],
) -> None:
    seat, path = written
    data = path.read_bytes()
    assert f"FILE_NAME('viola damore (mm)','{NO_CLOCK}',".encode() in data
    assert b"SI_UNIT(.MILLI.,.METRE.)" in data
    assert b"FILE_DESCRIPTION(('carved seat, unit mm; hollow face exact to 1e-6 mm'),'2;1')" in data
    assert b"PRODUCT('viola damore','viola damore'," in data
    assert step_bytes(seat, name="viola d'amore") == data


@needs_kernel
@pytest.mark.parametrize(
    "options", [{"deck_mm": 75.0}, {"front_roll_mm": 0.0}, {"deck_mm": 75.0, "front_roll_mm": 30.0}]
)
def test_steps_and_rolls_give_valid_solids(carve: Carve, options: dict[str, Any]) -> None:
    seat = carve(outline="straight-sided", **options)
    body = step_solid.cad_solid(seat).body
    assert volume_mm3(body) == pytest.approx(surface_volume_mm3(seat, 1.0), rel=1e-4)


@needs_kernel
def test_an_uncarved_blank_is_a_prism() -> None:
    seat = flat_seat(Blank(corner_radius_mm=20.0))
    body = step_solid.cad_solid(seat).body
    # Round corners are arcs here, a little outside of the polygon's chords.
    assert volume_mm3(body) == pytest.approx(45.0 * shapely.Polygon(seat.blank.polygon_mm()).area, rel=2e-5)
    assert Counter(kind for _, _, kind in faces(body)) == {"Plane": 6, "Cylinder": 4}


@needs_kernel
def test_gutter_and_bevel_are_faces_of_their_own(carve: Carve) -> None:
    bevel = {"under_bevel_width_mm": 30.0, "under_bevel_height_mm": 16.0}
    seat = carve(outline="straight-sided", front_roll_mm=0.0, gutter_depth_mm=3.0, **bevel)
    body = step_solid.cad_solid(seat).body
    assert volume_mm3(body) == pytest.approx(surface_volume_mm3(seat, 1.0), rel=1e-4)
    kinds = Counter(kind for _, _, kind in faces(body))
    assert set(kinds) == {"BSplineSurface", "Cylinder", "Plane"}
    # Underside, four walls, four bevels, deck, and the rim ahead of the gutter.
    assert kinds["Plane"] >= 11
    (gutter,) = {
        round(surface.Cylinder().Radius(), 9) for _, surface, kind in faces(body) if kind == "Cylinder"
    }
    # An arc 8 mm across and 3 mm deep has a radius of (4^2 + 3^2) / 6.
    assert gutter == pytest.approx(25.0 / 6.0, abs=1e-9)


@pytest.mark.slow
@needs_kernel
@pytest.mark.parametrize(
    "options",
    [
        {"outline": "rounded"},
        {"outline": "tapered to the rear"},
        {"outline": "waisted"},
        {"outline": "D-shaped"},
        {"deck_line": "bowed", "deck_bow_mm": 30.0, "gutter_depth_mm": 3.0},
        {"deck_line": "offset"},
        {"deck_line": "offset", "gutter_depth_mm": 3.0},
        {"under_bevel_width_mm": 30.0, "under_bevel_height_mm": 15.0},
    ],
)
def test_round_corners_curved_deck_lines_and_bevels_give_a_valid_solid(
    carve: Carve, options: dict[str, Any]
) -> None:
    seat = carve(**options)
    # What `cad_solid` returns has passed the kernel's own check.
    rel = 3e-4 if options.get("outline") == "waisted" else 1e-4
    assert volume_mm3(step_solid.cad_solid(seat).body) == pytest.approx(
        surface_volume_mm3(seat, 1.0), rel=rel
    )


@needs_kernel
@pytest.mark.parametrize(
    ("options", "words"),
    [
        (
            {
                "outline": "D-shaped",
                "depth_mm": 250.0,
                "under_bevel_width_mm": 140.0,
                "under_bevel_height_mm": 15.0,
            },
            "under_bevel_width_mm.*tightly.*3mf",
        ),
    ],
)
def test_what_the_kernel_does_not_do_is_refused_in_words(
    carve: Carve, options: dict[str, Any], words: str
) -> None:
    seat = carve(front_roll_mm=0.0, **options)
    with pytest.raises(ValueRefusedError, match=words):
        step_solid.cad_solid(Seat(seat.blank) if "under_bevel_width_mm" in options else seat)


def len_angle(chain: Any, centre: Any) -> float:
    """Return the angle that an arc spans, summed over its chords."""
    out = chain - centre
    turn = np.arctan2(
        out[:-1, 0] * out[1:, 1] - out[:-1, 1] * out[1:, 0], np.einsum("ij,ij->i", out[:-1], out[1:])
    )
    return float(np.abs(turn).sum())


@pytest.mark.parametrize("outline", OUTLINES)
def test_walls_lie_along_the_outline(outline: str) -> None:
    polygon = Blank(outline=outline).polygon_mm()
    chains, ring = stretches(polygon), shapely.LinearRing(polygon)
    seen = 0.0
    for i, chain in enumerate(chains):
        np.testing.assert_array_equal(chain[-1], chains[(i + 1) % len(chains)][0])
        if len(chain) == 2:
            seen += float(np.linalg.norm(chain[1] - chain[0]))
            continue
        circle = circle_of(chain)
        if circle is not None:
            assert np.ptp(np.linalg.norm(chain - circle[0], axis=1)) < 1e-6
            seen += circle[1] * len_angle(chain, circle[0])
            continue
        before, after = chains[i - 1], chains[(i + 1) % len(chains)]
        for piece in smooth_through(chain, end_directions(before)[1], end_directions(after)[0]):
            points = piece(np.linspace(piece.t[0], piece.t[-1], 2000))
            assert shapely.distance(shapely.points(points), ring).max() < 0.01
            seen += float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    assert seen == pytest.approx(ring.length, rel=2e-4)
    assert len(chains) <= 14


@pytest.mark.parametrize("roll_mm", [0.0, 12.0, 30.0])
def test_the_spline_is_the_seats_own_and_meets_the_roll(carve: Carve, roll_mm: float) -> None:
    seat = carve(front_roll_mm=roll_mm, deeper_on_the_right_mm=3.0)
    spline = carved_spline(seat)
    random = np.random.default_rng(4)
    x, y = random.uniform(-240.0, 240.0, 20_000), random.uniform(50.0, 430.0, 20_000)
    assert seat.hollow is not None
    carved = seat.hollow(x, y) > 0.0
    off = np.abs(spline(x, y) - seat.depth_mm(x, y))[carved]
    assert off.max() < 5e-7
    behind = (y < 430.0 - roll_mm)[carved]
    assert off[behind].max() < 2e-8


@pytest.mark.parametrize("amount_mm", [1.5, -1.5])
def test_adjustments_are_met_on_finer_knots(carve: Carve, amount_mm: float) -> None:
    plain = carve(front_roll_mm=0.0)
    seat = Seat(plain.blank, hollow=plain.hollow, adjustments=(Adjustment(70.0, 160.0, 30.0, amount_mm),))
    spline = carved_spline(seat)
    x, y = np.random.default_rng(8).uniform([30.0, 120.0], [110.0, 200.0], (20_000, 2)).T
    off = np.abs(spline(x, y) - seat.depth_mm(x, y))
    assert off.max() < 5e-3
    assert np.abs(plain.depth_mm(x, y) - seat.depth_mm(x, y)).max() > 1.45


def test_the_header_says_what_is_left_out(carve: Carve) -> None:
    seat = carve(round_over_mm=5.0, joints=(Joint("spindle", 0.0, 20.0, 12.0, depth_mm=20.0),))
    bare, whole = step_solid.CadSolid(None, False, False), step_solid.CadSolid(None, True, True)
    assert remarks(seat, bare)[1:] == (
        "top edge left square: round it over by 5 mm",
        "joint holes are not cut",
    )
    (rounded,) = remarks(seat, whole)[1:]
    assert "rounded over by 5 mm where nothing else is cut" in rounded
    assert remarks(carve(), bare) == ("carved seat, unit mm; hollow face exact to 1e-6 mm",)


@needs_kernel
@pytest.mark.parametrize(
    "options",
    [
        {"outline": "D-shaped"},  # a cut that the kernel loses at its usual nearness
        {"under_bevel_width_mm": 90.0, "under_bevel_height_mm": 15.0},  # wider than corners are round
        {"outline": "straight-sided", "under_bevel_width_mm": 90.0, "under_bevel_height_mm": 15.0},
    ],
)
def test_the_solid_lacks_what_the_seat_is_carved_by(carve: Carve, options: dict[str, Any]) -> None:
    seat = carve(**options)
    body = step_solid.cad_solid(seat).body
    assert volume_mm3(body) == pytest.approx(surface_volume_mm3(seat, 1.0), rel=1e-4)
    assert top_mm(body) == pytest.approx(0.0, abs=1e-6)


def top_mm(body: Any) -> float:
    box = ocp("Bnd").Bnd_Box()
    ocp("BRepBndLib").BRepBndLib.AddOptimal_s(body, box, False, False)
    return float(box.CornerMax().Z())


def test_a_lost_cut_is_no_seat(carve: Carve, monkeypatch: pytest.MonkeyPatch) -> None:
    seat = carve()
    monkeypatch.setattr(
        wood_taken, "volume_mm3", lambda _: 45.0 * shapely.Polygon(seat.blank.polygon_mm()).area
    )
    assert not wood_taken.is_as_carved(None, seat, rounded=False)
    whole = surface_volume_mm3(seat, 0.5)
    monkeypatch.setattr(wood_taken, "volume_mm3", lambda _: whole)
    assert wood_taken.is_as_carved(None, seat, rounded=False)
    monkeypatch.setattr(wood_taken, "volume_mm3", lambda _: whole + 1500.0)
    assert not wood_taken.is_as_carved(None, seat, rounded=False)


@needs_kernel
def test_the_top_edge_is_rounded_where_it_is_uncut() -> None:
    blank = Blank(outline="straight-sided", round_over_mm=6.0)
    made = step_solid.cad_solid(flat_seat(blank))
    assert made.is_rounded
    # A square edge less its quarter circle all round; at each corner both sides take what one alone does, summed.
    drop = 6.0 - np.sqrt(36.0 - (6.0 - (np.arange(600) + 0.5) / 100.0) ** 2)
    shared = float(np.minimum(drop[:, None], drop[None, :]).sum()) * 1e-4
    perimeter = 2.0 * (blank.width_mm + blank.depth_mm)
    taken = blank.thickness_mm * blank.width_mm * blank.depth_mm - volume_mm3(made.body)
    assert taken == pytest.approx(perimeter * 36.0 * (1.0 - np.pi / 4.0) - 4.0 * shared, rel=1e-4)


@needs_kernel
def test_joints_are_drilled_and_scale_scales() -> None:
    post = Joint("spindle", 60.0, 25.0, 16.0, depth_mm=30.0, angle_deg=0.0)
    blank = Blank(outline="straight-sided", joints=(post,))
    plain = step_solid.cad_solid(flat_seat(blank))
    drilled = step_solid.cad_solid(flat_seat(blank), joint_holes=True)
    assert (plain.has_holes, drilled.has_holes) == (False, True)
    both = 2.0 * np.pi * 8.0**2 * 30.0
    assert volume_mm3(plain.body) - volume_mm3(drilled.body) == pytest.approx(both, rel=1e-6)
    quarter = step_solid.cad_solid(flat_seat(blank), joint_holes=True, scale=0.25)
    assert volume_mm3(quarter.body) == pytest.approx(volume_mm3(drilled.body) / 64.0, rel=1e-9)


@needs_kernel
def test_a_fillet_along_the_underside_takes_wood_off(written: tuple[Seat, Path]) -> None:
    seat, path = written
    body = read_solid(path)
    fillet = ocp("BRepFilletAPI").BRepFilletAPI_MakeFillet(body)
    low = min((face for face, _, kind in faces(body) if kind == "Plane"), key=middle_z)
    found = ocp("TopExp").TopExp_Explorer(low, ocp("TopAbs").TopAbs_ShapeEnum.TopAbs_EDGE)
    while found.More():
        fillet.Add(3.0, ocp("TopoDS").TopoDS.Edge(found.Current()))
        found.Next()
    fillet.Build()
    perimeter = 2.0 * (seat.blank.width_mm + seat.blank.depth_mm)
    off = volume_mm3(body) - volume_mm3(fillet.Shape())
    assert off == pytest.approx(perimeter * 9.0 * (1.0 - np.pi / 4.0), rel=0.02)


def middle_z(face: Any) -> float:
    held = ocp("GProp").GProp_GProps()
    ocp("BRepGProp").BRepGProp.SurfaceProperties_s(face, held)
    return float(held.CentreOfMass().Z())


def test_points_of_an_arc_are_an_arc_again() -> None:
    turn = np.linspace(0.0, 0.5 * np.pi, 24)
    arc = np.column_stack([40.0 + 30.0 * np.cos(turn), 20.0 + 30.0 * np.sin(turn)])
    turn = np.linspace(0.0, 0.5 * np.pi, 30)
    ellipse = np.column_stack([40.0 - 110.0 * np.sin(turn), 30.0 + 20.0 * np.cos(turn)])[1:]
    ring = np.vstack([[(-70.0, -80.0), (70.0, -80.0)], arc, ellipse])
    chains = [one for one in stretches(ring) if len(one) > 2]
    circles = [circle_of(one) for one in chains]
    ((centre, radius),) = [one for one in circles if one is not None]
    np.testing.assert_allclose([*centre, radius], [40.0, 20.0, 30.0], atol=1e-6)
    assert sum(one is None for one in circles) >= 1


def test_a_seat_that_is_no_spline_is_refused(carve: Carve, tmp_path: Path) -> None:
    plain = carve()
    # Over the hollow's edge, where wood is taken beyond it.
    adjusted = Seat(plain.blank, hollow=plain.hollow, adjustments=(Adjustment(205.0, 200.0, 30.0, 1.0),))
    with pytest.raises(ValueRefusedError, match=r"adjustments that a spline meets to .*\.3mf"):
        carved_spline(adjusted)
    for options in ({"deck_mm": 10.0}, {"width_mm": 500.0}, {"depth_mm": 440.0}):
        with pytest.raises(ValueRefusedError, match="covers the blank"):
            carved_spline(carve(**options))
    with pytest.raises(ValueRefusedError, match=r"\.step and \.stp"):
        write_step(plain, tmp_path / "seat.iges")


def test_without_the_kernel_the_message_says_how_to_get_it(
    carve: Carve, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(
        step_kernel.importlib, "import_module", lambda name: (_ for _ in ()).throw(ImportError(name))
    )
    with pytest.raises(FileRefusedError, match=r"pip install '\.\[cad\]'"):
        write_step(carve(), tmp_path / "seat.step")
    assert list(tmp_path.iterdir()) == []
