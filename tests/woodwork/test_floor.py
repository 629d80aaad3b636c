"""Bending by finite elements against closed forms of beams and plates, and the factors of whole seats."""

from math import pi, sin
from types import SimpleNamespace

import numpy as np
import pytest
import skfem

from seatmesh.deepest import deepest_places
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.surface import flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup, usual_layup
from seatmesh.wood.joint import Joint
from seatmesh.wood.species import species_named
from seatmesh.woodwork.floor import elastic_solid as solids
from seatmesh.woodwork.floor import thinnest as thin
from seatmesh.woodwork.floor.elastic_solid import (
    bent,
    elastic_solid,
    faces_of,
    load_vector,
    moved_at,
    spread,
    stress_mpa,
)
from seatmesh.woodwork.floor.floor_bending import _strain, floor_bending
from seatmesh.woodwork.floor.floor_load import LegPlace, PadPlace, legs_of, pads_of
from seatmesh.woodwork.floor.floor_mesh import floor_mesh, skin_faces
from seatmesh.woodwork.floor.orthotropic import orthotropic, stiffness_mpa, turned_into_blank, wood_axes
from seatmesh.woodwork.floor.thinnest import thinnest_floor
from seatmesh.woodwork.floor.weak_places import weakest

WALNUT = species_named("walnut")
ALONG = 1.1 * 11_600.0
"""Along the grain a tenth stiffer than bending tests say (Wood Handbook, chapter 5)."""
LONG, WIDE, HIGH = 400.0, 30.0, 20.0
FORCE = 100.0


def beam(pieces, fibre=(0.0, 1.0, 0.0), radial=(0.0, 0.0, 1.0)):
    """Return a beam of walnut along y, its fibres and rays as stated."""
    across, along, high = pieces
    mesh = skfem.MeshHex.init_tensor(
        np.linspace(0, WIDE, across + 1), np.linspace(0, LONG, along + 1), np.linspace(0, HIGH, high + 1)
    )
    axes = wood_axes(np.array(fibre), np.tile(radial, (mesh.nelements, 1)))
    return elastic_solid(mesh, turned_into_blank(stiffness_mpa(WALNUT), axes))


def held(solid, fixed, loads):
    free = np.setdiff1d(np.arange(solid.basis.N), fixed)
    moved = np.zeros(solid.basis.N)
    moved[free] = bent(solid.matrix[free][:, free].tocsc(), loads[free])
    return moved


def end_of(solid, y):
    return faces_of(solid, solid.mesh.facets_satisfying(lambda x: np.isclose(x[1], y)))


def cantilever(pieces, **way):
    solid = beam(pieces, **way)
    end = end_of(solid, LONG)
    loads = load_vector(solid, end, np.array([0.0, 0.0, -FORCE]), spread(end, lambda p: np.ones(len(p))))
    moved = held(solid, solid.basis.get_dofs(lambda x: np.isclose(x[1], 0.0)).all(), loads)
    return solid, moved, -moved_at(end, moved)[:, 2].mean()


def bending_and_shear(modulus, shear):
    """Timoshenko's beam: F L^3 / 3 E I + 6/5 F L / G A."""
    inertia, area = WIDE * HIGH**3 / 12.0, WIDE * HIGH
    return FORCE * LONG**3 / (3.0 * modulus * inertia) + 1.2 * FORCE * LONG / (shear * area)


@pytest.mark.parametrize(
    ("way", "modulus", "shear"),
    [
        ({}, ALONG, 0.085 * ALONG),  # fibres along the beam, rays upright: G_LR
        ({"fibre": (1.0, 0.0, 0.0)}, 0.056 * ALONG, 0.021 * ALONG),  # rings along it: E_T, G_RT
        (
            {"fibre": (1.0, 0.0, 0.0), "radial": (0.0, 1.0, 0.0)},
            0.106 * ALONG,
            0.021 * ALONG,
        ),  # rays along it: E_R
    ],
)
def test_a_cantilever_bends_as_the_closed_form_says(way, modulus, shear):
    _, _, sunk = cantilever((2, 16, 2), **way)
    assert sunk == pytest.approx(bending_and_shear(modulus, shear), rel=0.02)


