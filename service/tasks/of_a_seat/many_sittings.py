"""Many bodies on one seat: a row of figures each; one that is refused keeps no other from its row."""

from __future__ import annotations

from typing import Any

from seatmesh.design.report.seat_report import sitting_report
from seatmesh.design.steps import step
from seatmesh.errors import SeatmeshError
from seatmesh.seating.sit import sit

from ...keeping.kept import KeptSeat
from ..tables import Columns, table_bytes
from .kept import bodies_of, kept_seat

FIGURES = (
    "load_n", "contact_area_cm2", "area_above_0_67_kpa_cm2", "mean_kpa", "peak_kpa", "peak_gradient_kpa_per_cm",
    "hottest_8_percent_share", "tissue_left_ratio", "knee_clearance_mm", "tailbone_clearance_mm", "residual",
)  # fmt: skip
COLUMNS: Columns = {
    "number": int,
    "body": str,
    "sex": str,
    "stature_mm": float,
    "mass_kg": float,
    "posture": str,
    "converged": bool,
    **dict.fromkeys(FIGURES, float),
    "verdict": str,
    "refusal": str,
}


def sittings_table(kept: KeptSeat, asked: dict[str, Any], form: str) -> bytes:
    """Return a table of bodies on a seat, a row each, numbered from 1 in their order."""
    seat, rows, given = kept_seat(kept), [], asked["bodies"]
    for number, one in enumerate(given, start=1):
        step(f"body {number} of {len(given)}", number - 1, len(given))
        row: dict[str, Any] = {"number": number, "posture": asked["posture"]}
        try:
            (body,) = bodies_of([one])
            row |= {
                "body": body.name,
                "sex": body.sex,
                "stature_mm": body.value("stature_mm"),
                "mass_kg": body.value("mass_kg"),
            }
            told = sitting_report(sit(body, seat, load_n=asked["load_n"], posture=asked["posture"]))
            row |= {name: told.get(name) for name in COLUMNS if name in told}
        except SeatmeshError as refused:
            row["refusal"] = str(refused)
        rows.append(row)
    return table_bytes(COLUMNS, rows, form)
