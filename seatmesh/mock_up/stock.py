"""What is to be printed, before it is cut; and the parts that come of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import manifold3d as m3
import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import ValueRefusedError
from seatmesh.mesh import Mesh
from seatmesh.units import real_number

Height = Callable[[Floats, Floats], Floats]


def _flat(x: Floats, _: Floats) -> Floats:
    return np.zeros(np.shape(x))


MOST_WALL_MM = 10.0
MOST_CLEARANCE_MM = 2.0
LEAST_BED_MM, MOST_BED_MM = 20.0, 5000.0


@dataclass(frozen=True)
class Printer:
    """What a printer can do, mm.

    Attributes
    ----------
    bed_mm
        Usable width, depth and height.
    wall_mm
        Thinnest wall that holds together.
    clearance_mm
        Gap between a peg and its hole, all round and at each end.
    """

    bed_mm: tuple[float, float, float] = (220.0, 220.0, 220.0)
    wall_mm: float = 1.2
    clearance_mm: float = 0.2

    def __post_init__(self) -> None:
        if len(self.bed_mm) != 3:
            raise ValueRefusedError(
                "bed_mm", self.bed_mm, "allowed are three lengths", "give width, depth, height"
            )
        for name, value in zip(("width", "depth", "height"), self.bed_mm, strict=True):
            _within(f"bed_mm, {name}", value, LEAST_BED_MM, MOST_BED_MM)
        _within("wall_mm", self.wall_mm, 0.1, MOST_WALL_MM)
        _within("clearance_mm", self.clearance_mm, 0.0, MOST_CLEARANCE_MM)


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= real_number(name, value) <= high:
        raise ValueRefusedError(name, value, f"allowed is {low:g} to {high:g} mm", "give it in mm")


@dataclass(frozen=True)
class Stock:
    """A closed body that stands with its flat side on z = 0.

    Attributes
    ----------
    body
        The body, mm as printed.
    height
        How high material reaches at (x, y), mm, arrays of one shape; 0 or less beside the body.
    floor
        How high it begins there: more than 0 where the body overhangs its flat side.
    """

    body: m3.Manifold
    height: Height
    floor: Height = _flat


@dataclass(frozen=True)
class MockUpPart:
    """One thing to print.

    Attributes
    ----------
    name
        "part 3", or "peg" for each of the loose pegs; only pegs are called so.
    number
        What stands in relief in its flat side; None where there is no room, or no other part.
    mesh
        As it lies on the bed: flat side down on z = 0, corner of its extents at the origin, mm.
    turn, shift_mm
        Shapes (3, 3) and (3,): ``mesh @ turn.T + shift_mm`` is where it belongs in the whole.
    """

    name: str
    number: int | None
    mesh: Mesh
    turn: Floats
    shift_mm: Floats

    def in_place(self) -> Mesh:
        """Return the part where it belongs in the whole, mm."""
        return replace(self.mesh, vertices_mm=self.mesh.vertices_mm @ self.turn.T + self.shift_mm)


@dataclass(frozen=True)
class MockUp:
    """A mock-up in parts.

    Attributes
    ----------
    scale
        Length of the mock-up over length of the real thing.
    parts
        The parts in the order of their numbers, then the loose pegs.
    whole_mm3
        Volume before it was cut.
    loose_mm3, panels_mm3
        What the parts lack of that: room round the pegs, and the sunk panels round the numbers.
    notes
        What was done that nobody asked for, in words.
    """

    scale: float
    parts: tuple[MockUpPart, ...]
    whole_mm3: float
    loose_mm3: float
    panels_mm3: float
    notes: tuple[str, ...] = ()