def test_stress_in_a_cantilever_is_moment_over_section():
    solid, moved, _ = cantilever((2, 16, 2))
    top = faces_of(solid, solid.mesh.facets_satisfying(lambda x: np.isclose(x[2], HIGH)))
    stress = stress_mpa(solid, top, moved)[:, 1]
    inside = (top.points_mm[:, 1] > 60.0) & (top.points_mm[:, 1] < 340.0)
    exact = FORCE * (LONG - top.points_mm[:, 1]) * 0.5 * HIGH / (WIDE * HIGH**3 / 12.0)
    assert stress[inside] == pytest.approx(exact[inside], rel=0.02)


def test_three_point_bending_is_the_closed_form():
    """F L^3 / 48 E I + 6/5 F L / 4 G A between supports 400 mm apart."""
    solid = beam((2, 20, 2))
    mesh = solid.mesh
    top = faces_of(solid, mesh.facets_satisfying(lambda x: np.isclose(x[2], HIGH)))
    loads = load_vector(
        solid,
        top,
        np.array([0.0, 0.0, -FORCE]),
        spread(top, lambda p: np.exp(-(((p[:, 1] - 200.0) / 12.0) ** 2))),
    )
    nodes = solid.basis.doflocs
    ends = np.isclose(nodes[1], 0.0) | np.isclose(nodes[1], LONG)
    axis = np.arange(solid.basis.N) % 3
    upright = _component(solid)
    fixed = np.flatnonzero(ends & np.isclose(nodes[2], 0.5 * HIGH) & (upright == 2))
    middle = np.isclose(nodes[1], 200.0) & np.isclose(nodes[2], 0.5 * HIGH)
    fixed = np.union1d(fixed, np.flatnonzero(middle & (upright == 1)))
    fixed = np.union1d(fixed, np.flatnonzero(np.isclose(nodes[0], 0.5 * WIDE) & ends & (upright == 0)))
    moved = held(solid, fixed, loads)
    at = np.flatnonzero(middle & (upright == 2))
    inertia, area = WIDE * HIGH**3 / 12.0, WIDE * HIGH
    exact = FORCE * LONG**3 / (48.0 * ALONG * inertia) + 1.2 * FORCE * LONG / (4.0 * 0.085 * ALONG * area)
    assert -moved[at].mean() == pytest.approx(exact, rel=0.02)
    assert len(axis) == solid.basis.N


def _component(solid):
    """Return for every unknown along which axis it is."""
    out = np.empty(solid.basis.N, dtype=int)
    for number, name in enumerate(("u^1", "u^2", "u^3")):
        out[solid.basis.get_dofs(elements=True).all([name])] = number
    return out


def plate(stiffness, side, thick, pieces):
    """Return the deflection in the middle of a plate on simple supports under 0.001 MPa."""
    mesh = skfem.MeshHex.init_tensor(*(np.linspace(0, side, pieces + 1),) * 2, np.linspace(0, thick, 3))
    solid = elastic_solid(mesh, np.broadcast_to(stiffness, (mesh.nelements, 6, 6)))
    top = faces_of(solid, mesh.facets_satisfying(lambda x: np.isclose(x[2], thick)))
    force = np.array([0.0, 0.0, -0.001 * side**2])
    loads = load_vector(solid, top, force, spread(top, lambda p: np.ones(len(p))))
    nodes, way = solid.basis.doflocs, _component(solid)
    half = np.isclose(nodes[2], 0.5 * thick)
    across = np.isclose(nodes[0] * (nodes[0] - side), 0.0)
    along = np.isclose(nodes[1] * (nodes[1] - side), 0.0)
    fixed = np.flatnonzero(half & (across | along) & (way == 2))
    corner = half & across & along
    fixed = np.union1d(fixed, np.flatnonzero(corner & np.isclose(nodes[0], 0.0) & (way == 0)))
    fixed = np.union1d(fixed, np.flatnonzero(corner & np.isclose(nodes[1], 0.0) & (way == 1)))
    moved = held(solid, fixed, loads)
    middle = np.isclose(nodes[0], 0.5 * side) & np.isclose(nodes[1], 0.5 * side) & (way == 2)
    return -moved[middle].mean()


