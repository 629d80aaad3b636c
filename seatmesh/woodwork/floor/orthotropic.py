"""Stiffness of wood in space: nine constants along grain, ray and ring, turned into the frame of the blank."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.wood.elastic_ratios import BENDING_TO_ALONG
from seatmesh.wood.species import Species

PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
"""Strains and stresses in this order: three along the axes, then shear in the planes 23, 13, 12."""


def stiffness_mpa(species: Species) -> Floats:
    """Return the stiffness matrix of a wood in its own axes (along grain, along ray, along ring), shape (6, 6), MPa.

    Shear strains are the engineer's, twice the tensor's. Wood Handbook chapter 5: nine independent constants; the
    modulus along the grain is a tenth more than bending tests say.

    Raises
    ------
    ValueRefusedError
        The stiffness is not known, or the constants make no stiff solid.
    """
    if species.stiffness_gpa is None:
        raise ValueRefusedError(
            "stiffness_gpa",
            "none",
            f"bending of {species.name} needs its modulus of elasticity",
            "give stiffness_gpa on its [[board]]",
        )
    ratios = species.ratios
    along = 1000.0 * species.stiffness_gpa * BENDING_TO_ALONG
    return orthotropic(
        (along, along * ratios.e_r, along * ratios.e_t),
        (along * ratios.g_rt, along * ratios.g_lt, along * ratios.g_lr),
        (ratios.rt, ratios.lt, ratios.lr),
    )


def orthotropic(
    moduli: tuple[float, float, float],
    shear: tuple[float, float, float],
    poisson: tuple[float, float, float],
) -> Floats:
    """Return the stiffness of an orthotropic solid, shape (6, 6).

    `moduli` along axes 1, 2, 3; `shear` in the planes 23, 13, 12; `poisson` 23, 13, 12: strain along the second over
    that along the first when pulled along the first.

    Raises
    ------
    ValueRefusedError
        No solid has such constants: it would give off energy.
    """
    e1, e2, e3 = moduli
    n23, n13, n12 = poisson
    soft = np.zeros((6, 6))
    soft[:3, :3] = [
        [1.0 / e1, -n12 / e1, -n13 / e1],
        [-n12 / e1, 1.0 / e2, -n23 / e2],
        [-n13 / e1, -n23 / e2, 1.0 / e3],
    ]
    soft[3:, 3:] = np.diag(1.0 / np.array(shear))
    if np.linalg.eigvalsh(soft).min() <= 0.0:
        raise ValueRefusedError(
            "elastic constants",
            f"moduli {', '.join(f'{one:.4g}' for one in moduli)} MPa, ratios {poisson}",
            "together they make no stiff solid",
            "check them",
        )
    return np.asarray(np.linalg.inv(soft))


def turned_into_blank(stiffness: Floats, axes: Floats) -> Floats:
    """Return stiffness in the blank's frame, shape (n, 6, 6); `axes`, shape (n, 3, 3), as `wood_axes` gives them."""
    whole = np.zeros((3, 3, 3, 3))
    for a, (i, j) in enumerate(PAIRS):
        for b, (k, m) in enumerate(PAIRS):
            for p, q in {(i, j), (j, i)}:
                for r, s in {(k, m), (m, k)}:
                    whole[p, q, r, s] = stiffness[a, b]
    turned = np.einsum("nia,njb,nkc,nmd,abcd->nijkm", axes, axes, axes, axes, whole, optimize=True)
    out = np.empty((len(axes), 6, 6))
    for a, (i, j) in enumerate(PAIRS):
        for b, (k, m) in enumerate(PAIRS):
            out[:, a, b] = turned[:, i, j, k, m]
    return out


def wood_axes(fibre: Floats, radial: Floats) -> Floats:
    """Return the wood's axes as columns, shape (n, 3, 3): along the grain, along the ray, along the ring.

    `fibre` and `radial` have shape (n, 3); what of the radial direction runs along the fibre is taken out.
    """
    fibre = np.broadcast_to(fibre, radial.shape)
    square = radial - np.sum(radial * fibre, axis=1)[:, None] * fibre
    square = square / np.linalg.norm(square, axis=1)[:, None]
    return np.stack([fibre, square, np.cross(fibre, square)], axis=2)
