"""An elastic solid of curved bricks: its stiffness, its springs and loads, and how it bends.

Bricks of twenty nodes, their geometry, numbering and quadrature are scikit-fem's (extra `floor`); matrices are
summed here at once over all bricks, as each brick has its own stiffness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import splu

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError
from seatmesh.woodwork.floor.orthotropic import PAIRS

QUADRATURE = 4
FACE_QUADRATURE = 5
RESIDUAL = 1e-6
WHAT_TO_INSTALL = "bending of the floor needs scikit-fem: pip install '.[floor]' where the source is"


def finite_elements() -> Any:
    """Return the module of finite elements.

    Raises
    ------
    NotSolvedError
        It is not installed.
    """
    try:
        import skfem  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise NotSolvedError(WHAT_TO_INSTALL) from error
    return skfem


@dataclass(frozen=True)
class Faces:
    """Quadrature points on some faces of the solid.

    Attributes
    ----------
    basis
        scikit-fem's basis on these faces.
    points_mm
        Shape (n, 3).
    area_mm2
        Of each point, shape (n,).
    elements
        Which brick each point is on, shape (n,).
    """

    basis: Any
    points_mm: Floats
    area_mm2: Floats
    elements: Any


@dataclass(frozen=True)
class ElasticSolid:
    """A meshed solid with a stiffness for each brick.

    Attributes
    ----------
    mesh
        scikit-fem's mesh of bricks.
    basis
        Its basis.
    stiffness_mpa
        Of each brick in the blank's frame, shape (n, 6, 6).
    matrix
        The stiffness matrix, N/mm.
    """

    mesh: Any
    basis: Any
    stiffness_mpa: Floats
    matrix: csc_matrix


def elastic_solid(mesh: Any, stiffness_mpa: Floats) -> ElasticSolid:
    """Return the solid of a mesh whose bricks are so stiff."""
    fem = finite_elements()
    basis = fem.Basis(mesh, fem.ElementVector(fem.ElementHexS2()), intorder=QUADRATURE)
    strain = _strains(basis)
    local, _, bricks, places = strain.shape
    # Bricks first: one product of matrices for each.
    b = strain.transpose(2, 3, 1, 0)
    cb = np.einsum("emn,eqnj->eqmj", stiffness_mpa, b, optimize=True) * basis.dx[:, :, None, None]
    element = np.matmul(
        b.transpose(0, 3, 1, 2).reshape(bricks, local, places * 6), cb.reshape(bricks, places * 6, local)
    )
    dofs = basis.element_dofs.T
    rows = np.repeat(dofs, local, axis=1).ravel()
    columns = np.tile(dofs, (1, local)).ravel()
    matrix = coo_matrix((element.ravel(), (rows, columns)), shape=(basis.N, basis.N)).tocsc()
    return ElasticSolid(mesh, basis, stiffness_mpa, matrix)


def faces_of(solid: ElasticSolid, which: Any) -> Faces:
    """Return quadrature points on the faces that `which`, a list of face numbers, names."""
    fem = finite_elements()
    basis = fem.FacetBasis(solid.mesh, solid.basis.elem, facets=which, intorder=FACE_QUADRATURE)
    points = np.asarray(basis.global_coordinates())
    elements = np.repeat(basis.tind, points.shape[2])
    return Faces(basis, points.reshape(3, -1).T, np.asarray(basis.dx).ravel(), elements)


def spread(faces: Faces, weight: Callable[[Floats], Floats]) -> Floats:
    """Return for each quadrature point the share of a force that is spread over faces as `weight` says; sums to 1."""
    share = weight(faces.points_mm) * faces.area_mm2
    return np.asarray(share / share.sum())


def load_vector(solid: ElasticSolid, faces: Faces, force_n: Floats, share: Floats) -> Floats:
    """Return the nodes' part of a force, shape (3,), that is spread over faces by shares."""
    out = np.zeros(solid.basis.N)
    per_point = share.reshape(faces.basis.dx.shape)
    for number, field in enumerate(faces.basis.basis):
        value = np.asarray(field[0])
        parts = np.einsum("ceq,c,eq->e", np.broadcast_to(value, (3, *per_point.shape)), force_n, per_point)
        np.add.at(out, faces.basis.element_dofs[number], parts)
    return out


def spring_matrix(solid: ElasticSolid, faces: Faces, stiffness_n_mm: Floats, share: Floats) -> csc_matrix:
    """Return the stiffness of springs spread over faces by shares; `stiffness_n_mm` has shape (3,), along each axis."""
    per_point = share.reshape(faces.basis.dx.shape)
    values = [np.broadcast_to(np.asarray(one[0]), (3, *per_point.shape)) for one in faces.basis.basis]
    kept = [number for number, value in enumerate(values) if np.any(value)]
    whole = np.stack([values[number] for number in kept])
    element = np.einsum("iceq,jceq,c,eq->eij", whole, whole, stiffness_n_mm, per_point, optimize=True)
    dofs = faces.basis.element_dofs[kept].T
    count = len(kept)
    rows, columns = np.repeat(dofs, count, axis=1).ravel(), np.tile(dofs, (1, count)).ravel()
    return coo_matrix((element.ravel(), (rows, columns)), shape=(solid.basis.N, solid.basis.N)).tocsc()


def bent(matrix: csc_matrix, loads: Floats) -> Floats:
    """Return the movement of the nodes under loads, shape (n,) or (n, cases), mm.

    Raises
    ------
    NotSolvedError
        The solid is not held, or the answer does not balance the loads.
    """
    try:
        factors = splu(
            matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        moved = factors.solve(loads)
    except RuntimeError as error:
        raise NotSolvedError(f"bending of the floor was not solved: {error}") from error
    off = float(np.linalg.norm(matrix @ moved - loads) / np.linalg.norm(loads))
    if not off < RESIDUAL:
        raise NotSolvedError(
            f"bending of the floor was not solved: forces are off balance by {off:.1e} of the load"
        )
    return np.asarray(moved)


def stress_mpa(solid: ElasticSolid, faces: Faces, moved_mm: Floats) -> Floats:
    """Return the stress at the faces' points in the blank's frame, shape (n, 6), MPa; pulling is positive."""
    strain = _strains(faces.basis)
    dofs = faces.basis.element_dofs
    at = np.einsum("imeq,ie->meq", strain, moved_mm[dofs], optimize=True)
    strains = at.reshape(6, -1).T
    return np.asarray(np.einsum("nij,nj->ni", solid.stiffness_mpa[faces.elements], strains))


def moved_at(faces: Faces, moved_mm: Floats) -> Floats:
    """Return the movement at the faces' points, shape (n, 3), mm."""
    field = np.asarray(faces.basis.interpolate(moved_mm))
    return field.reshape(3, -1).T


def _strains(basis: Any) -> Floats:
    """Return the strains of every local function, shape (functions, 6, bricks, points); shear is the engineer's."""
    shape = basis.dx.shape
    out = np.empty((len(basis.basis), 6, *shape))
    for number, field in enumerate(basis.basis):
        gradient = np.broadcast_to(np.asarray(field[0].grad), (3, 3, *shape))
        for place, (i, j) in enumerate(PAIRS):
            out[number, place] = gradient[i, j] if i == j else gradient[i, j] + gradient[j, i]
    return out
