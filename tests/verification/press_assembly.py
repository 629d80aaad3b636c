"""Balance of a pressed section: what is out of balance, and its derivative."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from ogden import Ogden, volume_ratio
from press_discrete import Discrete

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Ground = Callable[[Floats], tuple[Floats, Floats, Floats]]
"""Height of the seat over r, with its first and second derivative in r; mm."""

PENALTY_PER_MM = 1000.0
"""Stiffness of the seat over the shear modulus: the skin sinks in by pressure / (1000 mu) mm."""


def flat_ground(r: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the plane z = 0."""
    zero = np.zeros_like(r)
    return zero, zero, zero


def round_ground(radius_mm: float) -> Ground:
    """Return a paraboloid of this radius at r = 0: a knob when positive, a dish when negative."""
    return lambda r: (-(r**2) / (2 * radius_mm), -r / radius_mm, np.full_like(r, -1 / radius_mm))


def assemble(d: Discrete, material: Ogden, ground: Ground, u: Floats) -> tuple[Floats, sp.csc_matrix, float]:
    """Return the residual, its derivative, and the load on the seat in N.

    Forces are in N (per mm of length for a slice), the rows of volume in mm3. Where tissue is turned inside out the
    load is NaN and the others are empty.
    """
    mpa = 1e-3 * material.mu_kpa
    of_element = u[d.dofs_u]
    F = np.einsum("eqfi,ei->eqf", d.strain, of_element) + np.array([1.0, 0.0, 0.0, 1.0, 1.0])
    J, G, H = volume_ratio(F)
    if J.min() <= 0.0 or F[..., 4].min() <= 0.0:
        return np.zeros(d.count), sp.csc_matrix((d.count, d.count)), float("nan")
    p = np.einsum("eqi,ei->eq", d.pressure_shape, u[d.dofs_p])
    stress, tangent = material.stress_and_tangent(F)
    stress = 1e-3 * stress + p[..., None] * G
    tangent = 1e-3 * tangent + p[..., None, None] * H
    e, q, _, i = d.strain.shape
    weighted = (d.strain * d.weight[..., None, None]).reshape(e, 5 * q, i)
    K_uu = weighted.transpose(0, 2, 1) @ (tangent @ d.strain).reshape(e, 5 * q, i)
    swell = np.einsum("eqf,eqfi->eqi", G, d.strain)
    K_up = swell.transpose(0, 2, 1) @ (d.pressure_shape * d.weight[..., None])
    push, K_skin, force = _contact(d, PENALTY_PER_MM * mpa, ground, u)
    residual = np.zeros(d.count)
    np.add.at(residual, d.dofs_u, np.einsum("exi,ex->ei", weighted, stress.reshape(e, -1)))
    np.add.at(residual, d.dofs_p, np.einsum("eqi,eq->ei", d.pressure_shape, d.weight * (J - 1.0)))
    np.add.at(residual, d.skin_dofs, push)
    blocks = [
        (K_uu, d.dofs_u, d.dofs_u),
        (K_up, d.dofs_u, d.dofs_p),
        (K_up.transpose(0, 2, 1), d.dofs_p, d.dofs_u),
        (K_skin, d.skin_dofs, d.skin_dofs),
    ]
    return residual, _scatter(d.count, blocks), force


def pressed_skin(
    d: Discrete, stiffness: float, ground: Ground, u: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return where the skin is, the seat's push per free area (MPa), and the seat's slope and curvature there."""
    moved = u[d.skin_dofs].reshape(len(d.skin_dofs), -1, 2)
    at = d.skin_at_mm + np.einsum("eqi,eid->eqd", d.skin_shape, moved)
    height, slope, curvature = ground(at[..., 0])
    return at, stiffness * np.maximum(height - at[..., 1], 0.0), slope, curvature


def _contact(d: Discrete, stiffness: float, ground: Ground, u: Floats) -> tuple[Floats, Floats, float]:
    """Differentiate the energy (stiffness / 2) x depth^2 of skin below the seat twice: frictionless, symmetric."""
    _, push, slope, curvature = pressed_skin(d, stiffness, ground, u)
    across = np.zeros((*push.shape, d.skin_dofs.shape[1]))
    across[..., 0::2] = d.skin_shape
    normal = -slope[..., None] * across
    normal[..., 1::2] = d.skin_shape
    w = d.skin_weight
    stiff = (w * stiffness * (push > 0.0))[..., None] * normal
    bent = (w * push * curvature)[..., None] * across
    K = np.einsum("eqi,eqj->eij", stiff, normal) + np.einsum("eqi,eqj->eij", bent, across)
    return -np.einsum("eqi,eq->ei", normal, w * push), K, float(np.sum(w * push))


def _scatter(count: int, blocks: list[tuple[Floats, Ints, Ints]]) -> sp.csc_matrix:
    rows = [np.broadcast_to(a[:, :, None], K.shape).ravel() for K, a, _ in blocks]
    columns = [np.broadcast_to(b[:, None, :], K.shape).ravel() for K, _, b in blocks]
    values = [K.ravel() for K, _, _ in blocks]
    index = (np.concatenate(rows), np.concatenate(columns))
    return sp.csc_matrix((np.concatenate(values), index), shape=(count, count))
