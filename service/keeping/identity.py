"""The id of a seat: the hash of its order in canonical form, and of the program's version."""

from __future__ import annotations

import hashlib
import json
import math
import re
from typing import Any

import seatmesh
from seatmesh.errors import ValueRefusedError
from seatmesh.units import shown

ID_PATTERN = "^[0-9a-f]{32}$"
MOST_EXACT = 2**53
"""Whole numbers up to here are the same as float and as integer."""


def canonical(value: Any, where: str = "order") -> Any:
    """Return plain values so that equal ones are equal as JSON: 18 and 18.0 are both 18, -0.0 is 0.

    Raises
    ------
    ValueRefusedError
        A number that is not finite, or text with half a surrogate pair.
    """
    if isinstance(value, dict):
        return {canonical(key, where): canonical(one, f"{where} {key}") for key, one in value.items()}
    if isinstance(value, list):
        return [canonical(one, where) for one in value]
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueRefusedError(where, shown(value), "allowed are finite numbers", "give a finite number")
        return int(value) if value.is_integer() and abs(value) <= MOST_EXACT else value
    if isinstance(value, str) and any("\ud800" <= letter <= "\udfff" for letter in value):
        raise ValueRefusedError(
            where[:80].encode("utf-8", "replace").decode(), "text with half a surrogate pair",
            "allowed is text of whole characters", "take that character out",
        )  # fmt: skip
    return value


def canonical_bytes(value: Any) -> bytes:
    """Return plain values as JSON bytes, the same for equal values whatever the order of keys."""
    return json.dumps(canonical(value), sort_keys=True, separators=(",", ":"), allow_nan=False).encode()


def seat_id(order: Any) -> str:
    """Return the id of an order's seat."""
    return digest("seat", canonical_bytes(order))


def digest(*parts: str | bytes) -> str:
    """Return 32 hexadecimal digits for some parts in their order and the program's version."""
    total = hashlib.sha256(seatmesh.__version__.encode())
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        total.update(len(data).to_bytes(8, "big") + data)
    return total.hexdigest()[:32]


def is_id(text: str) -> bool:
    """Tell whether a text has the form of an id; nothing else is ever looked for in the store."""
    return re.fullmatch(ID_PATTERN[1:-1], text) is not None
