"""Readings judged: the fair surface through sound ones, what repeated ones say, the verdict on each, left and right."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.gauge.bar.datum_places import datum_places
from seatmesh.gauge.bar.how_bars_sat import SHARED_MM
from seatmesh.gauge.check.fair.dents import dented
from seatmesh.gauge.check.fair.fair_surface import LEAST_NOISE_MM, FairSurface
from seatmesh.gauge.check.left_right import LeftRight, left_against_right
from seatmesh.gauge.check.outlying_readings import without_misread
from seatmesh.gauge.check.verdict import MISREAD, TOLD, Verdict, flat_wood, verdict
from seatmesh.gauge.readings.readings import Readings
from seatmesh.gauge.readings.repeats import Repeats, repeats
from seatmesh.surface import Seat

USUAL_SPACING_MM = 25.0
QUIETER = 0.7
"""Readings of carved wood scatter no less than this share of what those on uncut wood do."""


@dataclass(frozen=True)
class Judged:
    """The fair surface, what repeated readings say, which are sound (n,), their scatter, and the verdict."""

    surface: FairSurface
    again: Repeats
    sound: Bools
    noise_mm: float
    verdict: Verdict


def judged(seat: Seat, readings: Readings, tolerance_mm: float) -> Judged:
    """Return the fair surface through corrected readings of carved wood, and the verdict by it.

    Flat wood is no part of it: uncut, it told of the bar; where nothing else was read, it is all there is.
    """
    r = readings
    carved = r.read & ~flat_wood(r, tolerance_mm)
    at = np.flatnonzero(carved if carved.any() else r.read)
    off = -r.to_take_mm
    least = max(LEAST_NOISE_MM, QUIETER * r.bars.noise_mm * float(np.sqrt(1.0 - r.bars.shared)))
    part = without_misread(r.x_mm[at], r.y_mm[at], off[at], _shared(r, at), least)
    surface, kept = part.surface, at[part.sound]
    shift, unsure = r.bars.if_alike()
    as_alike = r.as_read_mm - r.target_mm - shift
    noise = max(surface.noise_mm / np.sqrt(1.0 - r.bars.shared), r.bars.noise_mm)
    again = repeats(r.point, as_alike, noise, unsure)
    sound, standing_out = np.ones(len(off), dtype=bool), np.zeros(len(off), dtype=bool)
    sound[at] = part.sound
    spacing = spacing_of(r.x_mm, r.y_mm)
    standing_out[kept] = part.explained | dented(surface, spacing, tolerance_mm)
    has_datum = _has_datum(seat, r, tolerance_mm)
    said = verdict(r, surface, again, (~sound, standing_out), has_datum, noise, (tolerance_mm, spacing))
    return Judged(surface, again, sound, noise, said)


def _has_datum(seat: Seat, readings: Readings, tolerance_mm: float) -> Bools:
    """Tell for each reading whose bar is not told whether its line has uncut wood at all."""
    placings, out = readings.bars.placings, np.zeros(len(readings.point), dtype=bool)
    for p in np.unique(placings.of[readings.bar_error_mm > TOLD * tolerance_mm]):
        ends = datum_places(seat, "across" if placings.across[p] else "along", float(placings.at_mm[p]))
        out[placings.of == p] = bool(ends[0] or ends[1])
    return out


def _shared(readings: Readings, at: Ints) -> Floats:
    """Return the covariance of what readings share, bar and neighbours' noise, per variance of what each has alone."""
    bars = readings.bars
    alone = 1.0 - bars.shared
    near = np.exp(-bars.placings.apart_mm(at) / SHARED_MM) * bars.shared / alone
    return near + bars.covariance_mm2()[np.ix_(at, at)] / (bars.noise_mm**2 * alone)


def left_against_right_of(readings: Readings, found: Judged) -> LeftRight:
    """Compare the two sides, crossing by crossing: each by the mean of its sound readings."""
    r = readings
    off, first = np.full(len(r.point), np.nan), np.zeros(len(r.point), dtype=np.int64)
    where = {int(number): k for k, number in reversed(list(enumerate(r.point)))}
    sound = found.sound & r.read & np.array([word != MISREAD for word in found.verdict.state])
    for number, k in where.items():
        here = sound & (r.point == number)
        first[r.point == number] = k
        if here.any():
            off[k] = -float(r.to_take_mm[here].mean())
    pair = np.where(r.pair >= 0, first[r.pair], -1)
    once = np.isin(np.arange(len(off)), list(where.values()))
    return left_against_right(
        r.point,
        (r.x_mm, r.y_mm),
        off,
        np.where(once, pair, -1),
        r.left_proud_mm,
        found.surface.noise_mm,
        found.surface.noise_mm**2 * _shared(r, np.arange(len(off))),
    )


def spacing_of(x_mm: Floats, y_mm: Floats) -> float:
    """Return the usual distance from a place to the nearest other one."""
    places = np.unique(np.column_stack([x_mm, y_mm]).round(1), axis=0)
    if len(places) < 2:
        return USUAL_SPACING_MM
    return float(np.median(np.asarray(KDTree(places).query(places, k=2)[0])[:, 1]))
