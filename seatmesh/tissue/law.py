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

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.tissue.backing import LAST_COMPRESSION, Backing

THICKNESS_UNIT_MM = 40.0
LEAST_SPAN = 1e-9
"""Distance that keeps a ball's centre apart from the skin, for a division."""
LEAST_ROUNDING = 0.005
"""A smaller r that is not 0 would ask for powers of e beyond the numbers there are."""
BISECTIONS = 60
LEAST_STEP_MM = 1e-12
LEAST_STIFFNESS = 1e-30
"""MPa/mm, keeps from a division by nothing."""
MOSTLY = 0.6
"""Share of places from which all are reckoned at once."""


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

    Raises
    ------
    ValueRefusedError
        For an r that is neither 0 nor at least `LEAST_ROUNDING`.
    """

    modulus_mpa: float
    lift: float
    onset: float
    stiffening: float
    power: float
    thickening: float = 0.0
    wall: float = 0.0
    rounding: float = 0.0

    def __post_init__(self) -> None:
        if self.rounding != 0.0 and not self.rounding >= LEAST_ROUNDING:
            raise ValueRefusedError(
                "rounding",
                self.rounding,
                f"0, or from {LEAST_ROUNDING:g}",
                "take 0 where the nearest counts alone",
            )

    def response(self, e: Floats, modulus: Floats) -> tuple[Floats, Floats]:
        """Return p and dp/de for compressions from 0 to below 1 where the tissue's modulus is that of each place."""
        soft, slope = modulus * e, modulus
        if self.lift:
            lifted = e + self.onset
            root = lifted**-self.lift
            soft *= root
            lifted = e / lifted
            lifted *= -self.lift
            lifted += 1.0
            slope = slope * root
            slope *= lifted
        if not self.stiffening:
            return soft, slope
        apart = 1.0 / (1.0 - e)
        ratio = e * apart
        hard = ratio ** (self.power - 1.0)
        hard *= self.stiffening
        ratio *= hard
        ratio += 1.0
        slope = slope * ratio
        hard *= soft
        hard *= self.power
        apart *= apart
        hard *= apart
        slope += hard
        soft *= ratio
        return soft, slope


