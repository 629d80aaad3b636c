"""How the bar sat, as values and in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats
from seatmesh.gauge.bar.how_bars_sat import REACH_MM, SeatedBars
from seatmesh.place_words import line
from seatmesh.units import format_length

SURE = 3.0
"""Standard errors beyond which something is said of the bar."""
WORTH_MM, WORTH_DEG = 0.3, 0.05
"""Less is neither seen nor worth a word."""
ALIKE_MM = 0.35
SET_DOWN_MM = 0.1
"""How unlike one careful setting of a bar is to the next; common practice."""
"""Rows within this of what they have in common need no word of their own."""
TOLD_MM = 1.0
"""A height less sure than this is not told."""
MOST_ROWS = 12
FAR_OUT_MM = 3.0
ALLOWED = "The verdicts here allow for it."


@dataclass(frozen=True)
class _Part:
    """A part of how the bar sat at each placing, with its error; and what told placings have in common, with that."""

    value: Floats
    error: Floats
    common: float
    common_error: float


def bar_report(bars: SeatedBars, own: NDArray[np.bool_] | None = None) -> list[dict[str, Any]]:
    """Return how the bar sat at each placing: null where no uncut wood tells.

    `row` is the distance of the row from the rear edge (or of the column from the centre line), `height_mm` how much
    the bar sat too high (minus: too low) at its middle, `tilt_deg` is positive where it rises to the sitter's right (or
    to the front), `sag_mm` how far it hangs in the middle of what was read there; `told_by` counts readings on
    uncut wood. `own` (n,) are the readings whose settings count, None for all.
    """
    of = bars.placings.of if own is None else bars.placings.of[own]
    height, (tilt, sag) = _at_ends(bars), (bars.part(j) for j in (1, 2))
    told, stretch = bars.told_by, (_spans(bars) / (2.0 * REACH_MM)) ** 2
    out: list[dict[str, Any]] = []
    for p in np.lexsort((bars.placings.at_mm, ~bars.placings.across)):
        if p not in of:
            continue
        known = bool(height[1][p] <= TOLD_MM)
        sloped = bool(tilt[1][p] <= TOLD_MM)
        hung = bool(sag[1][p] <= 0.5 * TOLD_MM)
        sags = sag[0][p] * stretch[p], sag[1][p] * stretch[p]
        out.append(
            {
                "row": round(float(bars.placings.at_mm[p]), 2) + 0.0,
                "lie": "across" if bars.placings.across[p] else "along",
                "height_mm": _plain(height[0][p]) if known else None,
                "height_error_mm": _plain(height[1][p]),
                "tilt_deg": _degrees(tilt[0][p]) if sloped else None,
                "tilt_error_deg": _degrees(tilt[1][p]),
                "sag_mm": _plain(sags[0]) if hung else None,
                "sag_error_mm": _plain(sags[1]),
                "told_by": int(told[p]),
            }
        )
    return out


def bar_words(bars: SeatedBars, units: str) -> list[str]:
    """Return how the bar sat, in sentences; none where it sat as stated."""
    told = np.flatnonzero(bars.told_by > 0)
    if not len(told):
        return ["No reading on uncut wood: nothing tells how the bar sat."]
    parts = [_part(bars, j, told) for j in range(3)]
    across = bool(np.mean(bars.placings.across[told]) >= 0.5)
    height, tilt = _height(bars, parts[0], told, units), _tilt(parts[1], across, len(told))
    usual = (parts[0].common if height else 0.0, parts[1].common if tilt else 0.0)
    return [*height, *tilt, *_sag(bars, parts[2], units), *_rows(bars, parts, usual, told, units)]


def _part(bars: SeatedBars, which: int, told: NDArray[np.int64]) -> _Part:
    value, error = _at_ends(bars) if which == 0 else bars.part(which)
    at = told[error[told] <= TOLD_MM]
    if not len(at):
        return _Part(value, error, 0.0, np.inf)
    weight = np.zeros(len(value))
    weight[at] = 1.0 / error[at] ** 2
    weight /= weight.sum()
    own = bars.covariance[which::3, which::3]
    common = float(np.median(value[at])) if which < 2 else float(weight @ value)
    return _Part(value, error, common, float(np.sqrt(weight @ own @ weight)))


def _at_ends(bars: SeatedBars) -> tuple[Floats, Floats]:
    """Return the height of the line between the ends of what was read at each placing, and its standard error."""
    u = _spans(bars) / (2.0 * REACH_MM)
    design = np.zeros((bars.placings.count, len(bars.mean)))
    at = np.arange(bars.placings.count)
    design[at, 3 * at], design[at, 3 * at + 2] = 1.0, u**2 - 1.0
    square = np.einsum("pi,ij,pj->p", design, bars.covariance, design, optimize=True)
    return design @ bars.mean, np.sqrt(np.maximum(square, 0.0))


def _spans(bars: SeatedBars) -> Floats:
    """Return how much of each bar was read, about its middle, shape (p,): mm."""
    along, of = np.abs(bars.placings.along_mm), bars.placings.of
    return np.array([2.0 * along[of == p].max(initial=0.0) for p in range(bars.placings.count)])


def _height(bars: SeatedBars, part: _Part, told: NDArray[np.int64], units: str) -> list[str]:
    """Say what all rows have in common, where they do."""
    alike = np.abs(part.value[told] - part.common) <= np.maximum(ALIKE_MM, 2.0 * part.error[told])
    if abs(part.common) < max(WORTH_MM, SURE * part.common_error) or np.mean(alike) < 0.75 or len(told) < 3:
        return []
    # Two kinds of settings have a middle at which none of them sat.
    unlike = (part.value[told] - part.common) / np.hypot(part.error[told], SET_DOWN_MM)
    if float(np.median(np.abs(unlike))) > 1.0:
        return []
    amount = format_length(abs(part.common), units, decimals=1, step=64)
    error = format_length(max(part.common_error, 0.05), units, decimals=1, step=64)
    if part.common < 0.0:
        sat, typed = "low", "smaller"
    else:
        sat, typed = "high", "greater"
    turned = (
        f" (a rod offset of {format_length(0.5 * abs(part.common), units)} with the wrong sign does that)"
    )
    hint = turned if abs(part.common) >= FAR_OUT_MM else ""
    every = "Every" if np.all(alike) else "Nearly every"
    return [
        f"{every} {_line_word(bars)}: the bar sat {amount} {sat} (give or take {error}), by uncut wood. Bar height "
        f"plus rod offset is {amount} {typed} than stated{hint}: correct it before the next sheet. {ALLOWED}"
    ]


def _tilt(part: _Part, across: bool, count: int) -> list[str]:
    degrees, error = (
        float(np.degrees(np.arctan(one / REACH_MM))) for one in (part.common, part.common_error)
    )
    if abs(degrees) < max(WORTH_DEG, SURE * error) or count < 3:
        return []
    low = (
        ("sitter's left" if across else "rear")
        if degrees > 0.0
        else ("sitter's right" if across else "front")
    )
    return [
        f"The bar sloped by {abs(degrees):.2f} degrees, low on the {low}: are its feet alike, or does one rest stand "
        f"lower? {ALLOWED}"
    ]


def _sag(bars: SeatedBars, part: _Part, units: str) -> list[str]:
    span = float(_spans(bars).max())
    sag, error = (one * (span / (2.0 * REACH_MM)) ** 2 for one in (part.common, part.common_error))
    if abs(sag) < max(WORTH_MM, SURE * error):
        return []
    amount = format_length(abs(sag), units, decimals=1, step=64)
    way = "hangs through" if part.common > 0.0 else "bows up"
    return [
        f"The bar {way} by {amount} in the middle of {format_length(span, units, decimals=0, step=16)}, by uncut wood "
        f"(or the blank has cupped): use a stiffer bar. {ALLOWED}"
    ]


def _rows(
    bars: SeatedBars,
    parts: list[_Part],
    usual: tuple[float, float],
    told: NDArray[np.int64],
    units: str,
) -> list[str]:
    """Say which rows sat otherwise than what is said of all, or than stated."""
    height, tilt, _ = parts
    own = np.abs(height.value - usual[0])
    apart = told[own[told] > np.maximum(ALIKE_MM, SURE * height.error[told])]
    said = [_row(bars, int(p), height, units) for p in apart[np.argsort(bars.placings.at_mm[apart])]]
    slope = np.abs(tilt.value - usual[1])
    sloped = [p for p in told if slope[p] > max(ALIKE_MM, SURE * tilt.error[p])]
    for p in sorted(sloped, key=lambda p: float(bars.placings.at_mm[p])):
        degrees = float(np.degrees(np.arctan(tilt.value[p] / REACH_MM)))
        across = bool(bars.placings.across[p])
        low = (
            ("sitter's left" if across else "rear")
            if degrees > 0
            else ("sitter's right" if across else "front")
        )
        said.append(
            f"{_where(bars, int(p), units)}: the bar sloped by {abs(degrees):.2f} degrees, low on the {low}."
        )
    if len(said) > MOST_ROWS:
        said = [*said[:MOST_ROWS], f"And {len(said) - MOST_ROWS} more, in the table of the bar (--json)."]
    return said


def _row(bars: SeatedBars, p: int, part: _Part, units: str) -> str:
    amount = format_length(abs(float(part.value[p])), units, decimals=1, step=64)
    error = format_length(float(part.error[p]), units, decimals=1, step=64)
    sat = "low" if part.value[p] < 0.0 else "high"
    return f"{_where(bars, p, units)}: the bar sat {amount} {sat} (give or take {error})."


def _where(bars: SeatedBars, p: int, units: str) -> str:
    name = line(float(bars.placings.at_mm[p]), bool(bars.placings.across[p]), units)
    return name[0].upper() + name[1:]


def _line_word(bars: SeatedBars) -> str:
    return "row" if np.mean(bars.placings.across) >= 0.5 else "column"


def _plain(value: float) -> float:
    return round(float(value), 3) + 0.0


def _degrees(value: float) -> float:
    return round(float(np.degrees(np.arctan(value / REACH_MM))), 3) + 0.0
