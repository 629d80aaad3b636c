"""What quantities that nobody measured do to the peak, as plain values and in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from seatmesh.body.survey.underside import USUAL_PERCENT
from seatmesh.design.report.plain import rounded
from seatmesh.design.shape import Design
from seatmesh.seating.sureness.unmeasured import Unmeasured, unmeasured_of
from seatmesh.units import format_length

WORTH_A_LINE = 0.05
"""Share of the peak that a quantity must move to be named in words; half of what can be felt (S13)."""
MOST_LINES = 4
HARDLY_KPA = 0.5
UNMEASURED = "What was not measured, and the peak"


def unmeasured_report(found: Sequence[Unmeasured]) -> list[dict[str, Any]]:
    """Return all quantities under the keys that the command `sit` prints, what moves the peak most first."""
    return [
        {
            "quantity": one.name,
            "title": one.title,
            "value": one.value,
            "standard_error": one.standard_error,
            "step": one.step,
            "more_raises_peak_kpa": one.more_kpa,
            "less_raises_peak_kpa": one.less_kpa,
        }
        for one in found
    ]


def with_unmeasured(figures: dict[str, Any], design: Design) -> dict[str, Any]:
    """Return the figures of a design's report with what was not measured of every sitter, on the finished seat."""
    sitters = [
        {**one, "not_measured": rounded(unmeasured_report(unmeasured_of(guest.sitter.body, design.seat)))}
        for one, guest in zip(figures["sitters"], design.guests, strict=True)
    ]
    return {**figures, "sitters": sitters}


def unmeasured_sentences(told: Sequence[dict[str, Any]], peak_kpa: float, units: str) -> list[str]:
    """Return a sentence on each quantity that moves a peak noticeably; one where none does."""
    noticed = max(WORTH_A_LINE * peak_kpa, HARDLY_KPA)
    lines = [_sentence(one, units) for one in told if _moves(one) >= noticed][:MOST_LINES]
    if lines:
        return lines
    return (
        [f"Nothing that was not measured moves the peak by {_share(noticed, peak_kpa)} or more."]
        if told
        else []
    )


def _share(noticed_kpa: float, peak_kpa: float) -> str:
    return (
        f"{noticed_kpa:g} kPa"
        if noticed_kpa > WORTH_A_LINE * peak_kpa
        else f"{WORTH_A_LINE:.0%}".replace("%", " %")
    )


def _moves(one: dict[str, Any]) -> float:
    ways = one["more_raises_peak_kpa"], one["less_raises_peak_kpa"]
    return max((abs(way) if way is not None else float("inf")) for way in ways)


def _sentence(one: dict[str, Any], units: str) -> str:
    unit = one["quantity"].rpartition("_")[2]

    def amount(value: float) -> str:
        return format_length(value, units, decimals=0) if unit == "mm" else f"{value:.0f} %"

    taken = "usual" if unit == "percent" and one["value"] == USUAL_PERCENT else amount(one["value"])
    more = _way(one["more_raises_peak_kpa"], "the peak")
    less = _way(one["less_raises_peak_kpa"], "it")
    step = amount(one["step"])
    return (
        f"{one['title'].capitalize()}, not measured and taken as {taken}: {step} more would {more}, {step} less would "
        f"{less}."
    )


def _way(rise_kpa: float | None, peak: str) -> str:
    if rise_kpa is None:
        return "leave no balance"
    if abs(rise_kpa) < HARDLY_KPA:
        return f"hardly move {peak}"
    return f"{'raise' if rise_kpa > 0.0 else 'lower'} {peak} by {abs(rise_kpa):.0f} kPa"
