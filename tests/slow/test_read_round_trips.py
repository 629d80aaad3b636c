"""Seats to meshes and back, whichever way they lie: each is right within 0.05 mm rms, or refused in words.

What is read is compared with the seat that the mesh was made of, all over its top face. Refusing everything would be a
failure too: of the plain trips every one has to be accepted, and of the odd ones those that say so. The tables that
are printed (`pytest -m slow -s`) tell what was accepted, what was refused, and why.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from drawn_scans import off_mm
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from seatmesh.adjustment import Adjustment
from seatmesh.errors import InputError
from seatmesh.formats.mesh_file import mesh_bytes
from seatmesh.mesh import Mesh
from seatmesh.reading.carved import read_carved
from seatmesh.solids.carved import solid
from seatmesh.solids.holes import cut_holes
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.joint import Joint
from seatmesh.wood.joint_cuts import joint_cuts
from seatmesh.wood.outline.shapes import OUTLINES

Floats = NDArray[np.float64]

RIGHT_MM = 0.05
"""What is asked of every trip that is accepted: rms over the top face."""
MOVE_MM = np.array([310.0, -120.0, 45.0])
BEVEL = {"under_bevel_width_mm": 30.0, "under_bevel_height_mm": 18.0}
LEGS = tuple(
    Joint("leg mortise", x, y, 25.0, 12.0, depth_mm=depth, keep_mm=8.0)
    for x, y, depth in ((160.0, 330.0, 18.0), (140.0, 80.0, 20.0))
)
SPINDLES = tuple(Joint("spindle", x, 22.0, 12.0, 8.0, depth_mm=25.0) for x in (0.0, 60.0, 120.0))
ONE_SIDED = Adjustment(75.0, 165.0, 55.0, 2.5, side="one")


def turned(axes: str, degrees: Any) -> Floats:
    return np.asarray(Rotation.from_euler(axes, degrees, degrees=True).as_matrix())


# Each side up once, and in each another turn about the upright, the last two at odd angles.
POSES: dict[str, Floats] = {
    "z up": np.eye(3),
    "z down, turned": turned("x", 180) @ turned("z", 180),
    "y up": turned("x", -90) @ turned("z", 90),
    "y down": turned("x", 90) @ turned("z", 270),
    "x up": turned("y", 90) @ turned("z", 33),
    "x down": turned("y", -90) @ turned("z", -128),
}
AWRY = turned("xyz", [31, -54, 107])


@dataclass
class Outcomes:
    """What came of the trips: a line for each, and how many were accepted, refused and wrong."""

    lines: list[str] = field(default_factory=list)
    accepted: int = 0
    refused: int = 0
    wrong: list[str] = field(default_factory=list)
    refusals: dict[str, str] = field(default_factory=dict)

    def note(self, name: str, found: str | float) -> None:
        if isinstance(found, str):
            self.refused += 1
            self.refusals[name] = found
            self.lines.append(f"refused   {name}: {found}")
            return
        self.accepted += 1
        if not found < RIGHT_MM:
            self.wrong.append(name)
        self.lines.append(f"{'accepted' if found < RIGHT_MM else 'WRONG   '}  {name}: {found:.4f} mm rms")

    def print(self, head: str) -> None:
        whole = f"{head}: {self.accepted} accepted, {self.refused} refused, {len(self.wrong)} wrong"
        sys.stdout.write("\n".join(["", whole, *self.lines, ""]))


def trip(folder: Path, seat: Seat, mesh: Mesh, pose: Floats, **options: Any) -> str | float:
    """Return how far off the seat came back, rms over its top face, or why it was refused."""
    path = folder / "seat.stl"
    path.write_bytes(mesh_bytes(Mesh(mesh.vertices_mm @ pose.T + MOVE_MM, mesh.faces), "stl"))
    try:
        got = read_carved(path, options.pop("blank", seat.blank), **{"unit": "mm", **options})
    except InputError as refusal:
        words = str(refusal).replace(f"scan '{path}'", "it")
        assert "; " in words, "a refusal says what to do"
        return words
    return float(np.sqrt(np.mean(off_mm(seat, got.seat) ** 2)))


def drilled(seat: Seat) -> Mesh:
    return cut_holes(solid(seat), joint_cuts(seat.blank))


@pytest.mark.slow
def test_every_outline_bevel_and_joint_comes_back_in_every_pose(carve: Any, tmp_path: Path) -> None:
    """144 plain trips: all have to be accepted, and to be right."""
    outcomes = Outcomes()
    for outline in OUTLINES:
        for bevel in ({}, BEVEL):
            for joints in ((), (*LEGS, *SPINDLES)):
                seat = replace(carve(outline=outline, joints=joints, **bevel), adjustments=(ONE_SIDED,))
                mesh = drilled(seat)
                what = f"{outline}{', under-bevel' if bevel else ''}{', joint holes' if joints else ''}"
                for name, pose in POSES.items():
                    outcomes.note(f"{what}, {name}", trip(tmp_path, seat, mesh, pose))
    outcomes.print("plain round trips")
    assert outcomes.accepted + outcomes.refused >= 120
    assert not outcomes.wrong
    assert outcomes.refused == 0


MORE: dict[str, dict[str, Any]] = {
    "gutter 3 mm": {"gutter_depth_mm": 3.0},
    "gutter 6 x 10 mm": {"gutter_depth_mm": 6.0, "gutter_width_mm": 10.0},
    "deck line bowed forward": {"deck_line": "bowed", "deck_bow_mm": 40.0},
    "deck line bowed to the rear": {"deck_line": "bowed", "deck_bow_mm": -30.0},
    "deck along the outline": {"deck_line": "offset", "deck_mm": 45.0, "gutter_depth_mm": 4.0},
    "round-over 6 mm": {"round_over_mm": 6.0},
    "no front roll": {"front_roll_mm": 0.0},
    "deck line cut crisp": {"deck_mm": 90.0, "front_roll_mm": 0.0},
}


@pytest.mark.slow
def test_gutters_decks_and_edges_come_back_too(carve: Any, tmp_path: Path) -> None:
    outcomes = Outcomes()
    for what, options in MORE.items():
        seat = replace(carve(**options), adjustments=(ONE_SIDED,))
        mesh = solid(seat)
        for name, pose in {"z down, turned": POSES["z down, turned"], "awry": AWRY}.items():
            outcomes.note(f"{what}, {name}", trip(tmp_path, seat, mesh, pose))
    outcomes.print("gutters, decks, edges")
    assert not outcomes.wrong
    assert outcomes.refused == 0


def joined(*meshes: Any) -> Mesh:
    """Return several meshes as one file holds them."""
    points, faces, count = [], [], 0
    for one in meshes:
        vertices = one.vertices_mm if isinstance(one, Mesh) else np.asarray(one.vertices)
        points.append(vertices)
        faces.append(np.asarray(one.faces) + count)
        count += len(vertices)
    return Mesh(np.vstack(points), np.vstack(faces))


def loose(mesh: Mesh, shake_mm: float = 0.0) -> Mesh:
    """Return the same triangles, no two sharing a corner."""
    points = mesh.vertices_mm[mesh.faces].reshape(-1, 3)
    points = points + np.random.default_rng(3).normal(0.0, shake_mm, points.shape) if shake_mm else points
    return Mesh(points, np.arange(len(points)).reshape(-1, 3))


def in_a_box(size: tuple[float, float, float], at: tuple[float, float, float]) -> Any:
    return trimesh.creation.box(size).apply_translation(at)


def legs_on(mesh: Mesh) -> Mesh:
    legs = [
        trimesh.creation.cylinder(15.0, 400.0).apply_translation([x, y, -240.0])
        for x in (-170.0, 170.0)
        for y in (80.0, 340.0)
    ]
    return joined(mesh, *legs)


def mesh_cases(even: Seat, uneven: Seat) -> dict[str, tuple[Seat, Mesh, bool]]:
    """Return faults of meshes: the seat, what a program made of it, and whether it has to be accepted."""
    plain, other = solid(even), solid(uneven)
    v, f = other.vertices_mm, other.faces
    void = trimesh.creation.icosphere(3, 9.0).apply_translation([60.0, 200.0, -31.0])
    slab = in_a_box((300.0, 250.0, 8.0), (0.0, 230.0, -35.0))
    up = np.cross(v[f[:, 1]] - v[f[:, 0]], v[f[:, 2]] - v[f[:, 0]])[:, 2]
    mirror = np.array([-1.0, 1.0, 1.0])
    return {
        "even seat mirrored": (even, Mesh(plain.vertices_mm * mirror, plain.faces), True),
        "even seat inside out": (even, Mesh(plain.vertices_mm, plain.faces[:, ::-1]), True),
        "uneven seat mirrored, faces as they were": (uneven, Mesh(v * mirror, f), False),
        "uneven seat inside out": (uneven, Mesh(v, f[:, ::-1]), False),
        "triangles apart": (uneven, loose(other), True),
        "triangles apart, shaken by a micron": (uneven, loose(other, 1e-3), True),
        "a third of the facets twice": (uneven, Mesh(v, np.vstack([f, f[::3]])), True),
        "a small void": (uneven, joined(other, void), True),
        "a large void": (uneven, joined(other, slab), True),
        "on four legs": (uneven, legs_on(other), True),
        "top face alone": (uneven, Mesh(v, f[up > 0.0]), True),
        "a block in the hollow": (
            uneven,
            joined(other, in_a_box((30.0, 30.0, 40.0), (60.0, 200.0, 10.0))),
            True,
        ),
        "underside alone": (uneven, Mesh(v, f[up < -1e-6]), False),
        "the right fifth missing": (uneven, Mesh(v, f[(v[f][:, :, 0] < 150.0).all(axis=1)]), False),
        "the deck missing": (uneven, Mesh(v, f[(v[f][:, :, 1] > 60.0).all(axis=1)]), False),
        "0.5 % too large": (uneven, Mesh(v * 1.005, f), False),
        "at 1:4": (uneven, Mesh(0.25 * v, f), False),
    }


@pytest.mark.slow
def test_faulty_meshes_are_right_or_refused(carve: Any, tmp_path: Path) -> None:
    outcomes = Outcomes()
    have_to = []
    for what, (seat, mesh, accepted) in mesh_cases(carve(), carve(deeper_on_the_right_mm=3.0)).items():
        have_to += [what] if accepted else []
        outcomes.note(what, trip(tmp_path, seat, mesh, AWRY))
    outcomes.print("faulty meshes")
    assert not outcomes.wrong
    assert not set(have_to) & set(outcomes.refusals)
    assert outcomes.refused == len(outcomes.lines) - len(have_to)


def another_blank(seat: Seat, **changes: Any) -> tuple[Mesh, Any]:
    """Return the mesh of a seat on another blank than its order says, and the order's blank."""
    return solid(replace(seat, blank=replace(seat.blank, **changes))), seat.blank


