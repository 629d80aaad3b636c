"""The price of form in figures and in words: the ordered seat against the other form in the same wood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.design.price_of_form import SHIFTED_MM, FormFigures, price_of_form
from seatmesh.design.report.plain import rounded
from seatmesh.design.shape import Design
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_area, format_length

NO_SEAT = FormFigures(None, None, None)


def with_price(figures: dict[str, Any], design: Design) -> dict[str, Any]:
    """Return the figures of a design's report with the price of its form, which takes another seat to shape."""
    return {**figures, "price_of_form": rounded(price_report(design))}


def price_report(design: Design) -> dict[str, Any] | None:
    """Return both forms' figures for each sitter, None where there is no balance; None for an uncarved seat."""
    price = price_of_form(design)
    if price is None:
        return None
    there = price.other or (NO_SEAT,) * len(price.ordered)
    each = zip(design.guests, price.ordered, there, strict=True)
    return {
        "form": price.form,
        "other_form": price.other_form,
        "other_form_missing": price.why_not or None,
        "shifted_mm": SHIFTED_MM[design.order.units],
        "sitters": [
            {"name": guest.sitter.body.name, **_figures("", here), **_figures("other_", there)}
            for guest, here, there in each
        ],
    }


def _figures(which: str, of: FormFigures) -> dict[str, float | None]:
    return {
        f"{which}peak_kpa": of.peak_kpa,
        f"{which}contact_area_cm2": of.contact_area_cm2,
        f"{which}shifted_percent": None if of.shifted is None else 100.0 * (of.shifted - 1.0),
    }


def price_lines(price: Mapping[str, Any], units: str) -> list[str]:
    """Return the price of form for the maker, a few lines for each sitter."""
    lines = [f"Price of form: this seat ({price['form']}) against the other form in the same wood"]
    if price["other_form_missing"]:
        why = price["other_form_missing"]
        return [*lines, f"  No seat of the form {price['other_form']} was found: {why}"]
    for one in price["sitters"]:
        lines += [f"  {one['name']}: {_in_place(one, price, units)}", *_shifted(one, price, units)]
    lines.append(f'  For the other form write form = "{price["other_form"]}" under [wishes].')
    return lines


def _in_place(one: Mapping[str, Any], price: Mapping[str, Any], units: str) -> str:
    here, there = one["peak_kpa"], one["other_peak_kpa"]
    if here is None or there is None:
        where = "this seat" if here is None else f"the {price['other_form']} one"
        return f"finds no balance on {where}, so the two cannot be compared"
    change = here / there - 1.0
    felt = "less than can be felt" if abs(change) < FELT_SHARE else f"{change:+.0%}"
    return (
        f"{here:.0f} kPa here, {there:.0f} on the {price['other_form']} one ({felt}); contact "
        f"{format_area(one['contact_area_cm2'], units)} and {format_area(one['other_contact_area_cm2'], units)};"
    )


def _shifted(one: Mapping[str, Any], price: Mapping[str, Any], units: str) -> list[str]:
    """Return what a shift does on both seats; where the search for the least pressure ended higher, that before it."""
    here, there = one["peak_kpa"], one["other_peak_kpa"]
    if here is None or there is None:
        return []
    lines = []
    if price["other_form"] == "least pressure" and here < there:
        lines.append("    (the search for the least pressure ended no lower: this seat presses less)")
    shift = format_length(price["shifted_mm"], units)
    both = f"{_change(one['shifted_percent'])} here, {_change(one['other_shifted_percent'])} there"
    return [*lines, f"    shifted by {shift}, the peak {both}"]


def _change(percent: float | None) -> str:
    if percent is None:
        return "cannot be told, as a balance is missing,"
    if abs(percent) < 0.5:
        return "stays as it is"
    return f"{'rises' if percent > 0 else 'falls'} by {abs(percent):.0f} %"
