"""Soft tissue between bone and seat: how hard it pushes back, place by place.

The thickness that counts is the nearest distance to bone *in space*, not straight up: beside a bone the load runs
sideways into it, over a length of the order of the thickness. A place on the skin that the seat lifts by the overlap u
comes nearer to bone; its compression is what it has lost of that distance, e = 1 - t_now / t_free. It answers with

    p = K e / (e + e0)^q (1 + b (t_free / 30 mm) (e / (1 - e))^s).

With q = 1/2 the pressure starts steeply, because in a continuum each place is lifted by its neighbours too (as in
Hertz's contact, where the pressure goes with the root of the overlap); the bracket is the stiffening as the tissue runs
out. The form and its constants were fitted to the project's own finite elements; DEVELOPERS.md says how closely.
q = 0 and b = 0 on a layer of even thickness are the linear elastic foundation p = K u / t.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats

THICKNESS_UNIT_MM = 30.0
LAST_COMPRESSION = 0.95
"""Beyond this compression the law runs on along its tangent, so that it stays finite for a solver's trial steps."""
MOST_OVERLAP_MM = 200.0
BISECTIONS = 60


@dataclass(frozen=True)
class Backing:
    """Where bone is, seen from each of n places on the unpressed skin; arrays (k, n), mm.

    Bone near a place is taken as k balls: the centre of each lies `above` and `aside` of the place, its surface
    `radius` from the centre. The nearest counts, and while the place moves up that may become another one.
    """

    aside: Floats
    above: Floats
    radius: Floats

    @cached_property
    def thickness(self) -> Floats:
        """Distance from skin to the nearest bone, shape (n,)."""
        return np.asarray((np.hypot(self.aside, self.above) - self.radius).min(axis=0))

    @cached_property
    def most_overlap(self) -> Floats:
        """Overlap at `LAST_COMPRESSION`, or at which a place beside a bone has come level with its centre."""
        least = (1.0 - LAST_COMPRESSION) * self.thickness + self.radius
        below = np.sqrt(np.maximum(least**2 - self.aside**2, 0.0))
        # A ball whose centre is level with the place or below it never comes nearer.
        most = np.where(self.above > 0.0, self.above - below, np.inf)
        return np.asarray(np.clip(most.min(axis=0), 1e-6, MOST_OVERLAP_MM))


def even_layer(thickness_mm: Floats) -> Backing:
    """Return the backing of a layer, bone straight above each place."""
    nothing = np.zeros((1, len(thickness_mm)))
    return Backing(nothing, thickness_mm[None, :], nothing)


@dataclass(frozen=True)
class TissueLaw:
    """Constants of the law above.

    Attributes
    ----------
    modulus_mpa
        K, MPa.
    lift
        q, 0 for columns that act alone, 1/2 for tissue that lifts its neighbours.
    onset
        e0, keeps the stiffness at first touch finite.
    stiffening, power
        b and s.
    """

    modulus_mpa: float
    lift: float
    onset: float
    stiffening: float
    power: float

    def response(self, e: Floats, thickness: Floats) -> tuple[Floats, Floats]:
        """Return p and dp/de for compressions from 0 to below 1."""
        soft, soft_slope = self.modulus_mpa * e, np.full_like(e, self.modulus_mpa)
        if self.lift:
            root = (e + self.onset) ** -self.lift
            soft, soft_slope = soft * root, soft_slope * root * (1.0 - self.lift * e / (e + self.onset))
        if not self.stiffening:
            return soft, soft_slope
        ratio = e / (1.0 - e)
        hard = self.stiffening * (thickness / THICKNESS_UNIT_MM) * ratio ** (self.power - 1.0)
        return soft * (1.0 + hard * ratio), soft_slope * (1.0 + hard * ratio) + soft * self.power * hard / (
            1.0 - e
        ) ** 2


@dataclass(frozen=True)
class TissueBed:
    """Tissue of one law over the backing of each cell: what `contact` presses on."""

    law: TissueLaw
    backing: Backing

    def response(self, overlap: Floats) -> tuple[Floats, Floats]:
        """Return pressure, MPa, and its derivative by the overlap, MPa/mm; 0 where the overlap is not positive."""
        pressure, stiffness = np.zeros_like(overlap), np.zeros_like(overlap)
        touching = np.flatnonzero(overlap > 0.0)
        pressure[touching], stiffness[touching] = self._touched(overlap[touching], touching)
        return pressure, stiffness

    def _touched(self, overlap: Floats, where: NDArray[np.int64]) -> tuple[Floats, Floats]:
        thickness = self.backing.thickness[where]
        u = np.minimum(overlap, self.backing.most_overlap[where])
        left, climb = self._left(u, where)
        e = np.clip(1.0 - left / thickness, 0.0, LAST_COMPRESSION)
        pressure, slope = self.law.response(e, thickness)
        stiffness = slope * climb / thickness
        return pressure + stiffness * (overlap - u), stiffness

    def _left(self, u: Floats, where: NDArray[np.int64] | slice) -> tuple[Floats, Floats]:
        """Return the distance to bone that is left at overlaps, and how much of it a further mm takes."""
        height = self.backing.above[:, where] - u
        span = np.hypot(self.backing.aside[:, where], height)
        left = span - self.backing.radius[:, where]
        nearest = left.argmin(axis=0), np.arange(left.shape[1])
        return left[nearest], (height / np.maximum(span, 1e-9))[nearest]

    def compression(self, overlap: Floats) -> Floats:
        """Return e for overlaps in mm: the share of the distance to bone that is gone, at most `LAST_COMPRESSION`."""
        left, _ = self._left(np.clip(overlap, 0.0, self.backing.most_overlap), slice(None))
        return np.clip(1.0 - left / self.backing.thickness, 0.0, LAST_COMPRESSION)

    def overlap_at(self, pressure_mpa: float) -> Floats:
        """Return the overlap at which each place answers with a pressure: the inverse of `response`, by bisection."""
        low = np.zeros_like(self.backing.thickness)
        high = self.backing.most_overlap
        for _ in range(BISECTIONS):
            middle = 0.5 * (low + high)
            below = self.response(middle)[0] < pressure_mpa
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        return 0.5 * (low + high)


TISSUE = TissueLaw(modulus_mpa=0.0175, lift=0.5, onset=0.03, stiffening=3.69, power=2.605)
