"""What became of a deep cut, as plain values and in words."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill
from typing import Any

from seatmesh.cautions import GAUGING
from seatmesh.gauge.bar.gauge_sheet import WIDTH
from seatmesh.gauge.save.save_cut import Saved
from seatmesh.place_words import roughly
from seatmesh.units import format_length, format_volume

NOTHING_MM = 0.005
"""A new seat that is nowhere deeper than drawn by more than this is the seat as drawn."""


def saved_report(saved: Saved, units: str, effects: Sequence[dict[str, Any]] = ()) -> dict[str, Any]:
    """Return what `gauge save` reports, as values that JSON knows; `effects` are `pressure_effect`'s, one a body."""
    found = saved.seat is not None
    words = saved.verdict
    if found and saved.most_mm < NOTHING_MM:
        words = "Nothing is to be saved: the seat as drawn lies at or below the wood wherever it was read."
    elif found:
        place = roughly(*saved.most_at_mm, units)
        words = (
            f"Take {format_volume(saved.further_cm3, units)} beyond the drawn seat, "
            f"{format_length(saved.most_mm, units)} where most "
            f"({place}); {format_length(saved.floor_left_mm, units)} of wood are left at the thinnest."
        )
    return {
        "saved": found,
        "verdict": saved.verdict,
        "further_cm3": round(saved.further_cm3, 2),
        "deeper_at_most_mm": round(saved.most_mm, 3) if found else None,
        "deepest_change_mm": [round(v, 1) for v in saved.most_at_mm],
        "floor_left_mm": round(saved.floor_left_mm, 2),
        "fair": saved.fair,
        "curvature_per_mm": saved.curvature_per_mm if found else None,
        "pressure": list(effects),
        "notes": list(saved.notes),
        "words": words,
    }


def saved_text(report: dict[str, Any]) -> str:
    """Return a report in words."""
    lines = [report["words"], *(one["words"] for one in report["pressure"])]
    if report.get("file"):
        lines.append(f"The new seat is in {report['file']}: make new sheets from it before cutting on.")
    lines.append(
        "What lies between crossings was not read: a cut that is deepest there may lie below the new seat. Feel it, or "
        "state it by --gouge."
    )
    return "\n".join(lines) + f"\n\n{fill(GAUGING, WIDTH)}"
