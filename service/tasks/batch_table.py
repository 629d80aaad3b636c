"""What came of a batch as one table: a row for each sitter of each order."""

from __future__ import annotations

import json
from typing import Any

from .tables import Columns, table_bytes

SITTER = (
    "peak_flat_kpa",
    "peak_closed_form_kpa",
    "peak_best_kpa",
    "contact_area_flat_cm2",
    "contact_area_best_cm2",
)
HOLLOW = ("deepest_mm", "floor_left_mm")
COLUMNS: Columns = {
    "number": int,
    "title": str,
    "seat": str,
    "refusal": str,
    "sitter": str,
    **dict.fromkeys(SITTER, float),
    **dict.fromkeys(HOLLOW, float),
    "converged": bool,
}


def batch_table(rows: list[dict[str, Any]], answers: dict[str, bytes | None], form: str) -> bytes:
    """Return the table; `answers` are the figures of the seats that are kept still."""
    told: list[dict[str, Any]] = []
    for number, row in enumerate(rows, start=1):
        first = {"number": number, "title": row["title"], "seat": row["seat"], "refusal": row["refusal"]}
        data = answers.get(row["seat"])
        if data is None:
            gone = row["refusal"] or "it made room for others; post the batch again"
            told.append({**first, "refusal": gone})
            continue
        seat = json.loads(data)
        figures = {name: seat["hollow"].get(name) for name in HOLLOW}
        ending = seat.get("ending")
        for sitter in seat["sitters"]:
            told.append(
                {
                    **first,
                    "sitter": sitter["name"],
                    **{name: sitter[name] for name in SITTER},
                    **figures,
                    "converged": None if ending is None else ending["converged"],
                }
            )
    return table_bytes(COLUMNS, told, form)
