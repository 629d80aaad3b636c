"""Every key of an order file with what it may be, its default and what it means, from the records that read orders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from seatmesh.design.orders.given_order import TABLES
from seatmesh.design.orders.keys.top import TOP
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.table import KeyRows, KeyTable


@dataclass(frozen=True)
class KeyRow:
    """One key in words.

    Attributes
    ----------
    table
        As it is written: "[blank]", "[[joint]]", "" for the top.
    allowed, default
        What it may be, and what stands where it is left out; "" where its meaning says it, or nothing does.
    needed
        "needed", "needed for bar", or "".
    record
        The table and the key itself; None for a table, which stands among the keys at the top.
    """

    table: str
    key: str
    allowed: str
    default: str
    meaning: str
    needed: str = ""
    record: tuple[KeyTable[Any], Key] | None = None


def tables() -> Iterator[tuple[str, KeyTable[Any]]]:
    """Give every table of an order with how it is written: "" for the top, "[blank]", "[[joint]]"."""
    yield "", TOP
    for one in TABLES:
        yield one.heading, one.table if isinstance(one, KeyRows) else one


def key_rows() -> tuple[KeyRow, ...]:
    """Return every key of an order file, table by table; the tables stand among the keys at the top."""
    rows = []
    for heading, table in tables():
        rows += [
            KeyRow(
                heading,
                key.name,
                key.kind.allowed(),
                _told(table.default(key)),
                key.meaning,
                _needed(key),
                (table, key),
            )
            for key in table.keys
        ]
        if not heading:
            rows += [KeyRow("", inner.name, "", "", inner.meaning) for written, inner in tables() if written]
    return tuple(rows)


def key_facts(table: KeyTable[Any], key: Key) -> dict[str, Any]:
    """Return all that is known of a key as plain values."""
    facts = {
        "key": key.name,
        "label": key.label,
        "meaning": key.meaning,
        "kind": key.kind.name,
        **key.kind.facts(),
        "default": table.default(key),
        "needed": bool(key.needed),
        "asked": key.asked,
    }
    if key.needed_for:
        facts["needed_for"] = list(key.needed_for)
    if key.names_file:
        facts["names_file"] = True
    if key.slider is not None:
        facts["slider"] = {
            "lowest": key.slider.lowest,
            "highest": key.slider.highest,
            "ends": list(key.slider.ends),
        }
    return facts


def _needed(key: Key) -> str:
    if key.needed_for:
        return f"needed for {', '.join(key.needed_for)}"
    return "needed" if key.needed else ""


def _told(default: object) -> str:
    if default is None:
        return ""
    if isinstance(default, bool):
        return str(default).lower()
    return f"{default:g}" if isinstance(default, int | float) else str(default)
