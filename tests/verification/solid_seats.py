"""Sixteen seats unlike one another, for whatever is said of solids: most from formulas, three from fitted orders."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from seatmesh.adjustment import Adjustment
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import shape_seat
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

BEVEL = {"under_bevel_width_mm": 40.0, "under_bevel_height_mm": 16.0}
GUTTER = {"gutter_width_mm": 8.0, "gutter_depth_mm": 3.0}
LEGS = (
    Joint("leg mortise", 165.0, 75.0, diameter_mm=28.0, angle_deg=12.0, depth_mm=25.0, keep_mm=8.0),
    Joint("leg mortise", 160.0, 355.0, diameter_mm=28.0, angle_deg=10.0, depth_mm=25.0, keep_mm=8.0),
)
POSTS = (Joint("back post", 190.0, 28.0, diameter_mm=22.0, angle_deg=15.0, depth_mm=25.0),)
SPINDLES = tuple(
    Joint("spindle", x, 30.0, diameter_mm=14.0, angle_deg=10.0, depth_mm=20.0) for x in (40.0, 85.0, 130.0)
)


def dished(blank: Blank, deepest_mm: float = 17.0, lean_mm: float = 0.0, **seat: Any) -> Seat:
    """Return a seat of a formula: a bowl with a pommel, deeper by `lean_mm` on the sitter's right."""
    half, start = 0.5 * blank.width_mm, blank.hollow_start_mm if blank.deck_line != "offset" else 0.0
    knots_x = clamped_knots(-half, half, 40)
    knots_y = clamped_knots(start, blank.depth_mm, 32)
    x, y = np.meshgrid(*((k[1:-3] + k[2:-2] + k[3:-1]) / 3.0 for k in (knots_x, knots_y)), indexing="ij")
    low = 0.32 * blank.depth_mm
    along = np.where(y < low, (y - low) / (0.17 * blank.depth_mm), (y - low) / (0.78 * blank.depth_mm))
    ridge = (
        0.5 * deepest_mm * np.exp(-((x / 28.0) ** 2)) / (1.0 + np.exp(-(y - 0.63 * blank.depth_mm) / 14.0))
    )
    depth = deepest_mm * (1.0 - along**2 - (x / (0.91 * half)) ** 2) - ridge
    even = 0.5 * (depth + depth[::-1])
    hollow = BicubicSpline(knots_x, knots_y, even + lean_mm * np.tanh(x / 60.0))
    return Seat(blank, hollow=hollow, front_roll_mm=seat.pop("front_roll_mm", 20.0), **seat)


def shield() -> tuple[tuple[float, float], ...]:
    """Return the right half of a maker's own outline, a point every few millimetres, as a drawing would give it."""
    turn = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 141)
    size = 1.0 / (np.abs(np.cos(turn)) ** 3.2 + np.abs(np.sin(turn)) ** 3.2) ** (1.0 / 3.2)
    x = 235.0 * size * np.cos(turn) * (1.0 + 0.07 * np.sin(turn))
    y = 210.0 + 210.0 * size * np.sin(turn)
    x[[0, -1]] = 0.0
    return tuple(zip(x.tolist(), (y - y[0]).tolist(), strict=True))


@lru_cache(maxsize=4)
def ordered(key: str) -> Seat:
    """Return a seat fitted to an order."""
    tables: dict[str, dict[str, Any]] = {
        "fitted": {"sitter": [{"body": "viola"}], "wishes": {"depth_mm": 15}},
        "shared": {
            "sitter": [{"body": "cello"}, {"body": "violin-1"}],
            "blank": {"outline": "D-shaped", "deck_mm": 60},
            "wishes": {"depth_mm": 14, "front_roll_mm": 18},
        },
        "inches": {
            "units": "in",
            "sitter": [{"body": "violin-2"}],
            "blank": {
                "width_mm": '18 1/2"', "depth_mm": '17 1/4"', "thickness_mm": '1 3/4"',
                "outline": "tapered to the rear",
            },
            "wishes": {"depth_mm": "1/2\""},
        },
    }  # fmt: skip
    return shape_seat(order_from_table(tables[key], "order", "seat"))


def _adjusted(seat: Seat) -> Seat:
    more = (
        Adjustment(90.0, 150.0, 45.0, 3.0),
        Adjustment(-60.0, 240.0, 30.0, -4.0),
        Adjustment(120.0, 330.0, 25.0, 2.0, side="both"),
    )
    return replace(seat, adjustments=more)


SEATS: dict[str, Callable[[], Seat]] = {
    "usual, rounded": lambda: dished(Blank()),
    "straight-sided, bevel, gutter, mortises": lambda: dished(
        Blank(outline="straight-sided", floor_mm=10.0, deck_mm=62.0, joints=LEGS + POSTS, **BEVEL, **GUTTER)
    ),
    "offset deck, gutter": lambda: dished(Blank(deck_line="offset", deck_mm=45.0, **GUTTER)),
    "offset deck far forward, waisted, all edges": lambda: dished(
        Blank(outline="waisted", deck_line="offset", deck_reach_mm=370.0, round_over_mm=6.0, **BEVEL, **GUTTER)
    ),
    "own outline, bowed deck, spindles": lambda: dished(
        Blank(
            width_mm=float(2.0 * max(x for x, _ in shield())), depth_mm=420.0, own_outline_mm=shield(), floor_mm=10.0,
            deck_line="bowed", deck_bow_mm=25.0, joints=SPINDLES, **GUTTER,
        )
    ),
    "wide bevel, round-over": lambda: dished(
        Blank(round_over_mm=5.0, under_bevel_width_mm=100.0, under_bevel_height_mm=18.0)
    ),
    "corners rounder than the round, bevel": lambda: dished(
        Blank(corner_radius_mm=8.0, round_over_mm=12.0, **BEVEL)
    ),
    "three adjustments": lambda: _adjusted(dished(Blank(), 14.0)),
    "leaning, adjusted, bowed to the rear": lambda: _adjusted(
        dished(Blank(deck_line="bowed", deck_bow_mm=-25.0, deck_mm=70.0, **GUTTER), 14.0, lean_mm=2.0)
    ),
    "step at the deck line": lambda: dished(Blank(deck_mm=75.0), 18.5),
    "D-shaped, deep gutter through the round": lambda: dished(
        Blank(
            outline="D-shaped", deck_line="bowed", deck_bow_mm=30.0, gutter_width_mm=8.0, gutter_depth_mm=4.0,
            round_over_mm=5.0,
        )
    ),
    "small odd blank, tapered to the front": lambda: dished(
        Blank(401.3, 382.7, 38.1, deck_mm=41.7, corner_radius_mm=41.7, outline="tapered to the front"), 12.0
    ),
    "flat board": lambda: Seat(Blank(outline="straight-sided", **BEVEL)),
    "fitted order": lambda: ordered("fitted"),
    "shared seat": lambda: ordered("shared"),
    "order in inches": lambda: ordered("inches"),
}  # fmt: skip
