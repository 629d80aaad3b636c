"""Balance of half a body's flesh between its bones and a rigid seat: forces, their derivative, and the solution.

Bones and the cut stand still; the seat comes up by `heave` and turns by `pitch` about the load's point, which is the
same as a body that goes down. Unknown are the displacements of the free nodes, heave and pitch.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sp
from flesh_mesh import FleshMesh
from numpy.typing import NDArray
from ogden_solid import Ogden, principal_tangent
from skfem import Basis, ElementHex1, MeshHex

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Ground = Callable[[Floats, Floats], tuple[Floats, Floats, Floats]]
"""Height of the seat over (x, y) of n places, (n,), its slope (n, 2) and its second derivatives (n, 2, 2); mm."""

LEAST_VOLUME = 0.02
"""Flesh pressed below this share of its volume at a point counts as turned inside out."""
TO_LIBRARY = (0, 3, 6, 2, 1, 5, 7, 4)
"""Corners of a cell here, in the library's order of a hexahedron's corners."""


@dataclass(frozen=True)
class Flesh:
    """A mesh ready to be pressed: shape functions, volumes, and which numbers of `unknowns` may change.

    Unknowns are three displacements for each node, then heave (mm) and pitch (radians times `ARM_MM`).
    """

    mesh: FleshMesh
    material: Ogden
    softness: Floats
    gradients: Floats
    weights: Floats
    free: Ints
    skin_nodes: Ints
    skin_shape: Floats
    skin_area: Floats
    _pattern: _Pattern = field(repr=False)

    @property
    def count(self) -> int:
        """Number of unknowns, the fixed ones among them."""
        return 3 * len(self.mesh.points) + 2


ARM_MM = 100.0


@dataclass(frozen=True)
class Tangent:
    """The derivative of what is out of balance by the free unknowns, symmetric.

    `nodes` is the upper half of the block of displacements, in one pattern for all states; `seat` the two columns of
    heave and pitch beside it, shape (n, 2), and `corner` the block of those two.
    """

    nodes: sp.csr_matrix
    seat: Floats
    corner: Floats

    def whole(self) -> sp.csr_matrix:
        """Return the whole matrix."""
        nodes = self.nodes + sp.triu(self.nodes, 1).T
        return sp.csr_matrix(sp.bmat([[nodes, self.seat], [self.seat.T, self.corner]]))


@dataclass(frozen=True)
class _Pattern:
    """Where entries of the derivative stand, the same in every state; rows and columns are of free unknowns.

    `cells` are the entries of all cells' matrices that count, `place` where each goes; `number` the row of an unknown.
    """

    number: Ints
    cells: Ints
    place: Ints
    keys: Ints
    indptr: Ints

    def sum_up(self, of_cells: Floats, rows: Ints, columns: Ints, values: Floats) -> Tangent:
        """Return the sum of the cells' matrices and of the seat's entries."""
        n = len(self.indptr) - 1
        r, c = self.number[rows], self.number[columns]
        data = np.bincount(self.place, of_cells[self.cells], minlength=len(self.keys))
        skin = (r >= 0) & (c >= r) & (c < n)
        place = np.searchsorted(self.keys, r[skin] * n + c[skin])
        data += np.bincount(place, values[skin], minlength=len(self.keys))
        beside = (r >= 0) & (c >= n)
        columns_beside = np.zeros((n + 2, 2))
        np.add.at(columns_beside, (r[beside], c[beside] - n), values[beside])
        nodes = sp.csr_matrix((data, self.keys % n, self.indptr), shape=(n, n))
        return Tangent(nodes, columns_beside[:n], columns_beside[n:])


def flesh_of(
    mesh: FleshMesh,
    material: Ogden,
    *,
    sliding_cut: bool = False,
    free_cut: bool = False,
    share: Floats | None = None,
    also_tied: Bools | None = None,
) -> Flesh:
    """Return flesh tied to bone and to the cut, or sliding along the cut, or free there; `share` scales mu by cell.

    `also_tied` says which displacements (n, 3) are held beside.
    """
    order = np.argsort(TO_LIBRARY)
    shape = Basis(MeshHex(mesh.points.T, mesh.cells[:, order].T), ElementHex1(), intorder=3)
    assert (mesh.cells[:, order] == shape.element_dofs.T).all()
    gradients = np.stack([np.moveaxis(one[0].grad, 0, -1) for one in shape.basis], axis=2)
    gradients = gradients[:, :, np.argsort(order)]
    tied = np.zeros((len(mesh.points), 3), dtype=bool)
    tied[mesh.bone] = True
    tied[mesh.middle, 0] = True
    if sliding_cut:
        tied[mesh.cut, 2] = True
    elif not free_cut:
        tied[mesh.cut] = True
    if also_tied is not None:
        tied |= also_tied
    free = np.append(np.flatnonzero(~tied.ravel()), 3 * len(mesh.points) + np.arange(2))
    skin_shape, area = _skin_points(mesh)
    return Flesh(
        mesh,
        material,
        np.ones(len(mesh.cells)) if share is None else share,
        gradients,
        shape.dx,
        free,
        np.unique(mesh.skin),
        skin_shape,
        area,
        _pattern(mesh, 3 * len(mesh.points) + 2, free),
    )


def _pattern(mesh: FleshMesh, count: int, free: Ints) -> _Pattern:
    dofs = (3 * mesh.cells[:, :, None] + np.arange(3)).reshape(len(mesh.cells), -1)
    number = np.full(count, -1)
    number[free] = np.arange(len(free))
    r = number[np.repeat(dofs, dofs.shape[1], axis=1).ravel()]
    c = number[np.tile(dofs, (1, dofs.shape[1])).ravel()]
    cells = np.flatnonzero((r >= 0) & (c >= r))
    n = len(free) - 2
    keys, place = np.unique(r[cells] * n + c[cells], return_inverse=True)
    return _Pattern(number, cells, place, keys, np.searchsorted(keys // n, np.arange(n + 1)))


def _skin_points(mesh: FleshMesh) -> tuple[Floats, Floats]:
    """Return the four shape functions at points of a face, (9, 4), and each point's area of unpressed skin, (f, 9)."""
    at, weight = np.polynomial.legendre.leggauss(3)
    u, v = (one.ravel() for one in np.meshgrid(at, at))
    shape = 0.25 * np.stack(
        [(1 - u) * (1 - v), (1 + u) * (1 - v), (1 + u) * (1 + v), (1 - u) * (1 + v)], axis=1
    )
    by_u = 0.25 * np.stack([-(1 - v), 1 - v, 1 + v, -(1 + v)], axis=1)
    by_v = 0.25 * np.stack([-(1 - u), -(1 + u), 1 + u, 1 - u], axis=1)
    corner = mesh.points[mesh.skin]
    normal = np.cross(np.einsum("qa,fad->fqd", by_u, corner), np.einsum("qa,fad->fqd", by_v, corner))
    return shape, np.linalg.norm(normal, axis=2) * np.outer(weight, weight).ravel()