def test_a_uniform_plate_is_the_handbooks():
    """Timoshenko and Woinowsky-Krieger: a square plate on simple supports, even load: 0.00406 q a^4 / D, ratio 0.3."""
    modulus, side, thick = 10_000.0, 400.0, 8.0
    shear = modulus / 2.6
    sunk = plate(orthotropic((modulus,) * 3, (shear,) * 3, (0.3,) * 3), side, thick, 12)
    stiff = modulus * thick**3 / (12.0 * (1.0 - 0.3**2))
    assert sunk == pytest.approx(0.00406 * 0.001 * side**4 / stiff, rel=0.02)


def test_a_plate_of_wood_is_naviers_series():
    """Orthotropic plate on simple supports: the double series of Navier with D1, D2, D3 (Timoshenko, chapter 11)."""
    e1, e2, e3, g, nu = 12_000.0, 1_200.0, 800.0, 900.0, 0.4
    side, thick = 400.0, 6.0
    sunk = plate(orthotropic((e1, e2, e3), (700.0, 800.0, g), (0.3, 0.3, nu)), side, thick, 12)
    nu21 = nu * e2 / e1
    d1, d2 = (e * thick**3 / (12.0 * (1.0 - nu * nu21)) for e in (e1, e2))
    d3 = nu21 * d1 + 2.0 * g * thick**3 / 12.0
    exact = sum(
        16.0 * 0.001 / (pi**6 * m * n) * sin(m * pi / 2) * sin(n * pi / 2) * side**4
        / (d1 * m**4 + 2.0 * d3 * m**2 * n**2 + d2 * n**4)
        for m in range(1, 40, 2) for n in range(1, 40, 2)
    )  # fmt: skip
    assert sunk == pytest.approx(exact, rel=0.02)


def test_turned_wood_is_as_stiff_as_the_turn_says():
    """Along a direction at an angle a to the grain: 1/E = c4/E1 + s4/E2 + s2 c2 (1/G - 2 nu/E1) (Wood Handbook)."""
    stiffness = stiffness_mpa(WALNUT)
    soft = np.linalg.inv(stiffness)
    for degrees in (0.0, 15.0, 45.0, 90.0):
        a = np.radians(degrees)
        axes = wood_axes(np.array([np.cos(a), np.sin(a), 0.0]), np.array([[-np.sin(a), np.cos(a), 0.0]]))
        turned = np.linalg.inv(turned_into_blank(stiffness, axes)[0])
        c, s = np.cos(a), np.sin(a)
        exact = c**4 * soft[0, 0] + s**4 * soft[1, 1] + s**2 * c**2 * (soft[5, 5] + 2.0 * soft[0, 1])
        assert turned[0, 0] == pytest.approx(exact, rel=1e-9)


def test_constants_that_make_no_solid_are_refused():
    with pytest.raises(ValueRefusedError, match="no stiff solid"):
        orthotropic((1000.0, 1000.0, 1000.0), (400.0,) * 3, (0.9, 0.9, 0.9))


