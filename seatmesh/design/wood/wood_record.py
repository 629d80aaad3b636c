"""The record of a seat for a second chair: its order whole, with boards, figures and gauge readings."""

from __future__ import annotations

from math import isnan
from pathlib import Path
from typing import Any

import tomli_w

from seatmesh.design.orders.order import Order
from seatmesh.files.toml_file import read_toml
from seatmesh.gauge.readings.readings import readings_on
from seatmesh.gauge.readings.several_files import read_several
from seatmesh.surface import Seat
from seatmesh.wood.outline.from_points import BETWEEN, few_enough

HEAD = """# The record of a seat: its order, its boards, and under [built] its figures and the depths as gauged.
# It is an order itself. Copy it, change sitter or wishes, and the next seat is held against this one:
#   seatmesh shape COPY.toml
"""
DIGITS = 2


def order_table(order: Order, path: str | Path) -> dict[str, Any]:
    """Return the order of a file as a table that needs no other file: the measures of its sitters are written out.

    Bodies that come with the tool keep their names. The outline of a drawing is written out as its points, so that the
    record may be opened from any folder and keeps the seat's outline when the drawing is changed.
    """
    table = read_toml(path, "order file")
    if "outline_file" in table.get("blank", {}):
        table["blank"] = _drawing_written_out(table["blank"], order)
    table.setdefault("title", order.title)
    folder = Path(path).parent
    for one in table.get("sitter", []):
        body = one.get("body")
        if isinstance(body, str) and (folder / body).is_file():
            one["body"] = read_toml(folder / body, "body file")
            one["body"].setdefault("name", Path(body).stem)
    table.pop("built", None)
    return table


def _drawing_written_out(blank: dict[str, Any], order: Order) -> dict[str, Any]:
    kept = {key: value for key, value in blank.items() if key not in ("outline_file", "outline_units")}
    half = few_enough(order.blank.own_outline_mm)
    return {**kept, "outline_points_mm": [list(one) for one in half], "outline_between": BETWEEN[1]}


def as_built(seat: Seat, files: list[str]) -> list[list[float]]:
    """Return depths gauged on a seat, [x, y, depth] each, from files of readings; raises as `readings_on`."""
    if not files:
        return []
    there = readings_on(seat, read_several(files), files[0])
    return [
        [round(float(x), DIGITS), round(float(y), DIGITS), round(float(depth), DIGITS)]
        for x, y, depth in zip(there.x_mm, there.y_mm, there.depth_mm, strict=True)
        if not isnan(depth)  # where nothing was read
    ]


def record_text(table: dict[str, Any], figures: dict[str, Any], built: dict[str, Any]) -> str:
    """Return the record as TOML; `built` has `deepest_mm` and `readings_mm`."""
    facts = {
        "title": figures["title"],
        "deepest_mm": round(float(built["deepest_mm"]), DIGITS),
        "mass_kg": round(float(figures["mass_kg"]), 3),
        "least_factor": figures["floor"]["least_factor"],
        "readings_mm": built["readings_mm"],
    }
    kept = {name: value for name, value in facts.items() if value is not None}
    return HEAD + tomli_w.dumps(table | {"built": kept})
