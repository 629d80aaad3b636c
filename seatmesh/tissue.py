"""Soft tissue between bone and seat: how hard it pushes back, and how thick it counts.

Each place on the skin answers with p = K e / (1 - e)^m, where e is the compression over the thickness. It starts
at a modulus of K and stiffens without bound as the tissue runs out. The thickness counted is the nearest distance
to bone *in space*, not straight up: beside a bone the load runs sideways into it, over a length of the order of the
thickness. Columns that act alone put several hundred kPa under the sit bones, where 20 to 100 are measured.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import boxcox

Floats = NDArray[np.float64]

LAST_COMPRESSION = 0.95
"""Beyond this compression the law runs on along its tangent, so that it stays finite for a solver's trial steps."""


@dataclass(frozen=True)
class StiffeningLaw:
    """p = K e / (1 - e)^m of the compression e = overlap / thickness.

    Attributes
    ----------
    modulus_mpa
        K, the modulus at light pressure, MPa.
    exponent
        m; 0 gives the linear elastic foundation p = K e.
    """

    modulus_mpa: float
    exponent: float

    def pressure(self, overlap: Floats, thickness: Floats) -> Floats:
        """Return the pressure in MPa for overlaps in mm (0 where negative)."""
        e, beyond = self._split(overlap / thickness)
        return self.modulus_mpa * (_rise(e, self.exponent) + beyond * _slope(e, self.exponent))

    def stiffness(self, overlap: Floats, thickness: Floats) -> Floats:
        """Return the derivative of the pressure by the overlap, MPa/mm (0 where there is no contact)."""
        e, _ = self._split(overlap / thickness)
        return np.where(overlap > 0, self.modulus_mpa * _slope(e, self.exponent) / thickness, 0.0)

    def energy(self, overlap: Floats, thickness: Floats) -> Floats:
        """Return the work stored per area, N/mm."""
        e, beyond = self._split(overlap / thickness)
        left, m = 1.0 - e, self.exponent
        stored = boxcox(left, 2.0 - m) - boxcox(left, 1.0 - m)
        tail = beyond * (_rise(e, m) + 0.5 * beyond * _slope(e, m))
        return np.asarray(self.modulus_mpa * thickness * (stored + tail))

    def compression(self, pressure: Floats) -> Floats:
        """Return the compression e that a pressure in MPa causes: the inverse of `pressure`, by bisection."""
        low, high = np.zeros_like(pressure), np.full_like(pressure, LAST_COMPRESSION)
        for _ in range(50):
            middle = 0.5 * (low + high)
            below = self.modulus_mpa * _rise(middle, self.exponent) < pressure
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        return 0.5 * (low + high)

    @staticmethod
    def _split(compression: Floats) -> tuple[Floats, Floats]:
        held = np.clip(compression, 0.0, LAST_COMPRESSION)
        return held, np.maximum(compression - LAST_COMPRESSION, 0.0)


TISSUE = StiffeningLaw(modulus_mpa=0.013, exponent=2.0)


def _rise(e: Floats, m: float) -> Floats:
    return e * (1.0 - e) ** -m


def _slope(e: Floats, m: float) -> Floats:
    return (1.0 - e) ** -(m + 1.0) * (1.0 + (m - 1.0) * e)
