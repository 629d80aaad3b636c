"""Whether a change of the code leaves seats, figures and poses as they were.

`python tests/benchmarks/same_seats.py keep FILE` writes those of some varied orders, `... compare FILE` tells how far
they have moved since: depths in mm, poses in mm and radians, figures as shares. Nothing here is asserted.
"""

from __future__ import annotations

import sys
import time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatmesh import flat_seat, study
from seatmesh.body.figure.posture import POSTURES
from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.preview import preview
from seatmesh.design.shape import design
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting import Sitting

Kept = dict[str, NDArray[Any]]
FIGURES = ("peak_kpa", "peak_gradient_kpa_per_cm", "contact_area_cm2", "mean_kpa", "hottest_8_percent_share")
TABLES: dict[str, dict[str, Any]] = {
    "deep, least pressure": {
        "sitter": [{"body": "man-p95"}],
        "wishes": {"form": "least pressure", "depth_mm": 20},
    },
    "joints and bevel": {
        "blank": {"under_bevel_width_mm": 40, "under_bevel_height_mm": 12},
        "sitter": [{"body": "woman-p50"}],
        "joint": [{"kind": "leg mortise", "x_mm": 160, "y_mm": 90, "diameter_mm": 28, "angle_deg": 10}],
    },
    "bowed deck, gutter": {
        "blank": {"deck_line": "bowed", "deck_bow_mm": 40, "gutter_depth_mm": 4},
        "sitter": [{"body": "woman-p05"}],
    },
    "print alone, own place": {
        "sitter": [{"body": "man-p50"}],
        "wishes": {"rim": "print", "depth_mm": 14, "deepest_y_mm": 150},
    },
    "two of one bench": {
        "sitter": [{"body": "woman-p95"}, {"body": "man-p05", "weight": 2}],
        "wishes": {"depth_mm": 12, "front_roll_mm": 15},
    },
    "small blank, inches": {"units": "in", "blank": {"width_mm": 400}, "sitter": [{"body": "violin-2"}]},
}


def orders() -> dict[str, Order]:
    """Return the orders by name."""
    tables = {name: table for name, (_, table) in demo_orders().items()} | TABLES
    return {name: order_from_table(table, name, name) for name, table in tables.items()}


def _sitting(name: str, one: Sitting) -> Kept:
    pose = [one.pose.heave_mm, one.pose.pitch, one.pose.roll]
    figures = [getattr(one.figures, figure) if one.converged else np.nan for figure in FIGURES]
    return {f"{name} | pose": np.array(pose), f"{name} | figures": np.array(figures)}


def kept() -> Kept:
    """Return seats, poses and figures of all orders."""
    out: Kept = {}
    for name, order in orders().items():
        start = time.process_time()
        made, fast = design(order), preview(order)
        for kind, seat in (("best", made.seat), ("preview", fast.seat)):
            x, y = np.linspace(-200.0, 200.0, 81), np.linspace(40.0, seat.blank.depth_mm, 81)
            out[f"{name} | {kind} | depth"] = seat.depth_mm(x[None, :], y[:, None])
        for guest, result in zip(made.guests, made.results, strict=True):
            who = f"{name} | {guest.sitter.body.name}"
            out |= _sitting(f"{who} | flat", result.flat) | _sitting(f"{who} | best", result.best)
            for posture in POSTURES:
                sitter = lay_over(guest.sitter.body, made.seat, posture)
                out |= _sitting(f"{who} | {posture}", press(sitter, made.seat))
        sys.stderr.write(f"{name}: {time.process_time() - start:.2f} s of processor time\n")
    body = orders()["viola"].sitters[0].body
    sure = study(body, flat_seat()).uncertainty
    if sure is not None:
        out["intervals | figures"] = np.array([list(ends) for ends in sure.intervals.values()])
    return out


def main() -> None:
    """Keep or compare."""
    verb, path = sys.argv[1:]
    now = kept()
    if verb == "keep":
        np.savez_compressed(path, **now)  # type: ignore[arg-type]
        return
    before = dict(np.load(path))
    moved: dict[str, tuple[float, str]] = {}
    for name, values in now.items():
        kind = name.rsplit(" | ", 1)[-1]
        off = np.abs(values - before[name])
        if kind == "figures":
            off = off / np.abs(before[name])
        worst = float(np.max(off, initial=0.0, where=np.isfinite(off)))
        same_nan = np.array_equal(np.isfinite(values), np.isfinite(before[name]))
        moved[kind] = max(moved.get(kind, (0.0, "")), (worst if same_nan else np.inf, name))
    for kind, (worst, name) in moved.items():
        sys.stdout.write(f"{kind:8} {worst:10.2e}  {name}\n")


if __name__ == "__main__":
    main()
