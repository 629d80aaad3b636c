"""What a maker is told of a mock-up in parts: joints without a peg, parts without a number or a flat side."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d as m3
import shapely

from seatmesh.mock_up.booleans import footprint
from seatmesh.mock_up.numbering import Numbered
from seatmesh.mock_up.pegs import SawCut

BESIDE_MM = 0.05
FLAT_SHARE = 0.3
"""A part of which less lies flat, in shares of its plan, does not print well as it lies."""


def notes_on_joints(
    bare: Sequence[SawCut], cuts: Sequence[SawCut], pieces: Sequence[m3.Manifold]
) -> tuple[str, ...]:
    """Return a note on joints that have no peg, named by the numbers of the parts on both sides."""
    if not bare:
        return ()
    areas = [footprint(piece) for piece in pieces]
    pairs = [_beside(cut, areas) for cut in bare]
    named = [f"{min(one)} and {max(one)}" for one in pairs if len(one) == 2]
    which = f" (parts {', '.join(named)})" if named else ""
    return (
        f"{len(bare)} of {len(cuts)} joints have no room for a peg{which}: glue them on a flat board without one",
    )


def _beside(cut: SawCut, areas: Sequence[shapely.Geometry]) -> set[int]:
    middle = 0.5 * (cut.low_mm + cut.high_mm)
    found = set()
    for off in (-BESIDE_MM, BESIDE_MM):
        x, y = (cut.at_mm + off, middle) if cut.axis == 0 else (middle, cut.at_mm + off)
        found |= {n for n, area in enumerate(areas, 1) if shapely.contains_xy(area, x, y)}
    return found


def notes_on_parts(marked: Sequence[Numbered]) -> tuple[str, ...]:
    """Return notes on parts that bear no number, and on those that do not lie flat."""
    plain = [n for n, one in enumerate(marked, 1) if one.taken_mm3 <= 0.0]
    tilted = [n for n, one in enumerate(marked, 1) if not _lies_flat(one.body)]
    notes = []
    if plain:
        notes.append(f"{_named(plain)} has no room for a number: write it on as it comes off the printer")
    if tilted:
        notes.append(f"{_named(tilted)} has little or no flat side to lie on: print it with support")
    return tuple(notes)


def _lies_flat(body: m3.Manifold) -> bool:
    low = float(body.bounding_box()[2])
    flat = body.slice(low + 1e-3).area()
    return bool(flat >= FLAT_SHARE * body.project().area())


def _named(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"part {numbers[0]}"
    return f"each of parts {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"
