"""Loose pegs across a cut: where there is room for them, and their shape.

A peg is an eight-sided bar, so that it prints lying on a side and its hole needs no support.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import manifold3d as m3
import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.mock_up.stock import Printer, Stock

Axis = Literal[0, 1]

SIDES = 8
FLAT = float(np.cos(np.pi / SIDES))
"""Half the distance between opposite sides over the distance of a corner from the middle."""
THICKEST_MM = 8.0
REACH = 1.5
"""Depth of a hole over the peg's thickness."""
SMALLER = 0.85
"""From one trial thickness to the next."""
TRIALS = 41
"""Places along a cut that are tried."""


@dataclass(frozen=True)
class SawCut:
    """A stretch of a cut along which two parts meet: at `at_mm` along `axis`, from low to high along the other."""

    axis: Axis
    at_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True)
class Peg:
    """A loose peg along `axis`, its middle at `centre_mm`; its thickness is measured from side to side."""

    axis: Axis
    centre_mm: tuple[float, float, float]
    thickness_mm: float
    reach_mm: float
    clearance_mm: float

    def hole(self) -> m3.Manifold:
        """Return the room for the peg."""
        return self._bar(self.thickness_mm + 2.0 * self.clearance_mm, 2.0 * self.reach_mm)

    def bar(self) -> m3.Manifold:
        """Return the peg in its place."""
        return self._bar(self.thickness_mm, 2.0 * (self.reach_mm - self.clearance_mm))

    def sleeve(self, wall_mm: float) -> m3.Manifold:
        """Return the hole with a wall all round it."""
        return self._bar(self.room_mm(wall_mm), 2.0 * self.reach_mm)

    def room_mm(self, wall_mm: float) -> float:
        """Return the thickness of the hole with walls on both sides."""
        return self.thickness_mm + 2.0 * (self.clearance_mm + wall_mm)

    def apart_mm(self, other: Peg) -> float:
        """Return how far the middles of two pegs of one cut lie apart."""
        return math.dist(self.centre_mm[:2], other.centre_mm[:2])

    def _bar(self, thickness: float, length: float) -> m3.Manifold:
        lying = m3.Manifold.cylinder(length, 0.5 * thickness / FLAT, circular_segments=SIDES, center=True)
        lying = lying.rotate((0.0, 0.0, 180.0 / SIDES))
        turned = lying.rotate((0.0, 90.0, 0.0) if self.axis == 0 else (90.0, 0.0, 0.0))
        return turned.translate(self.centre_mm)


def stretches(
    area: shapely.Geometry, axis: Axis, at_mm: float, low_mm: float, high_mm: float
) -> list[SawCut]:
    """Return the stretches of a cut that lie inside an area of the plan."""
    ends = [(at_mm, low_mm), (at_mm, high_mm)] if axis == 0 else [(low_mm, at_mm), (high_mm, at_mm)]
    pieces = shapely.get_parts(shapely.LineString(ends).intersection(area))
    out = []
    for piece in pieces[shapely.length(pieces) > 0.0]:
        along = shapely.get_coordinates(piece)[:, 1 - axis]
        if np.ptp(along) > 0.0:
            out.append(SawCut(axis, at_mm, float(along.min()), float(along.max())))
    return sorted(out, key=lambda cut: cut.low_mm)


def pegs_for(
    cuts: Sequence[SawCut], stock: Stock, narrowest_mm: float, printer: Printer
) -> list[tuple[Peg, ...]]:
    """Return up to two pegs for each cut, all of one thickness, none where there is no room.

    They are as thick as the tightest cut allows. Where no thickness does for all cuts, it is the one that leaves the
    fewest without a peg. A peg whose hole would have too thin a wall is moved along its cut or left out.

    Parameters
    ----------
    narrowest_mm
        The least length of a part across its cuts.
    """
    found = _found(cuts, stock, narrowest_mm, printer)
    return [_walled(places, stock, printer.wall_mm) for places in found]