@dataclass(frozen=True)
class TissueBed:
    """Tissue of one law over the backing of each cell: what `contact` presses on."""

    law: TissueLaw
    backing: Backing

    @cached_property
    def thickness(self) -> Floats:
        """What compression counts from: the smooth least distance to what holds the flesh, shape (n,), mm."""
        least = self.backing.nearest
        if not self.law.rounding:
            return least
        shares = least - self.backing.distance
        shares /= self._width
        total = np.exp(shares, out=shares).sum(axis=0)
        return np.asarray(least - self._width * np.log(total))

    @cached_property
    def modulus(self) -> Floats:
        """K of each place, for its thickness and the slope of the skin, shape (n,), MPa."""
        law = self.law
        thicker = (self.thickness / THICKNESS_UNIT_MM) ** law.thickening
        return np.asarray(law.modulus_mpa * thicker * (1.0 + law.wall * self.backing.rise))

    @cached_property
    def _width(self) -> Floats:
        """Length within which what holds the flesh shares it, r d0; without rounding a mm: shape (n,)."""
        if not self.law.rounding:
            return np.ones_like(self.backing.nearest)
        return np.asarray(self.law.rounding * self.backing.about_nearest)

    @cached_property
    def _scaled(self) -> Floats:
        """All that pressing asks for of each place, its lengths over `_width`, shape (3 k + 5, n).

        Of each ball: how far above its centre lies, the square of how far aside, and its radius and the thickness
        together. So the sum over balls of exp(this - distance of the centre) is 1 before pressing, and its logarithm
        tells at once how much of the thickness is lost.
        """
        held, scale = self.backing, 1.0 / self._width
        balls = len(held.above)
        out = np.empty((3 * balls + 5, len(scale)))
        above, aside, near = (out[k * balls : (k + 1) * balls] for k in range(3))
        np.multiply(held.above, scale, out=above)
        np.multiply(held.aside, scale, out=aside)
        aside *= aside
        # A ball's centre on the skin itself holds nothing: its distance stays above nothing.
        aside += LEAST_SPAN**2
        np.add(held.radius, self.thickness, out=near)
        near *= scale
        out[-5:-3] = held.most_overlap, scale
        out[-3:] = self._width / self.thickness, 1.0 / self.thickness, self.modulus
        return out

    def response(self, overlap: Floats) -> tuple[Floats, Floats]:
        """Return pressure, MPa, and its derivative by the overlap, MPa/mm; 0 where the overlap is not positive.

        Overlaps (n,), or of many bodies (bodies, cells): the places then lie in the backing body by body.
        """
        flat = overlap.ravel()
        touching = flat > 0.0
        if np.count_nonzero(touching) > MOSTLY * flat.size:
            # To pick a few out costs more than to reckon them with the rest.
            pressure, stiffness = self._touched(np.maximum(flat, 0.0), self._scaled)
            pressure *= touching
            stiffness *= touching
        else:
            at = np.flatnonzero(touching)
            pressure, stiffness = np.zeros_like(flat), np.zeros_like(flat)
            pressure[at], stiffness[at] = self._touched(flat[at], self._scaled[:, at])
        return pressure.reshape(overlap.shape), stiffness.reshape(overlap.shape)

    def _touched(self, overlap: Floats, scaled: Floats) -> tuple[Floats, Floats]:
        most, _, _, per_thickness, modulus = scaled[-5:]
        u = np.minimum(overlap, most)
        e, climb = self._compressed(u, scaled)
        pressure, slope = self.law.response(e, modulus)
        stiffness = np.multiply(slope, climb, out=climb)
        stiffness *= per_thickness
        u = np.subtract(overlap, u, out=u)
        u *= stiffness
        pressure += u
        return pressure, stiffness

    def _compressed(self, u: Floats, scaled: Floats) -> tuple[Floats, Floats]:
        """Return e at overlaps, and how much of the distance that is left a further mm takes."""
        balls = len(self.backing.above)
        height = scaled[:balls] - u * scaled[-4]
        span = height * height
        span += scaled[balls : 2 * balls]
        np.sqrt(span, out=span)
        height /= span
        near = np.subtract(scaled[2 * balls : 3 * balls], span, out=span)
        if not self.law.rounding:
            nearest, places = near.argmax(axis=0), np.arange(near.shape[1])
            e, climb = near[nearest, places], height[nearest, places]
        else:
            np.exp(near, out=near)
            total = near.sum(axis=0)
            near *= height
            climb = near.sum(axis=0)
            climb /= total
            # A bone that lies lower than the place gets farther away: it takes nothing off what holds from above.
            np.maximum(climb, 0.0, out=climb)
            e = np.log(total, out=total)
        e *= scaled[-3]
        return np.minimum(np.maximum(e, 0.0, out=e), LAST_COMPRESSION, out=e), climb

    def compression(self, overlap: Floats) -> Floats:
        """Return e for overlaps in mm: the share of the distance to bone that is gone, at most `LAST_COMPRESSION`."""
        return self._compressed(np.clip(overlap, 0.0, self.backing.most_overlap), self._scaled)[0]

    def overlap_at(self, pressure_mpa: Floats | float) -> Floats:
        """Return the overlap at which each place answers with a pressure, one for all or (n,): `response` inverted.

        Newton's steps, halved between what is known to be too little and too much where they lead out of it.
        """
        low, high = np.zeros_like(self.backing.nearest), self.backing.most_overlap
        overlap = 0.5 * high
        for _ in range(BISECTIONS):
            pressure, stiffness = self.response(overlap)
            off = pressure - pressure_mpa
            low, high = np.where(off < 0.0, overlap, low), np.where(off < 0.0, high, overlap)
            there = overlap - off / np.maximum(stiffness, LEAST_STIFFNESS)
            there = np.where((there > low) & (there < high), there, 0.5 * (low + high))
            step, overlap = np.abs(there - overlap).max(initial=0.0), there
            if step < LEAST_STEP_MM:
                break
        return overlap


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
