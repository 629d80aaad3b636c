"""Depth holes of many random orders, each against a solid bit turned about in space."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from seatmesh.adjustment import Adjustment
from seatmesh.deepest import deepest_places
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.preview import preview
from seatmesh.errors import InputError
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.holes.bit import KINDS, Bit, usual_tip_mm
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes

sys.path.append(str(Path(__file__).parents[1] / "sheets"))

from drilled_wood import least_wood

pytestmark = pytest.mark.slow


def random_order(rng: np.random.Generator) -> dict:
    thickness, floor = float(rng.uniform(38, 55)), float(rng.uniform(16, 22))
    depth = float(rng.uniform(8, min(24, thickness - floor)))
    blank = {
        "width_mm": float(rng.uniform(440, 540)),
        "depth_mm": float(rng.uniform(390, 460)),
        "thickness_mm": thickness,
        "floor_mm": floor,
        "deck_mm": float(rng.uniform(30, 70)),
        "outline": str(rng.choice(["rounded", "straight-sided", "tapered to the rear"])),
        "deck_line": str(rng.choice(["straight", "bowed", "offset"])),
        "gutter_depth_mm": float(rng.choice([0.0, 3.0])),
    }
    if blank["deck_line"] == "bowed":
        blank["deck_bow_mm"] = float(rng.uniform(-20, 25))
    if rng.uniform() < 0.6:
        blank |= {
            "under_bevel_width_mm": float(rng.uniform(20, 60)),
            "under_bevel_height_mm": float(rng.uniform(5, 15)),
        }
    table = {
        "title": "random",
        "units": str(rng.choice(["mm", "in"])),
        "sitter": [{"body": str(rng.choice(["viola", "cello", "violin-1", "violin-2"]))}],
        "blank": blank,
        "wishes": {
            "depth_mm": depth,
            "pommel_mm": float(rng.uniform(0, min(12, depth))),
            "front_roll_mm": float(rng.uniform(0, 25)),
            "closeness": float(rng.uniform(0, 1)),
        },
    }
    if rng.uniform() < 0.5:
        table["joint"] = [{"kind": "leg mortise", "x_mm": 160.0, "y_mm": 95.0, "diameter_mm": 28.0, "angle_deg": 10.0,
                           "depth_mm": 20.0, "keep_mm": 5.0}]  # fmt: skip
    return table


def legal_order(rng: np.random.Generator) -> Order:
    while True:
        try:
            return order_from_table(random_order(rng), "order", "seat")
        except InputError:  # a bevel too high for the roll, say
            continue


def random_bit(rng: np.random.Generator) -> Bit:
    kind = KINDS[rng.integers(3)]
    diameter = float(rng.uniform(3, 12)) if kind != "Forstner" else float(rng.uniform(12, 35))
    tip = usual_tip_mm(kind, diameter) if rng.uniform() < 0.5 else float(rng.uniform(0.0, 5.0))
    return Bit(kind, diameter, tip, sold_in=str(rng.choice(["mm", "in"])))


def random_adjustments(rng: np.random.Generator) -> tuple[Adjustment, ...]:
    return tuple(
        Adjustment(
            float(rng.uniform(-150, 150)),
            float(rng.uniform(100, 360)),
            float(rng.uniform(15, 70)),
            float(rng.uniform(-6, 6)),
            "both" if rng.uniform() < 0.5 else "one",
        )
        for _ in range(rng.integers(0, 4))
    )


@pytest.mark.parametrize("seed", range(40))
def test_no_hole_of_a_random_order_ends_below_its_seat_or_its_floor(seed: int) -> None:
    rng = np.random.default_rng(7000 + seed)
    order = legal_order(rng)
    seat = replace(preview(order).seat, adjustments=random_adjustments(rng))
    allowance = float(rng.choice([0.0, 0.5, 1.5, 3.0]))
    stood = 0
    for _ in range(3):
        wishes = SheetWishes(
            allowance_mm=allowance, holes=HoleWishes(random_bit(rng), float(rng.uniform(25, 60)))
        )
        made = sheets_of(seat, (), wishes, ("svg",))
        stood += len(made.holes)
        for one in made.holes[:: max(1, len(made.holes) // 12)]:
            at = one.x_mm, one.y_mm
            over, under = least_wood(seat, at, one.bit_mm, one.tip_mm, one.stop_mm, seed)
            assert over >= allowance - 1e-6, (made.depth_holes.bit, one)
            assert under >= one.under_mm - 1e-6
            assert one.under_mm >= seat.blank.floor_mm - 1e-6
        if made.holes and not made.depth_holes.notes:
            deep = [(one.x_mm, one.y_mm) for one in made.holes if one.is_deepest]
            assert len(deep) == len(deepest_places(seat))
    assert stood > 0 or order.wishes.depth_mm < 12.0
