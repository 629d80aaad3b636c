"""What holds the flesh: balls of bone, and the body above, as seen from places on the skin."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from seatmesh.arrays import Floats

LAST_COMPRESSION = 0.95
"""Beyond this compression the law runs on along its tangent, so that it stays finite for a solver's trial steps."""
MOST_OVERLAP_MM = 200.0


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
    def distance(self) -> Floats:
        """Distance from skin to each of what holds it, shape (k, n)."""
        distance = self.above * self.above
        distance += self.aside * self.aside
        np.sqrt(distance, out=distance)
        distance -= self.radius
        return distance

    @cached_property
    def nearest(self) -> Floats:
        """Distance from skin to the nearest of what holds it, shape (n,)."""
        return np.asarray(self.distance.min(axis=0))

    @cached_property
    def about_nearest(self) -> Floats:
        """Distance to what holds it nearby, shape (n,): d0 of the law, a mean of distances that the least rules."""
        share = self.nearest / self.distance
        share *= share
        sixth = share * share
        sixth *= share
        sixth *= sixth
        total = sixth.sum(axis=0)
        sixth *= self.distance
        return np.asarray(sixth.sum(axis=0) / total)

    @cached_property
    def most_overlap(self) -> Floats:
        """Overlap at `LAST_COMPRESSION`, or at which a place beside a bone has come level with its centre."""
        below = self.radius + (1.0 - LAST_COMPRESSION) * self.nearest
        np.maximum(below, 0.0, out=below)
        below *= below
        below -= self.aside * self.aside
        np.maximum(below, 0.0, out=below)
        np.sqrt(below, out=below)
        most = np.subtract(self.above, below, out=below)
        # A ball whose centre is level with the place or below it never comes nearer.
        most[self.above <= 0.0] = np.inf
        return np.asarray(np.clip(most.min(axis=0), 1e-6, MOST_OVERLAP_MM))


def even_layer(thickness_mm: Floats) -> Backing:
    """Return the backing of a layer, bone straight above each place."""
    nothing = np.zeros((1, len(thickness_mm)))
    return Backing(nothing, thickness_mm[None, :], nothing, nothing[0])