@dataclass(frozen=True)
class Forces:
    """What is out of balance at a state (free unknowns), and the seat's push at each node of the skin, N.

    `energy` is that of flesh and seat, N mm, without the load's. `tangent` gives the derivative of `out`.
    """

    energy: float
    out: Floats
    push_n: Floats
    tangent: Callable[[], Tangent]


def forces(flesh: Flesh, ground: Ground, y_load: float, u: Floats, push_mpa_per_mm: float) -> Forces | None:
    """Return the forces of a state on a seat of a stiffness, or None where flesh is turned inside out."""
    count, mesh = flesh.count, flesh.mesh
    moves = u[:-2].reshape(-1, 3)[mesh.cells]
    F = np.swapaxes(moves, 1, 2)[:, None] @ flesh.gradients + np.eye(3)
    J = np.linalg.det(F)
    if not np.isfinite(J).all() or J.min() <= LEAST_VOLUME:
        return None
    volume = flesh.weights.sum(axis=1)
    swell = (flesh.weights * J).sum(axis=1) / volume
    bulk = 1e-3 * flesh.material.bulk_kpa
    pressure = bulk * (swell - 1.0)
    stretch, after, before, first, second = flesh.material.principal(F, flesh.softness[:, None])
    full = (first + pressure[:, None, None] * J[..., None] / stretch) * flesh.weights[..., None]
    along = flesh.gradients @ before
    pull = (along @ np.swapaxes(after * full[..., None, :], -1, -2)).sum(axis=1)
    internal = np.bincount((3 * mesh.cells[:, :, None] + np.arange(3)).ravel(), pull.ravel(), minlength=count)
    touch = _contact(flesh, ground, y_load, u, push_mpa_per_mm)
    internal += touch.residual
    stored = float((flesh.weights * flesh.material.energy(stretch, flesh.softness[:, None])).sum())
    energy = stored + 0.5 * bulk * float((volume * (swell - 1.0) ** 2).sum()) + touch.energy

    def tangent() -> Tangent:
        inner = principal_tangent(stretch, first, second, np.broadcast_to(pressure[:, None], J.shape))
        inner *= flesh.weights[..., None, None]
        # How each of the 24 displacements changes the nine parts of F in the principal frames.
        parts = np.einsum("eqia,eqxb->eqabxi", after, along).reshape(*J.shape, 9, 24)
        e, q = J.shape
        stiff = parts.reshape(e, q * 9, 24).swapaxes(1, 2) @ (inner @ parts).reshape(e, q * 9, 24)
        cofactor = J[..., None] / stretch * flesh.weights[..., None]
        grows = np.einsum("eqbx,eqb->ex", parts[:, :, [0, 4, 8]], cofactor)
        stiff += (bulk / volume)[:, None, None] * grows[:, :, None] * grows[:, None, :]
        return flesh._pattern.sum_up(stiff.ravel(), *touch.tangent())

    return Forces(energy, internal[flesh.free], touch.push_n, tangent)


