"""The rough plank: what it must measure for the boards of a blank, and how many of them one plank gives."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from seatmesh.units import format_no_less, format_no_more
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.wood_wishes import WoodWishes

KERF_MM = 4.0
"""What a saw takes between two boards (common practice, from memory)."""


@dataclass(frozen=True)
class RoughBoard:
    """What a board must measure before it is planed, jointed and trimmed."""

    width_mm: float
    length_mm: float
    thickness_mm: float

    @property
    def volume_mm3(self) -> float:
        """Return its volume."""
        return self.width_mm * self.length_mm * self.thickness_mm


@dataclass(frozen=True)
class FromPlank:
    """What a plank at hand gives.

    Attributes
    ----------
    boards
        How many boards as wide as the widest come out of it, side by side and one after another.
    enough
        Whether all boards of this blank come out of it.
    lacks
        Of which measure there is too little: "thick", "wide" or "long"; empty where it is enough.
    has_mm, needs_mm
        How much there is of it, and how much is needed.
    """

    boards: int
    enough: bool
    lacks: str = ""
    has_mm: float = 0.0
    needs_mm: float = 0.0

    def why_not(self, units: str) -> str:
        """Return what it lacks, in words; nothing where it is enough."""
        if not self.lacks:
            return ""
        has, needs = format_no_more(self.has_mm, units), format_no_less(self.needs_mm, units)
        return f"it is {has} {self.lacks}, and {needs} {'is' if units == 'in' else 'are'} needed"


def rough_boards(layup: Layup, wishes: WoodWishes) -> tuple[RoughBoard, ...]:
    """Return what each board must measure rough."""
    return tuple(
        RoughBoard(
            board.width_mm + 2.0 * wishes.jointing_mm,
            layup.depth_mm + 2.0 * wishes.trimming_mm,
            layup.thickness_mm + 2.0 * wishes.planing_mm,
        )
        for board in layup.boards
    )


def from_plank(rough: tuple[RoughBoard, ...], wishes: WoodWishes) -> FromPlank | None:
    """Return what the plank at hand gives; None where none was given.

    Boards are laid along the plank; side by side only as many as its width holds, kerfs between them.
    """
    width, length, thickness = wishes.plank_width_mm, wishes.plank_length_mm, wishes.plank_thickness_mm
    if min(width, length) <= 0.0:
        return None
    needed = rough[0].thickness_mm
    if 0.0 < thickness < needed:
        return FromPlank(0, False, "thick", thickness, needed)
    widest = max(one.width_mm for one in rough)
    rows = floor((length + KERF_MM) / (rough[0].length_mm + KERF_MM))
    abreast = floor((width + KERF_MM) / (widest + KERF_MM))
    fits = _rows_needed(sorted((one.width_mm for one in rough), reverse=True), width)
    if fits is None:
        return FromPlank(rows * abreast, False, "wide", width, widest)
    if fits > rows:
        short = fits * (rough[0].length_mm + KERF_MM) - KERF_MM
        return FromPlank(rows * abreast, False, "long", length, short)
    return FromPlank(rows * abreast, True)


def _rows_needed(widths: list[float], plank_mm: float) -> int | None:
    """Return how many lengths of the plank hold boards so wide, widest first; None where one is too wide."""
    rows: list[float] = []
    for one in widths:
        if one > plank_mm:
            return None
        for place, used in enumerate(rows):
            if used + KERF_MM + one <= plank_mm:
                rows[place] = used + KERF_MM + one
                break
        else:
            rows.append(one)
    return len(rows)
