"""Loose pegs across a cut: where there is room for them, and their shape.

A peg is an eight-sided bar, so that it prints lying on a side and its hole needs no support.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import manifold3d as m3
import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.mock_up.stock import Height, Printer

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
        return self._bar(self.thickness_mm + 2.0 * (self.clearance_mm + wall_mm), 2.0 * self.reach_mm)

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
    for piece in pieces:
        along = shapely.get_coordinates(piece)[:, 1 - axis]
        if np.ptp(along) > 0.0:
            out.append(SawCut(axis, at_mm, float(along.min()), float(along.max())))
    return sorted(out, key=lambda cut: cut.low_mm)


def pegs_for(cuts: Sequence[SawCut], height: Height, narrowest_mm: float, printer: Printer) -> list[Peg]:
    """Return one or two pegs for each cut, all as thick as the tightest cut allows.

    `narrowest_mm` is the least length of a part across its cuts.

    Raises
    ------
    ValueRefusedError
        A cut has no room even for the thinnest peg that can be printed.
    """
    # Two pegs keep parts from turning: rather two of less thickness, down to two walls, than one.
    for fewest, thinnest in ((2, 2.0 * printer.wall_mm), (1, printer.wall_mm)):
        thickness = THICKEST_MM
        while thickness >= thinnest:
            reach = REACH * thickness
            if reach <= 0.4 * narrowest_mm:
                found = [_places(cut, height, thickness, reach, printer) for cut in cuts]
                if min(map(len, found)) >= fewest:
                    return [peg for places in found for peg in places]
            thickness *= SMALLER
    raise ValueRefusedError(
        "bed_mm",
        printer.bed_mm,
        f"the cuts leave no room for pegs of {printer.wall_mm:g} mm with walls of {printer.wall_mm:g} mm round them",
        "take a larger bed or scale, or a thinner wall",
    )


def _places(cut: SawCut, height: Height, thickness: float, reach: float, printer: Printer) -> list[Peg]:
    """Return pegs a quarter from each end of a cut, or as near as there is room; one where there is no room for two."""
    room = thickness + 2.0 * (printer.clearance_mm + printer.wall_mm)
    # Pegs of a cut that crosses this one reach no farther than this.
    end = reach + 0.5 * room
    low, high = cut.low_mm + end, cut.high_mm - end
    if low > high:
        return []
    along = np.linspace(low, high, TRIALS)
    least = _least_height(cut, height, along, 0.5 * room, reach)
    fits = least >= room
    if not fits.any():
        return []
    quarters = cut.low_mm + np.array([0.25, 0.75]) * (cut.high_mm - cut.low_mm)
    away = np.where(fits, np.abs(along - quarters[:, None]), np.inf)
    chosen = np.argmin(away, axis=1)
    if abs(along[chosen[1]] - along[chosen[0]]) < 2.0 * room:
        chosen = np.array([np.argmin(np.where(fits, np.abs(along - quarters.mean()), np.inf))])
    return [
        Peg(cut.axis, _point(cut, along[i], 0.5 * least[i]), thickness, reach, printer.clearance_mm)
        for i in chosen
    ]


def _least_height(cut: SawCut, height: Height, along: Floats, half: float, reach: float) -> Floats:
    """Return the least height over the room of a peg at each place along a cut."""
    aside = np.linspace(-half, half, 7)[:, None]
    across = cut.at_mm + np.linspace(-reach, reach, 9)
    shape = (len(along), 7, 9)
    length = np.broadcast_to(along[:, None, None] + aside, shape)
    depth = np.broadcast_to(across, shape)
    heights = height(depth, length) if cut.axis == 0 else height(length, depth)
    return np.asarray(heights.min(axis=(1, 2)))


def _point(cut: SawCut, along: float, z: float) -> tuple[float, float, float]:
    return (cut.at_mm, float(along), float(z)) if cut.axis == 0 else (float(along), cut.at_mm, float(z))


def check_walls(pegs: Iterable[Peg], body: m3.Manifold, wall_mm: float) -> None:
    """Refuse pegs whose holes have less than a wall round them, measured on the body itself.

    Raises
    ------
    NotSolvedError
        A hole comes too near to the surface.
    """
    for peg in pegs:
        sleeve = peg.sleeve(0.98 * wall_mm)
        outside = (sleeve - body).volume()
        if outside > 1e-3 * sleeve.volume():
            x, y, z = peg.centre_mm
            raise NotSolvedError(
                f"a peg's hole at x {x:.1f}, y {y:.1f}, z {z:.1f} mm of the model would have too thin a wall; take "
                "another bed or scale."
            )