@dataclass(frozen=True)
class _Touch:
    energy: float
    residual: Floats
    tangent: Callable[[], tuple[Ints, Ints, Floats]]
    push_n: Floats


def _contact(flesh: Flesh, ground: Ground, y_load: float, u: Floats, push_mpa_per_mm: float) -> _Touch:
    """Differentiate the energy (stiffness / 2) x depth^2 of skin below the seat: frictionless, symmetric."""
    mesh, count = flesh.mesh, flesh.count
    corner = (mesh.points + u[:-2].reshape(-1, 3))[mesh.skin]
    at = np.einsum("qa,fad->fqd", flesh.skin_shape, corner)
    height, slope, curve = (
        part.reshape(*at.shape[:2], *part.shape[1:])
        for part in ground(at[..., 0].ravel(), at[..., 1].ravel())
    )
    arm = (at[..., 1] - y_load) / ARM_MM
    depth = height + u[-2] + u[-1] * arm - at[..., 2]
    face, point = np.nonzero(depth > 0.0)
    stiffness = push_mpa_per_mm * flesh.skin_area[face, point]
    deep = depth[face, point]
    ones = np.ones(len(face))
    # Derivative of the depth by x, y and z of the point, heave and pitch; then by the corners of its face.
    by = np.stack(
        [slope[face, point, 0], slope[face, point, 1] + u[-1] / ARM_MM, -ones, ones, arm[face, point]], axis=1
    )
    shape = flesh.skin_shape[point]
    spread = np.zeros((len(face), 5, 14))
    for corner_number in range(4):
        for axis in range(3):
            spread[:, axis, 3 * corner_number + axis] = shape[:, corner_number]
    spread[:, 3, 12] = spread[:, 4, 13] = 1.0
    push = stiffness * deep
    by_all = np.einsum("pi,pij->pj", by, spread)
    dofs = np.column_stack(
        [
            (3 * mesh.skin[face][:, :, None] + np.arange(3)).reshape(len(face), 12),
            np.full(len(face), count - 2),
            np.full(len(face), count - 1),
        ]
    )
    residual = np.bincount(dofs.ravel(), (push[:, None] * by_all).ravel(), minlength=count)

    def tangent() -> tuple[Ints, Ints, Floats]:
        second = np.zeros((len(face), 5, 5))
        second[:, :2, :2] = curve[face, point]
        second[:, 1, 4] = second[:, 4, 1] = 1.0 / ARM_MM
        block = stiffness[:, None, None] * by_all[:, :, None] * by_all[:, None, :]
        block += np.swapaxes(spread, 1, 2) @ (push[:, None, None] * second) @ spread
        return np.repeat(dofs, 14, axis=1).ravel(), np.tile(dofs, (1, 14)).ravel(), block.ravel()

    up = -residual[:-2].reshape(-1, 3)[flesh.skin_nodes, 2]
    return _Touch(0.5 * float(push @ deep), residual, tangent, up)
