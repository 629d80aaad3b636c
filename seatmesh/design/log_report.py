"""What adjustments do, in words: each by its number, place and reason, with every sitter's peak before and after."""

from __future__ import annotations

from typing import Any

from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_length


def log_lines(rows: list[dict[str, Any]], units: str) -> list[str]:
    """Return two or more lines for each row of `seatmesh.design.fitting_log.effects`."""
    return [line for row in rows for line in _lines(row, units)]


def _lines(row: dict[str, Any], units: str) -> list[str]:
    date = f"{row['date']}  " if row["date"] else ""
    kept = ", locked" if row["locked"] else ""
    why = f": {row['why']}" if row["why"] else ""
    place = (
        f"{row['action']} {format_length(row['amount_mm'], units)} over a radius of "
        f"{format_length(row['radius_mm'], units)}, {_side(row, units)}, "
        f"{format_length(row['y_mm'], units)} from the rear edge"
    )
    head = [f"{row['number']:3}  {date}{place}", f"     for {row['tag']}{kept}{why}"]
    return head + [f"     {_peak(peak, row['tag'])}" for peak in row["peaks"]]


def _side(row: dict[str, Any], units: str) -> str:
    if row["side"] == "middle" or row["x_mm"] == 0.0:
        return "on the centre line"
    words = {"both": "to either side", "left": "to the sitter's left", "right": "to the sitter's right"}
    return f"{format_length(abs(row['x_mm']), units)} {words[row['side']]}"


def _peak(peak: dict[str, Any], tag: str) -> str:
    before, after = peak["before_kpa"], peak["after_kpa"]
    share = after / before - 1.0
    # Rounded first, so that a change of nothing has no sign.
    percent = round(100.0 * share)
    felt = "" if abs(share) >= FELT_SHARE else ", less than can be felt"
    cost = "; this look costs comfort" if tag == "look" and share >= FELT_SHARE else ""
    return f"{peak['body']}: peak {before:.1f} to {after:.1f} kPa ({percent:+d}%{felt}){cost}"
