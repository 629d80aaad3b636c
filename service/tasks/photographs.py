"""Photographs of a marked blank: only pixels of points come here, never a picture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from seatmesh.design.orders.keys.blank import BLANK
from seatmesh.design.orders.order_wood import blank_of
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.marks.photograph_file import THROUGH_LENS, read_through_lens
from seatmesh.marks.suggested_points import suggested_points
from seatmesh.wood.blank import Blank

from .plain import json_bytes

WHERE = "photograph"


def marks(table: Mapping[str, Any]) -> bytes:
    """Return where a photograph shows marks, and how surely."""
    refuse_unknown(table, ("blank", *THROUGH_LENS), WHERE)
    rest = {key: value for key, value in table.items() if key != "blank"}
    return json_bytes(read_through_lens(rest, WHERE, _blank(table)).facts())


def points(table: Mapping[str, Any]) -> bytes:
    """Return points of a blank to point at in a photograph, and its outline."""
    refuse_unknown(table, ("blank",), WHERE)
    blank = _blank(table)
    named = [
        {"name": name, "x_mm": round(x, 2), "y_mm": round(y, 2)} for name, (x, y) in suggested_points(blank)
    ]
    outline = [[round(x, 2), round(y, 2)] for x, y in blank.polygon_mm().tolist()]
    return json_bytes({"points": named, "outline_mm": outline})


def _blank(table: Mapping[str, Any]) -> Blank:
    """Return the blank of a table with the keys of an order's; no drawing is read from a file."""
    return blank_of(BLANK.read(table, WHERE), (), None)