def test_legs_carry_the_load_and_nothing_else(carve):
    seat = carve(boards=2)
    layup = usual_layup(seat.blank)
    bending = floor_bending(seat, layup, 1300.0, spacing_mm=30.0, layers=1)
    twice = floor_bending(seat, layup, 2600.0, spacing_mm=30.0, layers=1)
    assert twice.least.factor == pytest.approx(0.5 * bending.least.factor, rel=1e-6)
    assert twice.worst.deflection_mm == pytest.approx(2.0 * bending.worst.deflection_mm, rel=1e-6)
    assert not bending.own_legs
    for case in bending.cases:
        carried = np.array(case.legs_n)
        places = np.array([(leg.x_mm, leg.y_mm) for leg in bending.legs])
        assert carried.sum() == pytest.approx(1300.0, rel=1e-3)
        # Moments balance; of the pad at the front a strip hangs over the edge, which moves its middle to the rear.
        assert carried @ places / 1300.0 == pytest.approx([case.pad.x_mm, case.pad.y_mm], abs=6.0)
    assert {one.way for one in bending.worst.weakest} >= {"along the grain", "across the grain"}
    assert any("glue line" in one.way for one in bending.worst.weakest)


def test_the_same_seat_mirrored_bends_alike(carve):
    seat = carve(boards=2)
    left = Layup((Board(240.0, pith_aside_mm=40.0, number=1), Board(240.0, number=1)), 430.0, 45.0)
    right = Layup((Board(240.0, number=1), Board(240.0, pith_aside_mm=-40.0, number=1)), 430.0, 45.0)
    one, other = (floor_bending(seat, layup, 1300.0, spacing_mm=30.0, layers=1) for layup in (left, right))
    assert one.least.factor == pytest.approx(other.least.factor, rel=0.02)


def test_a_wood_of_unknown_strength_is_refused_by_its_board():
    teak = species_named(
        "teak", {"density_kg_m3": 655, "radial_per_percent": 0.001, "tangential_per_percent": 0.0019}
    )
    layup = Layup((Board(480.0, teak),), 430.0, 45.0)
    with pytest.raises(
        ValueRefusedError, match=r"\[\[board\]\] 1 species.*bending_mpa, stiffness_gpa, across_mpa"
    ):
        floor_bending(flat_seat(), layup, 1300.0)


def test_without_finite_elements_it_is_said_what_to_install(monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "skfem", None)
    with pytest.raises(NotSolvedError, match=r"\[floor\]"):
        solids.finite_elements()


def test_legs_are_the_orders_or_lie_inside_the_outline():
    leg = Joint("leg mortise", 150.0, 330.0, diameter_mm=28.0, depth_mm=30.0)
    rear = Joint("leg mortise", 140.0, 70.0, diameter_mm=28.0, depth_mm=30.0)
    seat = flat_seat(Blank(joints=(leg, rear)))
    places, own = legs_of(seat)
    assert own
    assert {(one.x_mm, one.y_mm) for one in places} == {(150, 330), (-150, 330), (140, 70), (-140, 70)}
    round_seat = flat_seat(Blank(outline="D-shaped"))
    places, own = legs_of(round_seat)
    assert not own
    assert all(round_seat.blank.inside_mm(one.x_mm, one.y_mm) > 28.0 for one in places)


def test_the_mesh_meets_glue_lines_and_both_faces(carved_seat):
    mesh = floor_mesh(carved_seat, (-31.0, 77.0), 25.0, 2)
    assert {-31.0, 0.0, 77.0} <= set(np.unique(mesh.p[0].round(6)))
    assert 50.0 in set(mesh.p[1].round(6))
    for upper in (True, False):
        faces = skin_faces(mesh, upper)
        nodes = np.unique(mesh.facets[:, faces])
        x, y, z = mesh.p[:, nodes]
        exact = -carved_seat.depth_mm(x, y) if upper else np.full(len(x), -45.0)
        assert z == pytest.approx(exact, abs=1e-6)


