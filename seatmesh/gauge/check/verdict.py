"""The verdict on each crossing: only what is sure is ordered, only what is told is done, the rest is read again.

The wood's difference from the seat is known by the fair surface through corrected readings, or, where a reading that
stands out was confirmed, by the readings of that crossing alone. How far it is to be trusted hangs on how the bar sat:
a bar that its own uncut wood does not tell decides nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.check.fair.fair_surface import FairSurface
from seatmesh.gauge.readings.readings import Readings
from seatmesh.gauge.readings.repeats import Repeats

TAKE, DONE, TOO_DEEP, MISREAD, QUESTIONED = "take", "done", "too_deep", "misread", "questioned"

SURE = 3.5
"""Standard errors by which wood is too high or too deep before that is said: of some 30 places that are told apart from
each other one passes by chance in 1 to 2 % of sound carvings."""
LIKELY = 2.0
"""The same beside a crossing where it is sure."""
TOLD = 0.7
"""How unsure the bar may be, in tolerances: beyond that it is not told."""
WITHIN = 1.645
"""Standard errors that have to fit into the tolerance before a crossing is done: 95 % on one side."""
STANDS_OUT = 4.0
"""Standard deviations of a reading beyond which it is no scatter: one of 300 passes by chance in 2 % of carvings."""
OWN = 2.5
"""Standard deviations from the fair surface beyond which a confirmed reading speaks for itself."""
NEARER = 0.4
"""A reading contradicts an outlier of the same crossing where it lies nearer to the fair surface by this factor."""
NEAR_SPACINGS, FEW = 1.5, 3
"""So many readings on uncut wood, so near together, speak for each other."""

AGAIN = "read it again: lift the bar, set it down anew"
CONTRADICTED = "its readings disagree: read it once more, the bar set down anew"
DATUM = "how the bar sat on this line is not told: set it down anew, read uncut wood at both ends and these once more"
SIT_ANEW = (
    "how the bar sat is not told on this line without uncut wood: set it down anew and read these once more"
)
PROUD = "it would stand above the blank's top face: clear it of dust and splinters and read it again"


@dataclass(frozen=True)
class Verdict:
    """What is said of n readings.

    Attributes
    ----------
    state
        One of the words above; "" where nothing was read.
    why
        What to do about a questioned one; "" for all others.
    to_take_mm, error_mm
        Wood to take, negative where it is too deep, and its standard error.
    told
        Where the bar is told well enough to decide.
    """

    state: tuple[str, ...]
    why: tuple[str, ...]
    to_take_mm: Floats
    error_mm: Floats
    told: Bools


def verdict(
    readings: Readings,
    surface: FairSurface,
    again: Repeats,
    doubtful: tuple[Bools, Bools],
    has_datum: Bools,
    noise_mm: float,
    lengths_mm: tuple[float, float],
) -> Verdict:
    """Return the verdict.

    `doubtful` are readings that neither surface nor neighbours explain, (n,), and those that lie in a bowl or on a
    lump, or far from the surface though their neighbours explain them, (n,); `has_datum` (n,) tells
    whether a line whose bar is not told has uncut wood at all; `noise_mm` is the readings' scatter,
    `lengths_mm` are tolerance and spacing.
    """
    (unsound, standing_out), tolerance_mm = doubtful, lengths_mm[0]
    r, read = readings, readings.read
    told = read & (r.bar_error_mm <= TOLD * tolerance_mm)
    told = np.isin(again.crossing, again.crossing[told]) & read
    fair = -surface.at(r.x_mm, r.y_mm)
    error = surface.error_mm(r.x_mm, r.y_mm)
    mean, alone, count = _by_itself(r, again, noise_mm, tolerance_mm)
    apart = np.abs(mean + fair) > OWN * np.hypot(noise_mm / np.sqrt(count), error)
    # On flat wood there is no fair surface to go by.
    flat = flat_wood(r, tolerance_mm)
    own = flat | (again.confirmed & apart)
    take = np.where(own, -mean, fair)
    error = np.where(own, alone, error)
    state = np.full(len(take), QUESTIONED, dtype=object)
    why = np.full(len(take), AGAIN, dtype=object)
    done = (np.abs(take) <= tolerance_mm) & (WITHIN * error <= tolerance_mm)
    state[done] = DONE
    for side, word in ((1.0, TAKE), (-1.0, TOO_DEEP)):
        state[_sure(r, side * take, -side * mean, error, lengths_mm)] = word
    _on_flat(r, noise_mm, again.confirmed, (take, alone, flat), state, lengths_mm)
    hidden = standing_out & (state == DONE) & (np.abs(mean) > tolerance_mm)
    opposed = standing_out & (np.sign(-mean) * np.where(state == TAKE, 1, -1) < 0)
    opposed &= (state == TAKE) | (state == TOO_DEEP)
    # A surface rounds off the edge of a cut: there the crossing's own reading speaks against it.
    against = ((state == TAKE) | (state == TOO_DEEP)) & (np.abs(take + mean) > OWN * noise_mm)
    against &= np.sign(take) * (take + mean) > 0.0
    asks = (unsound | hidden | opposed | against) & ~again.confirmed
    state[asks] = QUESTIONED
    proud = (take > r.target_mm + np.maximum(tolerance_mm, SURE * error)) & (state != DONE)
    state[proud], why[proud] = QUESTIONED, PROUD
    state[~told] = QUESTIONED
    why[~told] = np.where(has_datum[~told], DATUM, SIT_ANEW)
    _repeated(again, unsound, np.where(read, np.abs(mean + fair), np.nan), state, why)
    why[state != QUESTIONED] = ""
    state[~read], why[~read] = "", ""
    return Verdict(tuple(state.tolist()), tuple(why.tolist()), take, error, told & read)


def flat_wood(r: Readings, tolerance_mm: float) -> Bools:
    """Tell where there is nothing to take, shape (n,): uncut wood, and wood that is cut by less than the tolerance."""
    return np.asarray(r.told_here | (r.target_mm <= tolerance_mm))


def _by_itself(
    r: Readings, again: Repeats, noise_mm: float, tolerance_mm: float
) -> tuple[Floats, Floats, Floats]:
    """Return what readings of a crossing say by themselves: how much too deep, its standard error, of how many."""
    off = -r.to_take_mm
    mean, error = off.copy(), np.hypot(noise_mm, r.bar_error_mm)
    count = np.ones(len(off))
    for one in np.unique(again.crossing[again.confirmed]):
        group = np.flatnonzero(again.confirmed & (again.crossing == one))
        told = group[r.bar_error_mm[group] <= TOLD * tolerance_mm]
        by = told if len(told) else group
        mean[group], count[group] = off[by].mean(), len(group)
        error[group] = np.sqrt(noise_mm**2 / len(by) + np.mean(r.bar_error_mm[by] ** 2))
    return mean, error, count


def _sure(r: Readings, off: Floats, own: Floats, error: Floats, lengths_mm: tuple[float, float]) -> Bools:
    """Tell where wood is surely off to one side, or likely so beside where it surely is: the rim of a cut.

    There the crossing's own readings count as much as the surface, which rounds off the edge of a cut.
    """
    tolerance_mm, spacing_mm = lengths_mm
    sure = r.read & (off > np.maximum(tolerance_mm, SURE * error))
    if not sure.any():
        return sure
    x, y = r.x_mm, r.y_mm
    near = np.hypot(x[:, None] - x[sure], y[:, None] - y[sure]).min(axis=1) <= NEAR_SPACINGS * spacing_mm
    likely = (off > np.maximum(tolerance_mm, LIKELY * error)) & (off + own > 2.0 * tolerance_mm)
    return np.asarray(sure | (r.read & near & likely))


def _on_flat(
    r: Readings,
    noise_mm: float,
    confirmed: Bools,
    taken: tuple[Floats, Floats, Bools],
    state: NDArray[np.object_],
    lengths_mm: tuple[float, float],
) -> None:
    """Say of crossings on flat wood what they are: there is nothing to take, and one reading alone says little."""
    tolerance_mm, spacing_mm = lengths_mm
    at = np.flatnonzero(taken[2] & r.read)
    noise = max(noise_mm, r.bars.noise_mm)
    # Neighbours are read from one bar as a rule: how it sat they have in common, and no number of them tells.
    off, alone, bar = taken[0][at], taken[1][at], r.bar_error_mm[at]
    near = np.hypot(r.x_mm[at][:, None] - r.x_mm[at], r.y_mm[at][:, None] - r.y_mm[at])
    beside = near <= NEAR_SPACINGS * spacing_mm
    others = beside.sum(axis=1) - 1.0
    together = (beside @ off - off) / np.maximum(others, 1.0)
    away = np.abs(off) > np.maximum(tolerance_mm, STANDS_OUT * alone)
    least = np.maximum(tolerance_mm, SURE * np.hypot(noise / np.sqrt(np.maximum(others, 1.0)), bar))
    shared = (others >= FEW) & (np.abs(off) > tolerance_mm) & (np.sign(off) * together > least)
    state[at] = np.where(away | shared, QUESTIONED, DONE)
    deep = ((away & confirmed[at]) | shared) & (off < -tolerance_mm)
    state[at[deep]] = TOO_DEEP


def _repeated(
    again: Repeats,
    unsound: Bools,
    away_mm: Floats,
    state: NDArray[np.object_],
    why: NDArray[np.object_],
) -> None:
    """Say of readings that others of the same crossing contradict which of them is misread, if that is known.

    It is where all others lie much nearer to the fair surface; `away_mm` (n,) is how far off it each lies.
    """
    state[again.outvoted] = MISREAD
    open_still = unsound | again.doubted
    for one in np.unique(again.crossing[open_still & ~again.confirmed]):
        group = np.flatnonzero((again.crossing == one) & np.isfinite(away_mm))
        wrong = unsound[group]
        if again.confirmed[group].any() or len(group) < 2:
            continue
        far = away_mm[group]
        if wrong.sum() == len(group) - 1 and far[~wrong].max() < NEARER * far[wrong].min():
            state[group[wrong]] = MISREAD
        else:
            state[group], why[group] = QUESTIONED, CONTRADICTED
