"""Every key of an order file with what it may be, its default and what it means, from the tables that read orders."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from seatmesh.chair import Chair
from seatmesh.design.log.fitting_log import ACTIONS, MOST_AMOUNT_MM, SIDES, TAGS
from seatmesh.design.log.fitting_log import KEYS as LOG_KEYS
from seatmesh.design.orders.key_meanings import MEANINGS
from seatmesh.design.orders.order import TOP_KEYS
from seatmesh.design.orders.order_bench import TOOL_KINDS
from seatmesh.design.orders.order_keys import BLANK, CHAIR, JOINT, TOOL, WISHES, Key
from seatmesh.design.orders.order_sitters import SITTER_KEYS
from seatmesh.design.orders.order_wood import JOINT_WORDS, OTHER_BLANK_KEYS, OUTLINE_UNITS, WORDS
from seatmesh.fit.wishes import Wishes
from seatmesh.marks.mark import KINDS, MARK_ERROR_MM, MARK_KEYS
from seatmesh.units import ALLOWED_UNITS
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint


@dataclass(frozen=True)
class KeyRow:
    """One key: the table it is in ("" for the top), what it may be, and its default ("" where it has none)."""

    table: str
    key: str
    allowed: str
    default: str
    meaning: str


NUMBERS: Mapping[str, Mapping[str, Key]] = {
    "[blank]": BLANK,
    "[chair]": CHAIR,
    "[wishes]": WISHES,
    "[[joint]]": JOINT,
    "[[tool]]": TOOL,
}
CHOICES: Mapping[str, Mapping[str, Sequence[str]]] = {
    "": {"units": ALLOWED_UNITS},
    "[blank]": {**WORDS, "outline_units": OUTLINE_UNITS},
    "[[joint]]": JOINT_WORDS,
    "[[mark]]": {"name": tuple(KINDS), "side": ("left", "right", "middle")},
    "[[adjustment]]": {"action": tuple(ACTIONS), "side": SIDES, "tag": TAGS, "locked": ("true", "false")},
    "[[tool]]": {"kind": TOOL_KINDS},
}
ACCEPTED: Mapping[str, Sequence[str]] = {
    "": TOP_KEYS,
    "[blank]": (*BLANK, *WORDS, *OTHER_BLANK_KEYS),
    "[chair]": tuple(CHAIR),
    "[wishes]": tuple(WISHES),
    "[[joint]]": (*JOINT, *JOINT_WORDS, "points_mm"),
    "[[sitter]]": SITTER_KEYS,
    "[[mark]]": (*MARK_KEYS, "sitter"),
    "[[adjustment]]": LOG_KEYS,
    "[[tool]]": ("name", "kind", *TOOL),
}
"""What the readers of orders accept, table by table."""
DEFAULTS: Mapping[str, Mapping[str, Any]] = {
    "": {"units": "mm"},
    "[blank]": {field.name: field.default for field in dataclasses.fields(Blank)},
    "[chair]": {field.name: field.default for field in dataclasses.fields(Chair)},
    "[wishes]": {field.name: field.default for field in dataclasses.fields(Wishes)},
    "[[joint]]": {"around_mm": Joint("bar", length_mm=1.0, width_mm=1.0).around_mm, "side": "both"},
    "[[sitter]]": {"weight": 1.0},
    "[[mark]]": {"standard_error_mm": MARK_ERROR_MM},
    "[[adjustment]]": {"side": "both", "tag": "comfort", "locked": False},
    "[[tool]]": {"kind": "sole"},
}
OTHER: Mapping[tuple[str, str], str] = {("[[adjustment]]", "amount_mm"): f"above 0 to {MOST_AMOUNT_MM:g} mm"}


def key_rows() -> tuple[KeyRow, ...]:
    """Return every key of an order file, table by table."""
    return tuple(
        KeyRow(table, key, _allowed(table, key), _default(table, key), meaning)
        for table, meanings in MEANINGS.items()
        for key, meaning in meanings.items()
    )


def _allowed(table: str, key: str) -> str:
    number = NUMBERS.get(table, {}).get(key)
    if number is not None:
        unit = key.rpartition("_")[2]
        return f"{number.lowest:g} to {number.highest:g} {unit if unit in ('mm', 'deg') else ''}".rstrip()
    words = CHOICES.get(table, {}).get(key)
    if words is not None:
        return ", ".join(words)
    return OTHER.get((table, key), "mm" if key.endswith("_mm") else "")


def _default(table: str, key: str) -> str:
    value = DEFAULTS.get(table, {}).get(key)
    if value is None or value == () or value is dataclasses.MISSING:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}" if isinstance(value, int | float) else str(value)
