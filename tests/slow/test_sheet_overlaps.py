"""No words over other words or over lines, on any page of the sheets of 40 random orders; read by another library."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import random_orders
from overlaps import overlaps_on
from read_back import pages

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import design
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet, usual_spacing_mm
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.printed.gauge_pages import gauge_pdf
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes

PAPERS = ("A4", "Letter", "A3", "roll:914")
JOINTS = [
    {
        "kind": "leg mortise",
        "x_mm": 165,
        "y_mm": 80,
        "diameter_mm": 28,
        "angle_deg": 12,
        "depth_mm": 14,
        "keep_mm": 4,
    },
    {"kind": "spindle", "x_mm": 60, "y_mm": 20, "diameter_mm": 14, "angle_deg": 10, "depth_mm": 20},
]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_no_words_over_words_or_lines(seed: int) -> None:
    table = random_orders.random_order(seed)
    rng = np.random.default_rng(1000 + seed)
    table["blank"] |= {"boards": int(rng.integers(1, 5)), "gutter_depth_mm": float(rng.choice([0.0, 3.0]))}
    if table["blank"]["deck_mm"] < 20.0:
        table["blank"]["gutter_depth_mm"] = 0.0
    if rng.random() < 0.5:
        table["joint"] = JOINTS
        table["blank"]["gutter_depth_mm"] = 0.0
    units = ("mm", "in")[seed % 2]
    made = design(order_from_table(table, f"order {seed}", f"seat {seed}"))
    seat = replace(made.seat, units=units)
    bodies = tuple(guest.sitter.body for guest in made.guests)
    holes = HoleWishes() if rng.random() < 0.5 else None
    wishes = SheetWishes(paper=PAPERS[seed % 4], holes=holes)
    sheets = sheets_of(seat, bodies, wishes, ("pdf",))
    for page, name in zip(pages(sheets.files["sheets.pdf"]), sheets.pages, strict=True):
        assert overlaps_on(page) == [], name
    gauge = gauge_sheet(seat, usual_spacing_mm(units), Gauge(60.0))
    for page in pages(gauge_pdf(gauge, units, paper_named(PAPERS[seed % 2]))):
        assert overlaps_on(page) == []