@pytest.mark.slow
def test_a_mesh_of_half_the_size_moves_the_answer_by_less_than_3_percent(carve):
    seat = carve(boards=2)
    layup = usual_layup(seat.blank)
    coarse = floor_bending(seat, layup, 1300.0)
    fine = floor_bending(seat, layup, 1300.0, spacing_mm=10.0, layers=2)
    for one, other in zip(coarse.cases, fine.cases, strict=True):
        assert one.deflection_mm == pytest.approx(other.deflection_mm, rel=0.03)
        assert one.least.factor == pytest.approx(other.least.factor, rel=0.03)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("boards", "wood", "rise"), [(2, "white oak", 0.0), (1, "white oak", 0.0), (1, "ash", 4.0)]
)
def test_the_thinnest_floor_reaches_its_factor_and_half_a_millimetre_less_does_not(carve, boards, wood, rise):
    """Both are bent anew on the mesh that every floor is told from; of one board the coarse mesh is 4 % off."""
    seat = carve(boards=boards)
    layup = Layup(
        tuple(Board(480.0 / boards, species_named(wood), rise_deg=rise, number=k) for k in range(boards)),
        430.0,
        45.0,
    )
    found = thinnest_floor(seat, layup, 1300.0, 3.0)
    now = floor_bending(seat, layup, 1300.0).floor_mm
    there, thinner = (
        floor_bending(seat, layup, 1300.0, taken_mm=now - mm) for mm in (found.floor_mm, found.floor_mm - 0.5)
    )
    assert there.floor_mm == pytest.approx(found.floor_mm)
    assert thinner.least.factor < 3.0 <= there.least.factor == found.reached
    assert dict(found.tried)[found.floor_mm] == found.reached
    assert [floor for floor, _ in found.tried] == sorted(floor for floor, _ in found.tried)


def bending_by(coarse, fine, now=30.0):
    """Return a stand-in for `floor_bending` whose factors are straight lines, another one for each mesh."""

    def bending(_seat, _layup, _load, *, taken_mm, spacing_mm=None, layers=None):
        factor = (fine if spacing_mm is None else coarse) * (now - taken_mm)
        return SimpleNamespace(least=SimpleNamespace(factor=factor))

    return bending


@pytest.mark.parametrize("coarse", [0.19, 0.2, 0.2086, 0.25, 0.1])
def test_what_is_told_of_the_thinnest_floor_is_the_fine_meshs_own(monkeypatch, coarse):
    """Factor 3 at 0.2 for each mm is 15 mm, whatever the coarse mesh says; 3.05 is 15.5 mm, upward to a half."""
    monkeypatch.setattr(thin, "floor_bending", bending_by(coarse, 0.2 + 1e-9))
    monkeypatch.setattr(thin, "floor_left_mm", lambda _: 30.0)
    for factor, floor in ((3.0, 15.0), (3.05, 15.5), (0.5, 5.0)):
        found = thinnest_floor(None, None, 1300.0, factor)
        assert found.floor_mm == floor
        assert found.reached == pytest.approx(0.2 * floor)
    assert thinnest_floor(None, None, 1300.0, 11.5).floor_mm is None
    assert thinnest_floor(None, None, 1300.0, 11.0).floor_mm == 55.0


def test_a_leg_is_as_stiff_as_a_straight_bar_and_bears_about_its_axis():
    """E A / L: 10 GPa, 28 mm across, 400 mm long."""
    leg = LegPlace(100.0, 50.0, 28.0)
    assert leg.stiffness_n_mm[2] == pytest.approx(10_000.0 * np.pi * 14.0**2 / 400.0)
    assert leg.stiffness_n_mm[:2] == pytest.approx(0.02 * leg.stiffness_n_mm[2] * np.ones(2))
    at = np.array([[100.0, 50.0, 0.0], [114.0, 50.0, 0.0], [100.0, 36.0, 0.0], [70.0, 50.0, 0.0]])
    assert leg.weight(at) == pytest.approx([1.0, np.exp(-1.0), np.exp(-1.0), np.exp(-((30.0 / 14.0) ** 2))])
    pad = PadPlace("", 0.0, 200.0)
    assert pad.weight(np.array([[0.0, 200.0, 0.0], [50.0, 200.0, 0.0]])) == pytest.approx(
        [1.0, 1.0], abs=0.01
    )
    assert pad.weight(np.array([[100.0, 200.0, 0.0], [0.0, 100.0, 0.0]])) == pytest.approx([np.exp(-1.0)] * 2)
    assert pad.weight(np.array([[130.0, 200.0, 0.0]])) < 0.01


