"""Soft tissue between bone and seat: how hard it pushes back, place by place.

Flesh is held by bone and, at the height of the hips, by the rest of the body. The thickness that counts is the distance
to what holds it *in space*, not straight up: beside a bone the load runs sideways into it, over a length of the order
of the thickness. Where several hold it from about as near, each has its share: the distance is their smooth least one,

    t = d1 - r d0 ln(sum over j of exp((d1 - dj) / (r d0))),    d1 the least of all dj,

and d0 is what is nearest before pressing, d0 = sum of dj^-11 / sum of dj^-12: the least, save where another is about as
near. There it turns smoothly from one to the other, so that contours of pressure have no corner.

A place on the skin that the seat lifts by the overlap u comes nearer to what holds it; its compression is what it has
lost of that distance, e = 1 - t_now / t_free. It answers with

    p = K (t_free / 40 mm)^m (1 + w sin^2 a) e / (e + e0)^q (1 + b (e / (1 - e))^s).

With q near 1/2 the pressure starts steeply, because in a continuum each place is lifted by its neighbours too (as in
Hertz's contact, where the pressure goes with the root of the overlap); the last bracket is the stiffening as the tissue
runs out. The angle a is the slope of the skin: flesh that keeps its volume is pushed out toward the sides and presses
harder on walls than its vertical overlap tells. The constants were fitted to the project's own finite elements of
seated bodies; DEVELOPERS.md says how closely. q = b = m = 0 on a layer of even thickness is the linear elastic
foundation p = K u / t.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats

THICKNESS_UNIT_MM = 40.0
LAST_COMPRESSION = 0.95
"""Beyond this compression the law runs on along its tangent, so that it stays finite for a solver's trial steps."""
MOST_OVERLAP_MM = 200.0
BISECTIONS = 60
MOSTLY = 0.6
"""Share of places from which all are reckoned at once."""


@dataclass(frozen=True)
class Backing:
    """What holds the flesh, seen from each of n places on the unpressed skin; arrays (k, n) and (n,), mm.

    It is taken as k balls: the centre of each lies `above` and `aside` of the place, its surface `radius` from the
    centre. What holds the flesh straight above is a ball of no size.

    Attributes
    ----------
    rise
        sin^2 of the slope of the skin, shape (n,); 0 where it lies level.
    """

    aside: Floats
    above: Floats
    radius: Floats
    rise: Floats

    @cached_property
    def aside_squared(self) -> Floats:
        """Square of `aside`, which is asked for again and again."""
        return np.asarray(self.aside**2)

    @cached_property
    def nearest(self) -> Floats:
        """Distance from skin to the nearest of what holds it, shape (n,)."""
        return np.asarray((np.hypot(self.aside, self.above) - self.radius).min(axis=0))

    @cached_property
    def about_nearest(self) -> Floats:
        """Distance to what holds it nearby, shape (n,): d0 of the law, a mean of distances that the least rules."""
        distance = np.sqrt(self.aside**2 + self.above**2) - self.radius
        share = self.nearest / distance
        share *= share
        share = (share * share * share) ** 2
        return np.asarray((share * distance).sum(axis=0) / share.sum(axis=0))

    @cached_property
    def most_overlap(self) -> Floats:
        """Overlap at `LAST_COMPRESSION`, or at which a place beside a bone has come level with its centre."""
        least = np.maximum((1.0 - LAST_COMPRESSION) * self.nearest + self.radius, 0.0)
        below = np.sqrt(np.maximum(least**2 - self.aside**2, 0.0))
        # A ball whose centre is level with the place or below it never comes nearer.
        most = np.where(self.above > 0.0, self.above - below, np.inf)
        return np.asarray(np.clip(most.min(axis=0), 1e-6, MOST_OVERLAP_MM))


def even_layer(thickness_mm: Floats) -> Backing:
    """Return the backing of a layer, bone straight above each place."""
    nothing = np.zeros((1, len(thickness_mm)))
    return Backing(nothing, thickness_mm[None, :], nothing, nothing[0])


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
    thickening
        m.
    wall
        w.
    rounding
        r; 0 where the nearest counts alone.
    """

    modulus_mpa: float
    lift: float
    onset: float
    stiffening: float
    power: float
    thickening: float = 0.0
    wall: float = 0.0
    rounding: float = 0.0

    def response(self, e: Floats, modulus: Floats) -> tuple[Floats, Floats]:
        """Return p and dp/de for compressions from 0 to below 1 where the tissue's modulus is that of each place."""
        soft, soft_slope = modulus * e, modulus
        if self.lift:
            root = (e + self.onset) ** -self.lift
            soft, soft_slope = soft * root, soft_slope * root * (1.0 - self.lift * e / (e + self.onset))
        if not self.stiffening:
            return soft, soft_slope
        ratio = e / (1.0 - e)
        hard = self.stiffening * ratio ** (self.power - 1.0)
        return soft * (1.0 + hard * ratio), soft_slope * (1.0 + hard * ratio) + soft * self.power * hard / (
            1.0 - e
        ) ** 2


