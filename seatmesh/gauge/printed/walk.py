"""Which crossings are printed, in the order of walking over them: setting by setting, mirrored pairs together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.gauge.bar.crossings import Crossing
from seatmesh.gauge.bar.gauge_sheet import GaugeSheet

TELLS_MM = 0.5
"""A shallower place is told from uncut wood by no reading: half of a rod's scatter and more (common practice)."""
MOST_CARVED = 120
"""More carved places than that are no morning's work: then every second one is printed, in turns from line to line."""
DATUM_EACH_END = 2
"""Places on uncut wood at either end of a line: one tells how the bar sits, the second tells a slip of the first."""


@dataclass(frozen=True)
class Pair:
    """Two mirrored crossings, or one alone; of one on the centre line it is `left`, and `right` is None."""

    left: Crossing | None
    right: Crossing | None

    @property
    def either(self) -> Crossing:
        """One of the two: the pair's distance from the rear edge, and from the centre line, is its own."""
        one = self.left or self.right
        assert one is not None
        return one

    @property
    def carved(self) -> bool:
        """Whether it is on carved wood."""
        return not self.either.uncut


@dataclass(frozen=True)
class GridLine:
    """What is read along one line of the grid: one setting of a bar across, one setting either side of a bar along."""

    at_mm: float
    pairs: tuple[Pair, ...]


def lines_to_read(sheet: GaugeSheet) -> tuple[GridLine, ...]:
    """Return the lines in order: rows from the rear edge forward, or columns from the centre line outward.

    A line without carved wood is left out, but for the first, whose uncut middle tells whether a bar across hangs.
    """
    across = sheet.gauge.lie == "across"
    thin = is_thinned(sheet)
    found: dict[float, list[Crossing]] = {}
    for one in sheet.crossings:
        if thin and _tells(one) and _is_odd(one, sheet.spacing_mm):
            continue
        found.setdefault(one.y_mm if across else abs(one.x_mm), []).append(one)
    out: list[GridLine] = []
    for at in sorted(found):
        kept = _kept(found[at], across, is_first=across and not out)
        if kept:
            out.append(GridLine(at, _pairs(kept)))
    return tuple(out)


def readings_printed(sheet: GaugeSheet) -> int:
    """Return how many crossings are printed to be read."""
    return sum(
        (pair.left is not None) + (pair.right is not None)
        for one in lines_to_read(sheet)
        for pair in one.pairs
    )


def is_thinned(sheet: GaugeSheet) -> bool:
    """Tell whether every second carved place is left to the table that is typed into."""
    return sum(map(_tells, sheet.crossings)) > MOST_CARVED


def _tells(one: Crossing) -> bool:
    return not one.uncut and one.expected_mm - one.datum_mm >= TELLS_MM


def _is_odd(one: Crossing, spacing_mm: float) -> bool:
    """Tell whether a place belongs to the other colour of the grid's chequer; mirrored places are of one colour."""
    return (round(abs(one.x_mm) / spacing_mm) + round(one.y_mm / spacing_mm)) % 2 == 1


def _kept(row: Sequence[Crossing], across: bool, *, is_first: bool) -> list[Crossing]:
    carved = [one for one in row if _tells(one)]
    if not carved and not is_first:
        return []
    along = [one.x_mm if across else one.y_mm for one in row]
    middle = 0.0 if across else float(np.mean([min(along), max(along)]))
    uncut = [(where, one) for where, one in zip(along, row, strict=True) if one.uncut]
    ends: list[Crossing] = []
    for sign in (-1.0, 1.0):
        far = sorted(
            (-sign * (where - middle), one.point, one)
            for where, one in uncut
            if sign * (where - middle) > 0.0
        )
        places = sorted({round(distance, 3) for distance, _, _ in far})[:DATUM_EACH_END]
        ends += [one for distance, _, one in far if round(distance, 3) in places]
    ends += [one for where, one in uncut if is_first and where == 0.0]
    points = {one.point for one in (*carved, *ends)}
    return [one for one in row if one.point in points]


def _pairs(row: Sequence[Crossing]) -> tuple[Pair, ...]:
    """Return the crossings of a line as pairs, from the rear edge forward, each row from the outside inward."""
    by_place: dict[tuple[float, float], dict[str, Crossing]] = {}
    for one in row:
        side = "left" if one.x_mm <= 0.0 else "right"
        by_place.setdefault((one.y_mm, -abs(one.x_mm)), {})[side] = one
    return tuple(Pair(both.get("left"), both.get("right")) for _, both in sorted(by_place.items()))