def _found(cuts: Sequence[SawCut], stock: Stock, narrowest_mm: float, printer: Printer) -> list[_Places]:
    best: tuple[tuple[int, int], list[_Places]] = (0, 0), [_Places((), ()) for _ in cuts]
    # Two pegs keep parts from turning: rather two of less thickness, down to two walls, than one.
    for fewest, thinnest in ((2, 2.0 * printer.wall_mm), (1, printer.wall_mm)):
        thickness = THICKEST_MM
        while thickness >= thinnest:
            reach = REACH * thickness
            if reach <= 0.4 * narrowest_mm:
                found = [_places(cut, stock, thickness, reach, printer) for cut in cuts]
                count = [len(one.chosen) for one in found]
                if min(count, default=fewest) >= fewest:
                    return found
                worth = (sum(map(bool, count)), sum(count))
                best = max(best, (worth, found), key=lambda one: one[0])
            thickness *= SMALLER
    return best[1]


@dataclass(frozen=True)
class _Places:
    """Pegs for a cut, and others that could stand in for them, the nearest to the middle first."""

    chosen: tuple[Peg, ...]
    others: tuple[Peg, ...]


def _places(cut: SawCut, stock: Stock, thickness: float, reach: float, printer: Printer) -> _Places:
    """Return pegs a quarter from each end of a cut, or as near as there is room; one where there is no room for two."""
    room = thickness + 2.0 * (printer.clearance_mm + printer.wall_mm)
    # Pegs of a cut that crosses this one reach no farther than this.
    end = reach + 0.5 * room
    low, high = cut.low_mm + end, cut.high_mm - end
    if low > high:
        return _Places((), ())
    along = np.linspace(low, high, TRIALS)
    bottom, top = _room(cut, stock, along, 0.5 * room, reach)
    fits = top - bottom >= room
    if not fits.any():
        return _Places((), ())
    quarters = cut.low_mm + np.array([0.25, 0.75]) * (cut.high_mm - cut.low_mm)
    away = np.where(fits, np.abs(along - quarters[:, None]), np.inf)
    chosen = np.argmin(away, axis=1)
    if abs(along[chosen[1]] - along[chosen[0]]) < 2.0 * room:
        chosen = np.array([np.argmin(np.where(fits, np.abs(along - quarters.mean()), np.inf))])

    def peg(i: int) -> Peg:
        centre = _point(cut, along[i], 0.5 * (bottom[i] + top[i]))
        return Peg(cut.axis, centre, thickness, reach, printer.clearance_mm)

    rest = np.setdiff1d(np.flatnonzero(fits), chosen)
    rest = rest[np.argsort(np.abs(along[rest] - quarters.mean()), kind="stable")]
    return _Places(tuple(map(peg, chosen.tolist())), tuple(map(peg, rest.tolist())))


def _walled(places: _Places, stock: Stock, wall_mm: float) -> tuple[Peg, ...]:
    """Return the pegs of a cut that have walls round their holes, moved along it where that is needed."""
    kept = [peg for peg in places.chosen if has_wall(peg, stock.body, wall_mm)]
    for other in places.others:
        if len(kept) == len(places.chosen):
            break
        if all(other.apart_mm(one) >= 2.0 * one.room_mm(wall_mm) for one in kept) and has_wall(
            other, stock.body, wall_mm
        ):
            kept.append(other)
    return tuple(kept)


def _room(cut: SawCut, stock: Stock, along: Floats, half: float, reach: float) -> tuple[Floats, Floats]:
    """Return the highest floor and the least height over the room of a peg at each place along a cut."""
    aside = np.linspace(-half, half, 7)[:, None]
    across = cut.at_mm + np.linspace(-reach, reach, 9)
    shape = (len(along), 7, 9)
    length = np.broadcast_to(along[:, None, None] + aside, shape)
    depth = np.broadcast_to(across, shape)
    at = (depth, length) if cut.axis == 0 else (length, depth)
    return np.asarray(stock.floor(*at).max(axis=(1, 2))), np.asarray(stock.height(*at).min(axis=(1, 2)))


def _point(cut: SawCut, along: float, z: float) -> tuple[float, float, float]:
    return (cut.at_mm, float(along), float(z)) if cut.axis == 0 else (float(along), cut.at_mm, float(z))


def has_wall(peg: Peg, body: m3.Manifold, wall_mm: float) -> bool:
    """Tell whether a peg's hole has a wall all round it, measured on the body itself."""
    sleeve = peg.sleeve(0.98 * wall_mm)
    return bool((sleeve - body).volume() <= 1e-3 * sleeve.volume())