@dataclass(frozen=True)
class TissueBed:
    """Tissue of one law over the backing of each cell: what `contact` presses on."""

    law: TissueLaw
    backing: Backing

    @cached_property
    def thickness(self) -> Floats:
        """What compression counts from: the smooth least distance to what holds the flesh, shape (n,), mm."""
        return self._left(np.zeros_like(self.backing.nearest), slice(None))[0]

    @cached_property
    def modulus(self) -> Floats:
        """K of each place, for its thickness and the slope of the skin, shape (n,), MPa."""
        law = self.law
        thicker = (self.thickness / THICKNESS_UNIT_MM) ** law.thickening
        return np.asarray(law.modulus_mpa * thicker * (1.0 + law.wall * self.backing.rise))

    def response(self, overlap: Floats) -> tuple[Floats, Floats]:
        """Return pressure, MPa, and its derivative by the overlap, MPa/mm; 0 where the overlap is not positive.

        Overlaps (n,), or of many bodies (bodies, cells): the places then lie in the backing body by body.
        """
        shape = overlap.shape
        overlap = overlap.ravel()
        touching = np.flatnonzero(overlap > 0.0)
        if len(touching) > MOSTLY * overlap.size:
            # To pick a few out costs more than to reckon them with the rest.
            held = np.maximum(overlap, 0.0)
            pressure, stiffness = self._touched(held, slice(None))
            apart = held == 0.0
            pressure[apart] = stiffness[apart] = 0.0
        else:
            pressure, stiffness = np.zeros_like(overlap), np.zeros_like(overlap)
            pressure[touching], stiffness[touching] = self._touched(overlap[touching], touching)
        return pressure.reshape(shape), stiffness.reshape(shape)

    def _touched(self, overlap: Floats, where: NDArray[np.int64] | slice) -> tuple[Floats, Floats]:
        thickness = self.thickness[where]
        u = np.minimum(overlap, self.backing.most_overlap[where])
        left, climb = self._left(u, where)
        e = np.clip(1.0 - left / thickness, 0.0, LAST_COMPRESSION)
        pressure, slope = self.law.response(e, self.modulus[where])
        stiffness = slope * climb / thickness
        return pressure + stiffness * (overlap - u), stiffness

    def _left(self, u: Floats, where: NDArray[np.int64] | slice) -> tuple[Floats, Floats]:
        """Return the distance that is left at overlaps, and how much of it a further mm takes."""
        height = self.backing.above[:, where] - u
        span = height * height
        span += self.backing.aside_squared[:, where]
        np.sqrt(span, out=span)
        left = span - self.backing.radius[:, where]
        climb = np.divide(height, np.maximum(span, 1e-9, out=span), out=height)
        least = left.min(axis=0)
        if not self.law.rounding:
            return least, climb[left.argmin(axis=0), np.arange(left.shape[1])]
        width = self.law.rounding * self.backing.about_nearest[where]
        shares = np.subtract(least, left, out=left)
        shares /= width
        np.exp(shares, out=shares)
        total = shares.sum(axis=0)
        shares *= climb
        # A bone that lies lower than the place gets farther away: it takes nothing off what holds from above.
        return least - width * np.log(total), np.maximum(shares.sum(axis=0) / total, 0.0)

    def compression(self, overlap: Floats) -> Floats:
        """Return e for overlaps in mm: the share of the distance to bone that is gone, at most `LAST_COMPRESSION`."""
        left, _ = self._left(np.clip(overlap, 0.0, self.backing.most_overlap), slice(None))
        return np.clip(1.0 - left / self.thickness, 0.0, LAST_COMPRESSION)

    def overlap_at(self, pressure_mpa: float) -> Floats:
        """Return the overlap at which each place answers with a pressure: the inverse of `response`, by bisection."""
        low = np.zeros_like(self.backing.nearest)
        high = self.backing.most_overlap
        for _ in range(BISECTIONS):
            middle = 0.5 * (low + high)
            below = self.response(middle)[0] < pressure_mpa
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        return 0.5 * (low + high)


TISSUE = TissueLaw(
    modulus_mpa=0.0061,
    lift=0.485,
    onset=0.01,
    stiffening=3.86,
    power=1.825,
    thickening=0.156,
    wall=4.37,
    rounding=0.35,
)
