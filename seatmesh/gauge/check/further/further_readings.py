"""Which further readings would decide: questioned ones again, uncut wood that tells the bar, and a few between.

Each line of them is one new setting of the bar, and so has uncut wood of its own at either end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.gauge.bar.datum_places import TIP_MM, datum_places, on_line
from seatmesh.gauge.bar.rod_gauge import Lie
from seatmesh.gauge.check.fair.fair_surface import FairSurface
from seatmesh.gauge.check.verdict import QUESTIONED, Verdict
from seatmesh.gauge.readings.readings import Readings
from seatmesh.surface import Seat

MOST, MOST_LINES = 12, 4
"""How many are asked for at once, on how many lines; uncut wood and lines whose bar is not told apart."""
UNDECIDED = 0.1
"""A reading is worth taking where it might turn out either way with at least this chance."""
CARVED_MM = 0.3
SAME_MM = 1.0
TO_TELL_THE_BAR = "uncut wood, to tell how the bar sits"
AT_BOTH = "read before: read it again, so that it tells how the bar sat then"


@dataclass(frozen=True)
class Further:
    """A reading to take.

    Attributes
    ----------
    x_mm, y_mm
        Where.
    point
        Its number where it is a crossing of the sheet.
    why
        In words.
    placing
        Number of the new setting of the bar that it belongs to.
    """

    x_mm: float
    y_mm: float
    point: int | None
    why: str
    placing: int


@dataclass(frozen=True)
class _Asked:
    """A reading asked for: index of the reading or crossing (-1: none yet), place, why."""

    index: int
    x_mm: float
    y_mm: float
    why: str


def further_readings(
    seat: Seat,
    readings: Readings,
    surface: FairSurface,
    said: Verdict,
    tolerance_mm: float,
    spacing_mm: float,
) -> tuple[Further, ...]:
    """Return what to read, line by line, the most needed first."""
    r = readings
    asked: dict[tuple[Lie, float], list[_Asked]] = {}

    def ask(k: int, x: float, y: float, why: str) -> None:
        line = _line(r, k, x, y)
        asked.setdefault(line, []).append(_Asked(k, x, y, why))

    state = np.array(said.state)
    again = np.flatnonzero((state == QUESTIONED) & said.told)
    for k in again[np.unique(r.point[again], return_index=True)[1]][:MOST]:
        ask(int(k), float(r.x_mm[k]), float(r.y_mm[k]), said.why[k])
    for placing in np.unique(r.bars.placings.of[(state == QUESTIONED) & ~said.told]):
        for k in _ends_and_middle(r, int(placing), said.told):
            ask(k, float(r.x_mm[k]), float(r.y_mm[k]), AT_BOTH)
    room = MOST - min(MOST, len(again))
    for x, y, k in _undecided(seat, r, surface, said, (tolerance_mm, spacing_mm), room):
        why = "between crossings" if k < 0 else "not read yet"
        if len(asked) < MOST_LINES or _line(r, k, x, y) in asked:
            ask(k, x, y, f"{why}: cut or leave is undecided here")
    return _numbered(seat, r, asked)


def _line(r: Readings, k: int, x: float, y: float) -> tuple[Lie, float]:
    """Return how the bar lies at a reading, and where."""
    placings = r.bars.placings
    across = bool(placings.across[placings.of[k]]) if k >= 0 else bool(np.mean(placings.across) >= 0.5)
    return ("across", round(y, 2)) if across else ("along", round(x, 2))


def _ends_and_middle(r: Readings, placing: int, told: Bools) -> Sequence[int]:
    """Return the first, the middle and the last of what was read with one setting of the bar and is not told."""
    here = np.flatnonzero((r.bars.placings.of == placing) & r.read & ~told)
    order = here[np.argsort(r.bars.placings.along_mm[here])]
    return [int(order[j]) for j in sorted({0, len(order) // 2, len(order) - 1})]


def _numbered(seat: Seat, r: Readings, asked: dict[tuple[Lie, float], list[_Asked]]) -> tuple[Further, ...]:
    """Return what is asked for with uncut wood at either end, each line a placing of a new number."""
    known: dict[tuple[float, float], int] = {}
    for k, place in enumerate(zip(r.x_mm.round(1).tolist(), r.y_mm.round(1).tolist(), strict=True)):
        known.setdefault(place, k)
    out: list[Further] = []
    for number, ((lie, at), wanted) in enumerate(asked.items(), start=r.last_placing + 1):
        along, beside = (r.x_mm, r.y_mm) if lie == "across" else (r.y_mm, r.x_mm)
        crossings = np.unique(along[np.abs(beside - at) <= SAME_MM])
        line = list(wanted)
        have = {(round(one.x_mm, 1), round(one.y_mm, 1)) for one in wanted}
        for place in np.concatenate(
            [np.array(side) for side in datum_places(seat, lie, at, crossings.tolist())]
        ):
            x, y = (float(one[0]) for one in on_line(seat, lie, at, np.array([place])))
            if (round(x, 1), round(y, 1)) not in have:
                k = known.get((round(x, 1), round(y, 1)), -1)
                line.append(_Asked(k, x, y, TO_TELL_THE_BAR))
        seen: set[tuple[float, float]] = set()
        for one in sorted(line, key=lambda one: (one.x_mm, one.y_mm)):
            place_key = (round(one.x_mm, 1), round(one.y_mm, 1))
            if place_key not in seen:
                seen.add(place_key)
                point = int(r.point[one.index]) if one.index >= 0 else None
                out.append(Further(one.x_mm, one.y_mm, point, one.why, number))
    return tuple(out)


def _undecided(
    seat: Seat,
    r: Readings,
    surface: FairSurface,
    said: Verdict,
    lengths_mm: tuple[float, float],
    room: int,
) -> list[tuple[float, float, int]]:
    """Return places, with the crossing's index or -1, whose readings would decide most between cutting and not.

    Candidates are crossings not read and, on lines whose bar is told, the middles between two. One after the other the
    place is taken where the chance of deciding wrongly, times how unsure the surface is, is greatest; what its reading
    would make surer is taken into account for those after it.
    """
    tolerance, spacing = lengths_mm
    x, y, index = _candidates(seat, r, said.told, spacing)
    if not len(x) or room <= 0:
        return []
    take = -surface.at(x, y)
    covariance = surface.covariance_mm2(x, y)
    free = np.ones(len(x), dtype=bool)
    chosen: list[tuple[float, float, int]] = []
    while len(chosen) < room:
        deviation = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
        wrong = ndtr(-np.abs(take - tolerance) / deviation)
        worth = np.where(free & (wrong >= UNDECIDED), wrong * deviation, 0.0)
        k = int(np.argmax(worth))
        if worth[k] <= 0.0:
            break
        chosen.append((float(x[k]), float(y[k]), int(index[k])))
        free[k] = False
        row = covariance[k]
        covariance = covariance - np.outer(row, row) / (covariance[k, k] + surface.noise_mm**2)
    return chosen


def _candidates(seat: Seat, r: Readings, told: Bools, spacing: float) -> tuple[Floats, Floats, Ints]:
    """Return crossings not read, and middles between read ones on one line, where the seat is carved."""
    read = r.read & told
    never = ~np.isin(r.point, r.point[r.read])
    across = r.bars.placings.across[r.bars.placings.of[read]]
    middle_x = r.x_mm[read] + np.where(across, 0.5 * spacing, 0.0)
    middle_y = r.y_mm[read] + np.where(across, 0.0, 0.5 * spacing)
    x = np.concatenate([r.x_mm[never], middle_x])
    y = np.concatenate([r.y_mm[never], middle_y])
    index = np.concatenate([np.flatnonzero(never), np.full(len(middle_x), -1)])
    there = r.read
    apart = np.hypot(x[:, None] - r.x_mm[there], y[:, None] - r.y_mm[there]).min(axis=1)
    kept = (apart > SAME_MM) & (seat.blank.inside_mm(x, y) > TIP_MM) & (seat.depth_mm(x, y) > CARVED_MM)
    return x[kept], y[kept], index[kept].astype(np.int64)
