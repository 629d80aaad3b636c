"""What adjustments do, in words: each by its number, place and reason, with every sitter's peak before and after."""

from __future__ import annotations

from typing import Any

from seatmesh.place_words import place
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_length


def log_lines(rows: list[dict[str, Any]], units: str) -> list[str]:
    """Return two or more lines for each row of `seatmesh.design.log.fitting_log.effects`."""
    return [line for row in rows for line in _lines(row, units)]


def action_words(row: dict[str, Any], units: str) -> str:
    """Return what is carved, over what radius, and where: the words of an adjustment, and of advice to make it."""
    return (
        f"{row['action']} {format_length(row['amount_mm'], units)} over a radius of "
        f"{format_length(row['radius_mm'], units)}, "
        f"{place(row['x_mm'], row['y_mm'], units, 'both' if row['side'] == 'both' else 'one')}"
    )


def peak_words(peak: dict[str, Any], tag: str = "comfort") -> str:
    """Return what an adjustment does to a sitter: to the peak on the whole seat, and inside its circle."""
    before, after = peak["before_kpa"], peak["after_kpa"]
    share = after / before - 1.0
    # Rounded first, so that a change of nothing has no sign.
    percent = round(100.0 * share)
    felt = "" if abs(share) >= FELT_SHARE else ", less than can be felt"
    cost = "; this look costs comfort" if tag == "look" and share >= FELT_SHARE else ""
    return (
        f"{peak['body']}: peak {before:.1f} to {after:.1f} kPa ({percent:+d}%{felt}); inside the circle "
        f"{peak['here_before_kpa']:.1f} to {peak['here_after_kpa']:.1f}{cost}"
    )


def _lines(row: dict[str, Any], units: str) -> list[str]:
    date = f"{row['date']}  " if row["date"] else ""
    kept = ", locked" if row["locked"] else ""
    why = f": {row['why']}" if row["why"] else ""
    head = [f"{row['number']:3}  {date}{action_words(row, units)}", f"     for {row['tag']}{kept}{why}"]
    return head + [f"     {peak_words(peak, row['tag'])}" for peak in row["peaks"]]