def test_where_legs_and_pads_are_where_nobody_says(carved_seat):
    places, own = legs_of(flat_seat(Blank()))
    assert not own
    assert {(one.x_mm, one.y_mm) for one in places} == {(165, 70), (-165, 70), (165, 360), (-165, 360)}
    shield = flat_seat(Blank(outline="D-shaped"))
    for one, usual in zip(legs_of(shield)[0], places, strict=True):
        # Moved toward the middle of the seat, in a straight line.
        assert one.x_mm * (usual.y_mm - 215.0) == pytest.approx(usual.x_mm * (one.y_mm - 215.0), abs=1e-6)
    sitting, front = pads_of(carved_seat)
    assert (sitting.x_mm, front.x_mm, front.y_mm) == (0.0, 0.0, 350.0)
    assert sitting.y_mm == pytest.approx(deepest_places(carved_seat)[0].y_mm, abs=0.5)


def test_stress_is_told_along_and_across_the_grain_and_over_glue_lines():
    """Level fibres: along is yy; across, the greatest pull in xz is 1.5 + hypot(0.5, 0.5); over a glue line xx."""
    points = np.array([[-30.0, 100.0, 0.0], [11.9, 100.0, 0.0], [12.3, 100.0, 0.0]])
    layup = Layup((Board(240.0, WALNUT), Board(240.0, species_named("pine"))), 430.0, 45.0)
    # xx, yy, zz, yz, xz, xy
    stress = np.array(
        [[2.0, -3.0, 1.0, 0.0, 0.5, 0.0], [0.4, 3.0, 0.0, 0.0, 0.0, 0.0], [0.8, 3.0, 0.0, 0.0, 0.0, 0.0]]
    )
    told = _strain(SimpleNamespace(points_mm=points), layup, stress)
    assert told.along_mpa == pytest.approx([-3.0, 3.0, 3.0])
    assert told.across_mpa == pytest.approx([1.5 + np.hypot(0.5, 0.5), 0.4, 0.8])
    # W5: walnut 101 and 4.8 MPa, white pine 59 and 2.1.
    assert told.along_factor == pytest.approx([101.0 / 3.0, 59.0 / 3.0, 59.0 / 3.0])
    assert told.across_factor == pytest.approx([4.8 / (1.5 + np.hypot(0.5, 0.5)), 2.1 / 0.4, 2.1 / 0.8])
    along, across, glue = weakest(told, ["underside"] * 3, layup)
    assert (along.x_mm, across.x_mm) == (11.9, -30.0)
    # Only 12 mm beside the line count, with the weaker of the two woods.
    assert (glue.x_mm, glue.stress_mpa, glue.factor) == (11.9, 0.4, pytest.approx(2.1 / 0.4))


def test_rays_that_are_not_square_to_the_fibres_are_made_so():
    axes = wood_axes(np.array([0.0, 1.0, 0.0]), np.array([[0.3, 0.5, 0.8], [2.0, -1.0, 0.1]]))
    for one in axes:
        assert one.T @ one == pytest.approx(np.eye(3))
        assert np.linalg.det(one) == pytest.approx(1.0)


def test_a_planed_underside_leaves_so_much_less_floor(carve):
    seat = carve()
    layup = usual_layup(seat.blank)
    x, y = seat.blank.grid_mm(5.0)
    least = float(seat.wood_left_mm(x, y)[seat.blank.inside_mm(x, y) > 0.0].min())
    thin = floor_bending(seat, layup, 1300.0, taken_mm=3.0, spacing_mm=40.0, layers=1)
    assert thin.floor_mm == pytest.approx(least - 3.0)
    assert thin.least.factor < floor_bending(seat, layup, 1300.0, spacing_mm=40.0, layers=1).least.factor
