"""A nearly incompressible one-term Ogden solid in three dimensions, by principal stretches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EQUAL = 1e-7
"""Below this difference of their squares two stretches are taken as equal (limit instead of quotient)."""
PAIRS = ((0, 1, 2), (0, 2, 1), (1, 2, 0))


@dataclass(frozen=True)
class Ogden:
    """W = (2 mu / alpha^2) (l1^alpha + l2^alpha + l3^alpha - 3 - alpha ln J) + (bulk / 2) (v / V - 1)^2.

    Attributes
    ----------
    mu_kpa
        Shear modulus at rest; the small-strain Young's modulus is nearly 3 mu.
    alpha
        2 is the neo-Hookean solid; the higher, the more it stiffens.
    bulk_kpa
        Resistance of each element's volume.
    """

    mu_kpa: float
    alpha: float
    bulk_kpa: float = 700.0

    def principal(
        self, gradient: Floats, share: Floats | float = 1.0
    ) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Return stretches (..., 3), both frames (..., 3, 3), and dW/dl and d2W/dl2 (..., 3) without the bulk.

        `gradient` is F, shape (..., 3, 3); columns of the frames are the principal directions after and before:
        F = sum l_i n_i N_i^T. `share` multiplies mu place by place.
        """
        square = np.swapaxes(gradient, -1, -2) @ gradient
        values, before = np.linalg.eigh(square)
        stretch = np.sqrt(np.maximum(values, 1e-12))
        after = (gradient @ before) / stretch[..., None, :]
        scale = 2e-3 * self.mu_kpa / self.alpha * np.asarray(share)[..., None]
        power = stretch ** (self.alpha - 2.0)
        first = scale * (power * stretch - 1.0 / stretch)
        second = scale * ((self.alpha - 1.0) * power + 1.0 / stretch**2)
        return stretch, after, before, first, second

    def energy(self, stretch: Floats, share: Floats | float = 1.0) -> Floats:
        """Return W without the bulk, MPa, shape (...)."""
        scale = 2e-3 * self.mu_kpa / self.alpha**2 * np.asarray(share)
        return np.asarray(
            scale * ((stretch**self.alpha).sum(axis=-1) - 3.0 - self.alpha * np.log(stretch).sum(axis=-1))
        )


def principal_tangent(stretch: Floats, first: Floats, second: Floats, pressure: Floats) -> Floats:
    """Return d2W/dF2 in the principal frames, shape (..., 9, 9), entries ordered (i, j) by rows, MPa.

    `pressure` multiplies J, as the element's volume does: its second derivative is part of the result.
    """
    full = np.zeros((*stretch.shape[:-1], 9, 9))
    for i in range(3):
        full[..., 4 * i, 4 * i] = second[..., i]
    for i, j, k in PAIRS:
        a, b = stretch[..., i], stretch[..., j]
        push = pressure * stretch[..., k]
        full[..., 4 * i, 4 * j] = full[..., 4 * j, 4 * i] = push
        apart = a**2 - b**2
        equal = np.abs(apart) < EQUAL
        safe = np.where(equal, 1.0, apart)
        same = np.where(
            equal,
            0.5 * (second[..., i] + first[..., i] / a),
            (a * first[..., i] - b * first[..., j]) / safe,
        )
        crossed = np.where(
            equal,
            0.5 * (second[..., i] - first[..., i] / a),
            (b * first[..., i] - a * first[..., j]) / safe,
        )
        ij, ji = 3 * i + j, 3 * j + i
        crossed = crossed - push
        full[..., ij, ij] = full[..., ji, ji] = same
        full[..., ij, ji] = full[..., ji, ij] = crossed
    return full
