"""Bending of the carved blank on its legs: stresses along and across the grain against what the wood bears."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sp
from scipy.spatial import cKDTree

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.rings import layup_grain
from seatmesh.woodwork.floor.elastic_solid import (
    ElasticSolid,
    Faces,
    bent,
    elastic_solid,
    faces_of,
    load_vector,
    moved_at,
    spread,
    spring_matrix,
    stress_mpa,
)
from seatmesh.woodwork.floor.floor_load import LegPlace, PadPlace, legs_of, pads_of
from seatmesh.woodwork.floor.floor_mesh import brick_middles_mm, floor_mesh, skin_faces
from seatmesh.woodwork.floor.orthotropic import stiffness_mpa, turned_into_blank, wood_axes
from seatmesh.woodwork.floor.weak_places import Strain, WeakPlace, weakest

SPACING_MM, LAYERS = 20.0, 2
AVERAGED_MM = 8.0
"""Stress is a mean over a patch about as wide as twice this: wood does not fail at a point, and no mesh
resolves one."""


@dataclass(frozen=True)
class FloorCase:
    """One load on the floor, and the weakest places under it.

    Attributes
    ----------
    pad
        Where the load presses.
    deflection_mm
        How far the surface sinks at most, legs' shortening and all.
    legs_n
        What each leg carries, upright.
    strain
        Stress everywhere.
    weakest
        Name, factor, place: along the grain, across it, and across each glue line.
    """

    pad: PadPlace
    deflection_mm: float
    legs_n: tuple[float, ...]
    strain: Strain
    weakest: tuple[WeakPlace, ...]

    @property
    def least(self) -> WeakPlace:
        """The weakest place of all."""
        return min(self.weakest, key=lambda one: one.factor)


@dataclass(frozen=True)
class FloorBending:
    """A floor under all loads.

    Attributes
    ----------
    load_n
        Of each case.
    legs, own_legs
        What it stands on, and whether the order says so.
    cases
        One for each place of the load.
    floor_mm
        Wood left at the thinnest place.
    """

    load_n: float
    legs: tuple[LegPlace, ...]
    own_legs: bool
    cases: tuple[FloorCase, ...]
    floor_mm: float

    @property
    def worst(self) -> FloorCase:
        """The case with the least factor."""
        return min(self.cases, key=lambda one: one.least.factor)

    @property
    def least(self) -> WeakPlace:
        """The weakest place of all cases."""
        return self.worst.least


def floor_bending(
    seat: Seat,
    layup: Layup,
    load_n: float,
    *,
    taken_mm: float = 0.0,
    spacing_mm: float = SPACING_MM,
    layers: int = LAYERS,
) -> FloorBending:
    """Return how the carved blank bends under a load on each pad; `taken_mm` is planed off its underside.

    Mortises are taken as filled by their tenons. Raises `NotSolvedError` without finite elements or an answer, and
    `ValueRefusedError` where a wood's stiffness or strength is not known.
    """
    _check_known(layup)
    mesh = floor_mesh(seat, layup.glue_lines_mm, spacing_mm, layers, taken_mm)
    solid = elastic_solid(mesh, _stiffness(mesh, layup))
    upper, lower = (faces_of(solid, skin_faces(mesh, up)) for up in (True, False))
    legs, own = legs_of(seat)
    held = solid.matrix
    feet = [spread(lower, leg.weight) for leg in legs]
    for leg, foot in zip(legs, feet, strict=True):
        held = held + spring_matrix(solid, lower, leg.stiffness_n_mm, foot)
    pads = pads_of(seat)
    force = np.array([0.0, 0.0, -load_n])
    loads = np.column_stack([load_vector(solid, upper, force, spread(upper, pad.weight)) for pad in pads])
    moved = bent(held.tocsc(), loads)
    skins = (upper, lower)
    averages = tuple(_averaging(one) for one in skins)
    cases = tuple(
        _case(solid, skins, averages, layup, pad, moved[:, k], legs, feet) for k, pad in enumerate(pads)
    )
    return FloorBending(load_n, legs, own, cases, floor_left_mm(seat) - taken_mm)


def floor_left_mm(seat: Seat) -> float:
    """Return the least wood left under the carved surface."""
    x, y = seat.blank.grid_mm(5.0)
    return float(seat.wood_left_mm(x, y)[seat.blank.inside_mm(x, y) > 0.0].min())


def _check_known(layup: Layup) -> None:
    for board in layup.boards:
        wood = board.species
        missing = [
            key for key in ("bending_mpa", "stiffness_gpa", "across_mpa") if getattr(wood, key) is None
        ]
        if missing:
            raise ValueRefusedError(
                f"[[board]] {board.number} species",
                f"'{wood.name}'",
                f"bending of the floor needs {', '.join(missing)} of it",
                "give them on the board",
            )


def _stiffness(mesh: Any, layup: Layup) -> Floats:
    middles = brick_middles_mm(mesh)
    which = layup.board_at(middles[:, 0])
    radial = layup_grain(layup, middles).radial
    out = np.empty((len(middles), 6, 6))
    for number, board in enumerate(layup.boards):
        own = which == number
        axes = wood_axes(np.array(board.fibre), radial[own])
        out[own] = turned_into_blank(stiffness_mpa(board.species), axes)
    return out


def _averaging(faces: Faces) -> sp.csr_array:
    """Return the matrix that makes of values at points their means over each one's neighbourhood."""
    tree = cKDTree(faces.points_mm)
    near = tree.sparse_distance_matrix(tree, 2.5 * AVERAGED_MM, output_type="ndarray")
    weight = faces.area_mm2[near["j"]] * np.exp(-0.5 * (near["v"] / AVERAGED_MM) ** 2)
    count = len(faces.points_mm)
    share = weight / np.bincount(near["i"], weight, count)[near["i"]]
    return sp.csr_array((share, (near["i"], near["j"])), shape=(count, count))


