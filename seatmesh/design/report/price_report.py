"""The price of form in figures and in words: the ordered seat against the other form in the same wood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.design.price_of_form import SHIFTED_MM, FormFigures
from seatmesh.design.shape import Design, in_other_form
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_area, format_length


def price_report(design: Design) -> dict[str, Any] | None:
    """Return both forms' figures for each sitter; None for an uncarved seat."""
    price = design.price
    if price is None:
        return None
    ordered, other = design.order.wishes.form, in_other_form(design.order).wishes.form
    each = zip(design.guests, price.ordered, price.other, strict=True)
    return {
        "form": ordered,
        "other_form": other,
        "shifted_mm": SHIFTED_MM,
        "sitters": [
            {"name": guest.sitter.body.name, **_figures("", here), **_figures("other_", there)}
            for guest, here, there in each
        ],
    }


def _figures(which: str, of: FormFigures) -> dict[str, float]:
    return {
        f"{which}peak_kpa": of.peak_kpa,
        f"{which}contact_area_cm2": of.contact_area_cm2,
        f"{which}shifted_percent": 100.0 * (of.shifted - 1.0),
    }


def price_lines(price: Mapping[str, Any], units: str) -> list[str]:
    """Return the price of form for the maker, a line or two for each sitter."""
    shift = format_length(price["shifted_mm"], units)
    lines = [f"Price of form: this seat ({price['form']}) against the other form in the same wood"]
    for one in price["sitters"]:
        here, there = one["peak_kpa"], one["other_peak_kpa"]
        change = here / there - 1.0
        felt = "less than can be felt" if abs(change) < FELT_SHARE else f"{change:+.0%}"
        lines.append(
            f"  {one['name']}: {here:.0f} kPa here, {there:.0f} on the {price['other_form']} one ({felt}); contact "
            f"{format_area(one['contact_area_cm2'], units)} and "
            f"{format_area(one['other_contact_area_cm2'], units)};"
        )
        if price["other_form"] == "least pressure" and change < 0.0:
            lines.append("    (the search for the least pressure ended no lower: this seat presses less)")
        lines.append(
            f"    shifted by {shift}, the peak rises by {one['shifted_percent']:.0f} % here and by "
            f"{one['other_shifted_percent']:.0f} % there"
        )
    lines.append(f'  For the other form write form = "{price["other_form"]}" under [wishes].')
    return lines
