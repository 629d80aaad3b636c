"""What a copy says of its bars and its error, and where it refuses because nothing tells the depth."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.errors import FileRefusedError
from seatmesh.gauge.copy.copy_error import NORMAL_90, CopyError
from seatmesh.gauge.copy.hollow_fit import CopiedHollow
from seatmesh.gauge.copy.told_bars import ToldBars
from seatmesh.place_words import line, roughly
from seatmesh.units import MM_PER_INCH, format_length

MOST_UNSURE_MM = 1.5
"""A depth that is known no better than this is not known: a hollow so far off sits otherwise."""
TOLD_MM = 0.15
SIGMAS = 2.0
ODD_MM = 0.5
UNTOLD_SAG_MM = 0.4
UNTOLD_HEIGHT_MM = 0.6
UNREAD_MM = 1.2
"""Half-widths of 90 % intervals from which sag, a bar's height and the depth at a place count as not told."""
FEW_ON_DECK, UNEVEN_MM, UNEVEN_SHARE = 8, 1.0, 0.2
NAMED = 5


def refuse_untold(error: CopyError | None, fit: CopiedHollow, where: str) -> None:
    """Refuse readings that leave the depth open because too little uncut wood tells how the bar sat."""
    uncut = int(np.sum(~fit.cut & ~fit.questioned))
    half = np.inf if error is None else error.bottom_half_width_mm
    if uncut and half <= MOST_UNSURE_MM:
        return
    if error is None:
        raise FileRefusedError(
            f"{where}: no carved wood is found in the readings; is it the right file, and is the blank the right one?"
        )
    raise FileRefusedError(
        f"{where}: {uncut} of the readings are on uncut wood, and depth counts from there: it would be known to "
        f"{half:.1f} mm only; read the deck, and the rim at both ends of each row, with the bar set down as it was."
    )


def refuse_uneven_deck(fit: CopiedHollow, where: str) -> None:
    """Refuse readings that say that the deck is not flat: then it is not the blank's, or it was carved."""
    deck = np.flatnonzero(~fit.parts.ahead)
    off = np.abs(fit.parts.off_mm - fit.bars_mm())[deck]
    if len(deck) < FEW_ON_DECK or np.mean(off > UNEVEN_MM) <= UNEVEN_SHARE:
        return
    raise FileRefusedError(
        f"{where}: {int(np.sum(off > UNEVEN_MM))} of {len(deck)} readings on the deck stand more than {UNEVEN_MM:g} mm "
        "off flat, and depth counts from the deck; give the blank that was carved (its deck_mm), or read again."
    )


def bar_notes(bars: ToldBars, units: str) -> list[str]:
    """Return in words how the bar sat, and what nothing tells of it."""
    notes = []
    if abs(bars.level_mm) > max(TOLD_MM, SIGMAS * bars.level_error_mm):
        notes.append(
            f"by the uncut wood the gauge read {size(bars.level_mm, units)} too "
            f"{'much' if bars.level_mm > 0 else 'little'} throughout, give or take "
            f"{size(NORMAL_90 * bars.level_error_mm, units)}: depth counts from the uncut wood, so this is put right"
        )
    if abs(bars.sag_mm) > max(TOLD_MM, SIGMAS * bars.sag_error_mm):
        notes.append(
            f"by the uncut wood the bar {'hung' if bars.sag_mm > 0 else 'stood'} {size(bars.sag_mm, units)} "
            f"{'lower' if bars.sag_mm > 0 else 'higher'} in its middle than at its ends: this is put right"
        )
    if NORMAL_90 * bars.sag_error_mm > UNTOLD_SAG_MM:
        notes.append(
            f"too little uncut wood tells how far the bar bends: {size(NORMAL_90 * bars.sag_error_mm, units)} either "
            "way in its middle; read the deck all along the bar"
        )
    notes += _odd(bars, units)
    untold = np.flatnonzero(NORMAL_90 * bars.height_error_mm > UNTOLD_HEIGHT_MM)
    if len(untold):
        worst = size(NORMAL_90 * float(bars.height_error_mm[untold].max()), units)
        notes.append(
            f"{_named(bars, untold, units)}: uncut wood tells the height of the bar to {worst} only; read uncut wood "
            "at both ends with the bar set down as it was, or read the same crossings again with the bar set down anew"
        )
    return notes


