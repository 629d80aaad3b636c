"""An incompressible one-term Ogden solid, written for the five parts of F that an axisymmetric or plane body has."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EQUAL_STRETCHES = 1e-6
"""Below this difference over sum the two stretches in the plane are taken as equal (series instead of quotient)."""


@dataclass(frozen=True)
class Ogden:
    """W = (2 mu / alpha^2) (l1^alpha + l2^alpha + l3^alpha - 3 - alpha ln J), held to J = 1 by a pressure.

    Attributes
    ----------
    mu_kpa
        Shear modulus at rest; the small-strain Young's modulus is 3 mu.
    alpha
        2 is the neo-Hookean solid; the higher, the more it stiffens.
    """

    mu_kpa: float
    alpha: float

    def stress_and_tangent(self, F: Floats) -> tuple[Floats, Floats]:
        """Return dW/dF, shape (..., 5), and d2W/dF2, shape (..., 5, 5), in kPa.

        F holds (F11, F12, F21, F22, F33), shape (..., 5). With P = |(F11 + F22, F12 - F21)| and
        Q = |(F11 - F22, F12 + F21)| the stretches in the plane are (P + Q) / 2 and (P - Q) / 2: exact, and smooth
        where the two are equal.
        """
        a = self.alpha
        scale = 2.0 * self.mu_kpa / a**2
        p_vec = np.stack([F[..., 0] + F[..., 3], F[..., 1] - F[..., 2]], axis=-1)
        q_vec = np.stack([F[..., 0] - F[..., 3], F[..., 1] + F[..., 2]], axis=-1)
        P, Q = np.linalg.norm(p_vec, axis=-1), np.linalg.norm(q_vec, axis=-1)
        l1, l2 = 0.5 * (P + Q), 0.5 * (P - Q)
        first1, first2 = a * l1 ** (a - 1), a * l2 ** (a - 1)
        second1, second2 = a * (a - 1) * l1 ** (a - 2), a * (a - 1) * l2 ** (a - 2)
        by_P = 0.5 * (first1 + first2)
        equal = EQUAL_STRETCHES * P > Q
        by_Q_over_Q = np.where(
            equal, 0.5 * a * (a - 1) * (0.5 * P) ** (a - 2), 0.5 * (first1 - first2) / np.where(equal, 1.0, Q)
        )
        curved = 0.25 * (second1 + second2)
        mixed = 0.25 * (second1 - second2)
        n_P = (p_vec / P[..., None]) @ _P_OF_F
        n_Q = (q_vec / np.where(equal, 1.0, Q)[..., None]) @ _Q_OF_F
        stress = by_P[..., None] * n_P + by_Q_over_Q[..., None] * (q_vec @ _Q_OF_F)
        tangent = (
            _outer(n_P, n_P, curved - by_P / P)
            + (by_P / P)[..., None, None] * _PP
            + _outer(n_Q, n_Q, curved - by_Q_over_Q)
            + by_Q_over_Q[..., None, None] * _QQ
            + _outer(n_P, n_Q, mixed)
            + _outer(n_Q, n_P, mixed)
        )
        l3 = F[..., 4]
        stress[..., 4] += a * l3 ** (a - 1)
        tangent[..., 4, 4] += a * (a - 1) * l3 ** (a - 2)
        J, G, H = volume_ratio(F)
        stress -= (a / J)[..., None] * G
        tangent += _outer(G, G, a / J**2) - (a / J)[..., None, None] * H
        return scale * stress, scale * tangent


def volume_ratio(F: Floats) -> tuple[Floats, Floats, Floats]:
    """Return J, dJ/dF, shape (..., 5), and d2J/dF2, shape (..., 5, 5)."""
    F11, F12, F21, F22, F33 = np.moveaxis(F, -1, 0)
    plane = F11 * F22 - F12 * F21
    G = np.stack([F22 * F33, -F21 * F33, -F12 * F33, F11 * F33, plane], axis=-1)
    H = np.zeros((*F.shape[:-1], 5, 5))
    for i, j, value in (
        (0, 3, F33),
        (1, 2, -F33),
        (0, 4, F22),
        (1, 4, -F21),
        (2, 4, -F12),
        (3, 4, F11),
    ):
        H[..., i, j] = H[..., j, i] = value
    return plane * F33, G, H


def _outer(u: Floats, v: Floats, factor: Floats) -> Floats:
    return np.asarray(factor[..., None, None] * u[..., :, None] * v[..., None, :])


_P_OF_F = np.array([[1.0, 0, 0, 1, 0], [0, 1, -1, 0, 0]])
_Q_OF_F = np.array([[1.0, 0, 0, -1, 0], [0, 1, 1, 0, 0]])
_PP = _P_OF_F.T @ _P_OF_F
_QQ = _Q_OF_F.T @ _Q_OF_F