@pytest.mark.slow
def test_a_mesh_of_another_blank_is_refused_with_the_measure_that_is_off(carve: Any, tmp_path: Path) -> None:
    """None may be accepted: floor, edge and deck would be somewhere else than the figures say."""
    seat, outcomes = carve(deeper_on_the_right_mm=3.0), Outcomes()
    wrong: dict[str, tuple[dict[str, Any], str]] = {
        f"{more:+.0f} mm in thickness": (
            {"thickness_mm": 45.0 + more},
            rf"is {45 + more:.1f} mm thick, and the blank's thickness_mm is 45",
        )
        for more in (-15.0, -8.0, -3.0, 3.0, 8.0, 15.0)
    }
    wrong |= {
        "8 mm wider": ({"width_mm": 488.0}, "mm wide, and the blank's width_mm is 480"),
        "2 mm wider": ({"width_mm": 482.0}, "mm wide, and the blank's width_mm is 480"),
        "4 mm longer": ({"depth_mm": 434.0}, "from rear to front, and the blank's depth_mm is 430"),
        "waisted": ({"outline": "waisted"}, "outline"),
        "straight-sided": ({"outline": "straight-sided"}, "does not fit the blank's"),
        "corners of 50 mm": ({"corner_radius_mm": 50.0}, "outline lies"),
        "under-bevel": (BEVEL, "of the underside is not where the blank's is"),
        "gutter": ({"gutter_depth_mm": 4.0}, "cannot be followed"),
        "round-over": ({"round_over_mm": 6.0}, "the top edge falls by"),
    }
    for what, (changes, words) in wrong.items():
        mesh, blank = another_blank(seat, **changes)
        found = trip(tmp_path, seat, mesh, AWRY, blank=blank)
        outcomes.note(what, found)
        assert isinstance(found, str), what
        assert words in found, what
    for what, changes, words in (
        ("no gutter", {"gutter_depth_mm": 4.0}, "of the gutter is not as deep"),
        ("a deck less wide", {"deck_mm": 85.0}, "deck"),
        ("no under-bevel", BEVEL, "of the underside is not where"),
    ):
        found = trip(tmp_path, seat, solid(seat), AWRY, blank=replace(seat.blank, **changes))
        outcomes.note(what, found)
        assert isinstance(found, str), what
        assert words in found, what
    outcomes.print("meshes of another blank")


