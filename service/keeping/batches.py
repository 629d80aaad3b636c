"""Batches: which seats came of many orders that were given together, and why some did not."""

from __future__ import annotations

import json
import time
from typing import Any

from .index import Index

MOST_KEPT = 500


def put_batch(index: Index, batch: str, rows: list[dict[str, Any]]) -> None:
    """Write down what came of a batch; the oldest make room."""
    with index.change() as base:
        base.execute(
            "INSERT OR REPLACE INTO batches VALUES (?, ?, ?)", (batch, json.dumps(rows), time.time())
        )
        base.execute(
            "DELETE FROM batches WHERE id NOT IN (SELECT id FROM batches ORDER BY made DESC LIMIT ?)",
            (MOST_KEPT,),
        )


def batch_rows(index: Index, batch: str) -> list[dict[str, Any]] | None:
    """Return what came of a batch, a row for each order in their order.

    It has `seat`, `title`, `refusal`, `files` (those that were made), `made` (whether the seat was), and `again`
    (whether what was refused may be granted another time).
    """
    row = index.row("SELECT rows FROM batches WHERE id = ?", (batch,))
    rows: list[dict[str, Any]] | None = None if row is None else json.loads(row["rows"])
    return rows


def was_made(row: dict[str, Any]) -> bool:
    """Tell whether a seat came of an order, be it kept still or not; earlier releases wrote no more than a refusal."""
    return bool(row.get("made", row["refusal"] is None))