def _case(
    solid: ElasticSolid,
    skins: tuple[Faces, Faces],
    averages: tuple[sp.csr_array, ...],
    layup: Layup,
    pad: PadPlace,
    moved: Floats,
    legs: tuple[LegPlace, ...],
    feet: list[Floats],
) -> FloorCase:
    parts = [
        _strain(faces, layup, mean @ stress_mpa(solid, faces, moved))
        for faces, mean in zip(skins, averages, strict=True)
    ]
    down = -moved_at(skins[1], moved)[:, 2]
    carried = tuple(
        float(leg.stiffness_n_mm[2] * (foot @ down)) for leg, foot in zip(legs, feet, strict=True)
    )
    sunk = max(-float(moved_at(faces, moved)[:, 2].min()) for faces in skins)
    names = ["carved surface"] * len(parts[0].points_mm) + ["underside"] * len(parts[1].points_mm)
    whole = Strain(
        *(
            np.concatenate([getattr(one, name) for one in parts])
            for name in ("points_mm", "along_mpa", "across_mpa", "over_mpa", "along_factor", "across_factor")
        )
    )
    return FloorCase(pad, sunk, carried, whole, weakest(whole, names, layup))


def _strain(faces: Faces, layup: Layup, stress: Floats) -> Strain:
    """Return stress along and across the grain, and factors, from stress in the blank's frame."""
    points = faces.points_mm
    which = layup.board_at(points[:, 0])
    tensor = np.empty((len(points), 3, 3))
    for place, (i, j) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
        tensor[:, i, j] = tensor[:, j, i] = stress[:, place]
    fibre = layup.fibre_at(points[:, 0])
    axes = wood_axes(fibre, layup_grain(layup, points).radial)
    own = np.einsum("nia,nij,njb->nab", axes, tensor, axes)
    along = own[:, 0, 0]
    # Across the grain the pull is greatest somewhere between ray and ring.
    half = 0.5 * (own[:, 1, 1] + own[:, 2, 2])
    pull = half + np.hypot(0.5 * (own[:, 1, 1] - own[:, 2, 2]), own[:, 1, 2])
    bending = np.array([board.species.bending_mpa for board in layup.boards], dtype=float)[which]
    tension = np.array([board.species.across_mpa for board in layup.boards], dtype=float)[which]
    with np.errstate(divide="ignore"):
        along_factor = bending / np.abs(along)
        across_factor = np.where(pull > 0.0, tension / np.maximum(pull, 1e-12), np.inf)
    return Strain(points, along, pull, tensor[:, 0, 0], along_factor, across_factor)