def unread_notes(error: CopyError | None, units: str) -> list[str]:
    """Return in words where the depth is known least, if nothing was read near there."""
    if error is None or error.half_width_mm.max() <= UNREAD_MM:
        return []
    k = int(np.argmax(error.half_width_mm))
    share = float(np.mean(error.half_width_mm > UNREAD_MM))
    return [
        f"over {_percent(share)} of the hollow too little was read nearby, most of all "
        f"{roughly(float(error.x_mm[k]), float(error.y_mm[k]), units)}: the depth there is known to "
        f"{size(float(error.half_width_mm[k]), units)} only; read there too"
    ]


def error_facts(error: CopyError | None, bars: ToldBars) -> dict[str, Any]:
    """Return the intervals and the bars as values that JSON knows."""
    facts: dict[str, Any] = {
        "bar": [
            {
                "row": round(float(at), 2),
                "lie": "across" if across else "along",
                "height_mm": round(float(height), 3),
                "height_error_mm": round(float(unsure), 3),
                "tilt_deg": round(float(tilt), 3),
                "told_by": int(told),
            }
            for across, at, height, unsure, tilt, told in zip(
                bars.placings.across, bars.placings.at_mm, bars.height_mm, bars.height_error_mm, bars.tilt_deg,
                bars.told_by, strict=True,
            )
        ],
        "bar_sag_mm": round(bars.sag_mm, 3),
        "bar_sag_error_mm": round(bars.sag_error_mm, 3),
        "interval_90": None,
    }  # fmt: skip
    if error is not None:
        facts["interval_90"] = {
            "depth_half_width_mm": round(error.typical_mm, 3),
            "parts": [{"part": one.name, "half_width_mm": round(one.half_width_mm, 3)} for one in error.parts],
            "bottom_mm": [round(error.bottom_mm + sign * error.bottom_half_width_mm, 3) for sign in (-1, 1)],
            "deepest_mm": [round(value, 3) for value in error.deepest_mm],
            "places": [
                {"x_mm": x, "y_mm": y, "depth_mm": round(depth, 3), "half_width_mm": round(half, 3)}
                for x, y, depth, half in zip(
                    error.x_mm.tolist(), error.y_mm.tolist(), error.depth_mm.tolist(),
                    error.half_width_mm.tolist(), strict=True,
                )
            ],
        }  # fmt: skip
    return facts


def error_words(error: CopyError | None, units: str, symmetric: bool) -> str:
    """Return the intervals in words."""
    if error is None:
        return "Nothing is carved."
    parts = ", ".join(f"{size(one.half_width_mm, units)} in {one.name}" for one in error.parts)
    whose = "The mean depth of the two sides" if symmetric else "Its depth"
    return (
        f"{whose} at any one place is known to {size(error.typical_mm, units)} either way (90 %): {parts}. The bottom "
        f"as a whole, {format_length(error.bottom_mm, units)} deep on average, is known to "
        f"{size(error.bottom_half_width_mm, units)}. The deepest place is {format_length(error.deepest_mm[0], units)} "
        f"to {format_length(error.deepest_mm[1], units)} deep. What is narrower than the crossings are apart, a hole "
        "or a tool's mark, can lie unseen between them: feel for it by hand."
    )


def _odd(bars: ToldBars, units: str) -> list[str]:
    """Name the bars that sat otherwise than most."""
    usual = float(np.median(bars.height_mm))
    off = bars.height_mm - usual
    odd = np.flatnonzero(np.abs(off) > np.maximum(ODD_MM, SIGMAS * bars.height_error_mm))
    order = odd[np.argsort(-np.abs(off[odd]))][:NAMED]
    return [
        f"{_named(bars, np.array([k]), units)}: the bar sat {size(float(off[k]), units)} "
        f"{'high' if off[k] > 0 else 'low'} against the others; this is put right"
        for k in order
    ]


def _named(bars: ToldBars, which: np.ndarray[Any, np.dtype[np.int64]], units: str) -> str:
    names = []
    for k in which[:NAMED]:
        names.append(line(float(bars.placings.at_mm[k]), bool(bars.placings.across[k]), units))
    more = f" and {len(which) - NAMED} more" if len(which) > NAMED else ""
    return ", ".join(names) + more


def size(mm: float, units: str) -> str:
    """Return how large an error is, never as nothing."""
    if units == "in" and abs(mm) < MM_PER_INCH / 128.0:
        return 'less than 1/64"'
    return format_length(abs(mm), units, step=64, decimals=2 if abs(mm) < 0.95 and units == "mm" else 1)


def _percent(share: float) -> str:
    return f"{share:.0%}" if share >= 0.005 else "less than 1%"