@pytest.mark.slow
def test_what_can_be_read_two_ways_is_asked_for(carve: Any, tmp_path: Path) -> None:
    """Without a roll, on an outline that is alike both ways, a hollow within a rim shows no front."""
    outcomes = Outcomes()
    bowl = rimmed_bowl(carve)
    mesh = solid(bowl)
    found = trip(tmp_path, bowl, mesh, np.eye(3))
    outcomes.note("a bowl within a rim", found)
    assert "say which it is, in the file's axes: --front=" in str(found)
    outcomes.note("and its front", trip(tmp_path, bowl, mesh, np.eye(3), front=(0, 1, 0)))
    on_end = POSES["y up"]
    front = tuple(on_end[:, 1])
    outcomes.note("on end, and its front", trip(tmp_path, bowl, mesh, on_end, front=front))
    legged = replace(bowl, blank=replace(bowl.blank, joints=LEGS))
    outcomes.note("told by its leg mortises", trip(tmp_path, legged, drilled(legged), AWRY))
    tapered = replace(bowl, blank=replace(bowl.blank, outline="tapered to the rear"))
    outcomes.note("told by its outline", trip(tmp_path, tapered, solid(tapered), AWRY))
    flat = flat_seat(bowl.blank)
    outcomes.note("nothing carved", trip(tmp_path, flat, solid(flat), AWRY))
    outcomes.print("the front")
    assert not outcomes.wrong
    assert list(outcomes.refusals) == ["a bowl within a rim"]


def rimmed_bowl(carve: Callable[..., Seat]) -> Seat:
    """Return a seat whose hollow leaves more rim in front than the deck is wide."""
    seat = carve(front_roll_mm=0.0)
    assert seat.hollow is not None
    knots_x, knots_y = (np.asarray(knots) for knots in (seat.hollow.knots_x, seat.hollow.knots_y))
    x, y = ((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0 for knots in (knots_x, knots_y))
    depth = 14.0 * (1.0 - (x[:, None] / 170.0) ** 2 - ((y[None, :] - 180.0) / 110.0) ** 2)
    return replace(seat, hollow=replace(seat.hollow, coefficients=depth))
