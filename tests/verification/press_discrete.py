"""A section of tissue made ready for assembly: shape functions, weights, numbering, and what is held."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from press_mesh import Section
from skfem import Basis, ElementQuad1, ElementQuad2, FacetBasis

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Discrete:
    """Arrays over e elements, q points of quadrature and i unknowns of an element.

    Displacements (mm) are biquadratic, two a node and interleaved; the pressure that keeps the volume (MPa) is
    bilinear and continuous (Taylor-Hood) and its unknowns follow the displacements.

    Attributes
    ----------
    strain
        dF/du, shape (e, q, 5, i), in the order F11, F12, F21, F22, F33.
    pressure_shape
        Shape (e, q, 4).
    weight
        Volume at a point of quadrature, mm3: all round, or both halves of a slice of 1 mm; shape (e, q).
    dofs_u, dofs_p
        Unknowns of an element, shapes (e, 18) and (e, 4).
    skin_shape, skin_slope
        Shape functions of displacement on the skin and their derivative along it, shape (e', q', 9).
    skin_at_mm, skin_tangent
        Points of quadrature on the free skin and unit tangents that point outward, shape (e', q', 2).
    skin_weight
        Area of skin at a point of quadrature, mm2, shape (e', q').
    skin_dofs
        Shape (e', 18).
    bone, fixed
        Unknowns that move down with the bone, and those that stay 0.
    count
        How many unknowns there are.
    axisymmetric
        As in the section.
    """

    strain: Floats
    pressure_shape: Floats
    weight: Floats
    dofs_u: Ints
    dofs_p: Ints
    skin_shape: Floats
    skin_slope: Floats
    skin_at_mm: Floats
    skin_tangent: Floats
    skin_weight: Floats
    skin_dofs: Ints
    bone: Ints
    fixed: Ints
    count: int
    axisymmetric: bool


def discretise(section: Section) -> Discrete:
    """Return the section ready for assembly, with nine Gauss points an element and three a side."""
    mesh = section.mesh()
    quadratic = Basis(mesh, ElementQuad2(), intorder=4)
    linear = Basis(mesh, ElementQuad1(), intorder=4)
    skin = FacetBasis(mesh, ElementQuad2(), intorder=3, facets=mesh.boundaries["skin"])
    inside, on_skin = np.asarray(quadratic.global_coordinates()), np.asarray(skin.global_coordinates())
    shape, gradient = _shapes(quadratic)
    skin_shape, skin_gradient = _shapes(skin)
    tangent = _outward_tangent(np.asarray(skin.normals), on_skin)
    bone, fixed = _held(quadratic, section)
    turned = section.axisymmetric
    return Discrete(
        strain=_strain_matrix(shape, gradient, inside[0] if turned else None),
        pressure_shape=_shapes(linear)[0],
        weight=np.asarray(quadratic.dx) * (2 * np.pi * inside[0] if turned else 2.0),
        dofs_u=_pairs(np.asarray(quadratic.element_dofs)),
        dofs_p=2 * quadratic.N + np.asarray(linear.element_dofs.T),
        skin_shape=skin_shape,
        skin_slope=np.einsum("eqdi,eqd->eqi", skin_gradient, tangent),
        skin_at_mm=np.moveaxis(on_skin, 0, -1),
        skin_tangent=tangent,
        skin_weight=np.asarray(skin.dx) * (2 * np.pi * on_skin[0] if turned else 2.0),
        skin_dofs=_pairs(np.asarray(skin.element_dofs)),
        bone=bone,
        fixed=fixed,
        count=2 * quadratic.N + linear.N,
        axisymmetric=turned,
    )


def _shapes(basis: Any) -> tuple[Floats, Floats]:
    """Return values, shape (e, q, i), and gradients, shape (e, q, 2, i)."""
    e, q = basis.dx.shape
    value = [np.broadcast_to(np.asarray(f[0]), (e, q)) for f in basis.basis]
    gradient = [np.broadcast_to(np.asarray(f[0].grad), (2, e, q)) for f in basis.basis]
    return np.stack(value, axis=-1), np.moveaxis(np.stack(gradient, axis=-1), 0, -2)


def _outward_tangent(normal: Floats, at: Floats) -> Floats:
    """Turn normals, shape (2, e, q), into tangents, shape (e, q, 2), that run anticlockwise from the lowest skin."""
    centre = at.reshape(2, -1).max(axis=1) * np.array([0.0, 1.0])
    tangent = np.stack([-normal[1], normal[0]], axis=-1)
    arm = np.moveaxis(at, 0, -1) - centre
    turn = arm[..., 0] * tangent[..., 1] - arm[..., 1] * tangent[..., 0]
    return np.asarray(tangent * np.where(turn < 0, -1.0, 1.0)[..., None])


def _pairs(dofs: Ints) -> Ints:
    """Return interleaved displacement unknowns of elements, shape (e, 2 i), from node numbers, shape (i, e)."""
    both = np.stack([2 * dofs, 2 * dofs + 1], axis=1)
    return np.asarray(both.transpose(2, 0, 1).reshape(dofs.shape[1], -1))


def _strain_matrix(shape: Floats, gradient: Floats, r: Floats | None) -> Floats:
    e, q, _, i = gradient.shape
    matrix = np.zeros((e, q, 5, i, 2))
    matrix[:, :, 0:2, :, 0] = gradient
    matrix[:, :, 2:4, :, 1] = gradient
    if r is not None:
        matrix[:, :, 4, :, 0] = shape / r[..., None]
    return matrix.reshape(e, q, 5, 2 * i)


def _held(basis: Any, section: Section) -> tuple[Ints, Ints]:
    bone = basis.get_dofs("bone").flatten()
    axis = basis.get_dofs("axis").flatten()
    end = basis.get_dofs("end").flatten()
    if section.lid:
        bone = np.union1d(bone, end)
    if section.closed:
        axis = np.union1d(axis, end)
    return 2 * bone + 1, np.union1d(2 * bone, 2 * axis)
