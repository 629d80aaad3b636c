"""Seats that the law shaped, and advice that it gave, pressed by elements.

    python tests/teacher/press_seats.py quartet|advice

`quartet` presses the demo's four sitters on the flat, on the seat fitted to them and on their best one, beside what the
law says. `advice` takes the hottest spot on twelve seats, carves what is advised and compares by how much its peak
falls. A case is printed as soon as it is done; all is printed, nothing asserted. It takes some ten minutes each.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from press_bodies import BODIES, SEATS
from scipy.stats import kendalltau
from seated_case import Sitting3D, Tissue

from seatmesh import Seat
from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import design
from seatmesh.seating.figures import averaged
from seatmesh.seating.hot_spots.in_words import find_hot_spots
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import Sitter, lay_over

NEAR_MM = 20.0
ADVISED = (
    ("man-69", "flat"), ("woman-57", "flat"), ("man-95", "shallow"), ("woman-85", "flat"), ("man-58", "deep"),
    ("woman-48", "shallow"), ("man-112", "flat"), ("woman-98", "flat"), ("man-75", "deep"), ("woman-62", "other"),
    ("man-64-flat", "ridge"), ("woman-72-round", "deep"),
)  # fmt: skip


def tell(words: str) -> None:
    """Print a line at once."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


def peak_near(sitter: Sitter, pressure: np.ndarray, x_mm: float, y_mm: float) -> float:
    """Return the greatest mean over 1 cm2 near a place of the blank."""
    grid = sitter.grid
    near = np.hypot(np.abs(grid.x_mm[None, :]) - abs(x_mm), grid.y_mm[:, None] - y_mm) <= NEAR_MM
    return float(averaged(pressure, grid.cell_mm)[near].max())


def quartet() -> None:
    """Press the demo's sitters on the flat, their fitted and their best seats."""
    ours, theirs = [], []
    for name, (_, table) in demo_orders().items():
        if name == "quartet":
            continue
        made = design(order_from_table(table, name, name))
        for result in made.results:
            for word, sitting in (
                ("flat", result.flat),
                ("fitted", result.closed_form),
                ("best", result.best),
            ):
                sitter = lay_over(sitting.body, sitting.seat, sitting.posture)
                seen = Sitting3D(sitter, Tissue()).press(sitting.seat).figures["peak_kpa"]
                law = sitting.figures.peak_kpa
                ours.append(law)
                theirs.append(seen)
                tell(f"{name:10} {sitting.body.name:10} {word:7} elements {seen:5.1f} kPa, law {law:5.1f}")
    tell(f"Kendall's tau of all {len(ours)}: {kendalltau(ours, theirs).statistic:.3f}")


def cases() -> Iterator[tuple[str, Sitter, Seat]]:
    """Yield bodies on seats that are not perfect for them."""
    numbers = {who.name: k for k, who in enumerate(BODIES)}
    for name, seat_name in ADVISED:
        k = numbers[name]
        seat = SEATS[seat_name](k)
        yield f"{name} {seat_name}", lay_over(BODIES[k].body(), seat), seat


def advice() -> None:
    """Carve what is advised against the hottest spot, by the law and by elements."""
    off = []
    for name, sitter, seat in cases():
        spots = [
            one for one in find_hot_spots(sitter, seat, press(sitter, seat)) if one.adjustment is not None
        ]
        if not spots:
            tell(f"{name}: no advice")
            continue
        spot = spots[0]
        assert spot.adjustment is not None
        assert spot.lowered_kpa is not None
        carved = replace(seat, adjustments=(spot.adjustment,))
        before, after = (
            peak_near(sitter, Sitting3D(sitter, Tissue()).press(one).pressure_kpa, spot.x_mm, spot.y_mm)
            for one in (seat, carved)
        )
        said, seen = spot.lowered_kpa / spot.peak_kpa - 1.0, after / before - 1.0
        off.append(said - seen)
        tell(
            f"{name}: {spot.cause}, {spot.peak_kpa:.1f} kPa, said {said:+.0%}; elements {before:.1f} to {after:.1f}, "
            f"{seen:+.0%}"
        )
    tell(f"{len(off)} cases: off by {np.median(np.abs(off)):.1%} (median), {np.abs(off).max():.1%} (worst)")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("what", choices=["quartet", "advice"])
    {"quartet": quartet, "advice": advice}[parser.parse_args().what]()
