"""The quartet's seats in one table: `python tests/verification/quartet.py`. All is printed, nothing asserted.

Times are the least of three, warm, on however many cores NumPy uses; run with OMP_NUM_THREADS=1 for one. The spline
programme stands for itself: all bounds, knots refined under bevel and joints, for the seat that the four share.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import Order, order_from_table
from seatmesh.design.price_of_form import price_of_form
from seatmesh.design.shape import design, shape_seat
from seatmesh.fit.bounded.bounds import bounds_over
from seatmesh.fit.bounded.programme import fit
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import Guest, HollowFit, prepare
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat
from seatmesh.wood.joint import Joint

SAMPLED_MM = 0.25


def best_s(run: Callable[[], object], times: int = 3) -> float:
    """Return the least of several times, s."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return min(spent)


def over_bound_mm(seat: Seat) -> tuple[float, float]:
    """Return by how much the surface exceeds the floor at `SAMPLED_MM`, and its coefficients their bounds."""
    blank = seat.blank
    x = np.arange(0.0, 0.5 * blank.width_mm, SAMPLED_MM)
    y = np.arange(0.0, blank.depth_mm, SAMPLED_MM)
    depth = seat.depth_mm(x[None, :], y[:, None])
    over = np.where(blank.inside_mm(x[None, :], y[:, None]) >= 0.0, depth - blank.greatest_depth_mm, -np.inf)
    hollow = seat.hollow
    if hollow is None:
        return float(over.max()), 0.0
    bounds = bounds_over(seat, hollow.knots_x, hollow.knots_y)
    return float(over.max()), float((hollow.coefficients - bounds.upper).max())


def figures(name: str, order: Order) -> None:
    """Print one seat's peaks, undulations, bounds and times."""
    made = design(order)
    price = price_of_form(made)
    over, by_coefficients = over_bound_mm(made.unadjusted)
    for number, result in enumerate(made.results):
        flat, closed = (one.figures.peak_kpa for one in (result.flat, result.closed_form))
        best = result.before_adjustments_kpa
        loss = "" if result.own_seat_kpa is None else f"{100.0 * (best / result.own_seat_kpa - 1.0):+7.1f}"
        body = result.best.body.name
        line = f"{name:10} {body:10} {flat:8.1f} {closed:8.1f} {best:8.1f} {loss:>8}"
        if price is not None and price.other:
            here, there = price.ordered[number], price.other[number]
            line += f"   form {here.peak_kpa / there.peak_kpa - 1.0:+.0%} of {there.peak_kpa:.1f}"
        sys.stdout.write(line.rstrip() + "\n")
    shape, all_of_it = best_s(lambda: shape_seat(order)), best_s(lambda: design(order))
    sys.stdout.write(
        f"{'':10} undulations {undulations(made.seat)}; wood to spare above the floor {-over:.2f} mm sampled at "
        f"{SAMPLED_MM} mm, {-by_coefficients:.2f} mm by coefficients; seat {shape:.2f} s (aim 2 s), "
        f"with its report {all_of_it:.2f} s\n"
    )


def laid_out(order: Order) -> HollowFit:
    """Return the fit of an order's sitters before any spline is solved."""
    bare = Seat(blank=order.blank, chair=order.chair)
    guests = []
    for one in order.sitters:
        sitter = lay_over(one.body, bare)
        guests.append(Guest(sitter, press(sitter, bare), one.weight))
    return prepare(guests, bare, order.wishes)


def solver(order: Order) -> None:
    """Print the times of the closed form and of the programme alone, on a plain blank and one with all bounds."""
    legs = tuple(
        Joint("leg mortise", x_mm=170.0, y_mm=y, diameter_mm=28.0, angle_deg=10.0, keep_mm=30.0)
        for y in (70.0, 330.0)
    )
    bounded = replace(order.blank, under_bevel_width_mm=40.0, under_bevel_height_mm=12.0, joints=legs)
    for words, blank in (("plain blank", order.blank), ("bevel and four leg mortises", bounded)):
        made = laid_out(replace(order, blank=blank))
        wished = made.wanted(order.wishes.depth_mm)
        wanted, weight = wished.depth_mm, wished.weight
        lower = np.full(made.programme.shape, -14.0)

        def solve(
            made: HollowFit = made, w: object = wanted, g: object = weight, low: object = lower
        ) -> object:
            return fit(made.programme, w, g, made.fairness_mm, low, made.bounds.upper, made.bounds.refined)  # type: ignore[arg-type]

        unknowns = made.programme.mirror.shape[1]
        sys.stdout.write(
            f"{words}: {unknowns} unknowns, programme {1000.0 * best_s(solve):.0f} ms (aim 100 ms), closed form "
            f"{1000.0 * best_s(lambda made=made: made.shaped(order.wishes.depth_mm)):.0f} ms (aim 300 ms)\n"  # type: ignore[misc]
        )


def main() -> None:
    """Print all seats, then the times of the solver."""
    head = f"{'seat':10} {'sitter':10} {'flat':>8} {'fitted':>8} {'best':>8} {'loss, %':>8}"
    sys.stdout.write(
        f"{head}   peaks over 1 cm2, kPa; loss against a seat of their own; form against the least pressure\n"
    )
    orders = {name: order_from_table(table, name, name) for name, (_, table) in demo_orders().items()}
    for name, order in orders.items():
        figures(name, order)
    solver(orders["quartet"])


if __name__ == "__main__":
    main()
