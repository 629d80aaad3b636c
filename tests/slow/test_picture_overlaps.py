"""No words over other words or over lines, on any picture of 40 random orders, in mm and in inches."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
import random_orders
from picture_overlaps import looked_at

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.report.seat_report import report
from seatmesh.design.shape import design
from seatmesh.picture.contact.contact_map import contact_map
from seatmesh.picture.depth_curve import depth_curve
from seatmesh.picture.light_lines import light_lines
from seatmesh.picture.plan.sitter_plan import plan
from seatmesh.picture.section.sections import sections
from seatmesh.picture.sharing_chart import Sharer, sharing_chart
from seatmesh.seating.place import places

LEG = {
    "kind": "leg mortise",
    "x_mm": 165,
    "y_mm": 80,
    "diameter_mm": 28,
    "angle_deg": 12,
    "depth_mm": 14,
    "keep_mm": 4,
}


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_no_words_over_words_or_lines(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    table = random_orders.random_order(seed)
    table["blank"]["boards"] = 1 + seed % 4
    if seed % 3 == 0:
        table["joint"] = [LEG]
    units = ("mm", "in")[seed % 2]
    order = order_from_table(table, f"order {seed}", f"seat {seed}")
    made = design(order)
    seat = replace(made.seat, units=units)
    figures = report(made)
    said: dict[str, list[str]] = {}

    def draw(name: str, picture, *given, **how) -> None:
        with monkeypatch.context() as patch, looked_at(patch) as found:
            picture(*given, io.BytesIO(), **how)
        if found:
            said[name] = found

    draw("contact", contact_map, [one.best for one in made.results], units=units)
    draw("sections", sections, seat, made.results[0].best, units=units)
    draw("light lines", light_lines, seat, units=units)
    for guest, ordered in zip(made.guests, order.sitters, strict=True):
        body = guest.sitter.body
        draw(
            f"plan {body.name}",
            plan,
            seat,
            places(body, seat.blank, ordered.along_error_mm),
            units=units,
            sitter=body.name,
        )
    rows = {one["name"]: one["peak_by_depth"] for one in figures["sitters"]}
    draw("depth curve", depth_curve, rows, units=units, title=seat.title)
    if len(figures["sitters"]) > 1:
        sharers = [
            Sharer(one["name"], 1.0, one["peak_flat_kpa"], one["peak_own_seat_kpa"], one["peak_best_kpa"])
            for one in figures["sitters"]
        ]
        draw("sharing", sharing_chart, sharers, units=units, title=seat.title)
    assert said == {}
