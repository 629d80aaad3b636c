"""The form of many seats, measured on the carved surface alone: a round bowl, a rim, wishes met, nothing undulating.

Orders are drawn at random; the quartet's are the demo's. What a good hand leaves is common practice, from memory:
across the deepest line a bowl is not a tray, the hollow runs out to its rim, curvature changes without a jump.
"""

import numpy as np
import pytest
import shapely
from random_orders import random_order

from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.price_of_form import price_of_form
from seatmesh.design.report.seat_report import report
from seatmesh.design.report.wood_notes import pommel_mm
from seatmesh.design.shape import design
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import deepest_place

pytestmark = pytest.mark.slow

TRAY_SHARE = 0.45
"""Most of the carved width that may lie within a tenth of the deepest; an even dish has a third."""
JUMP_PER_MM = 4e-3
"""Most by which curvature may change over a millimetre. An arc of 20 mm that begins at once makes 5e-2."""


def table_of(which):
    return demo_orders()[which][1] if isinstance(which, str) else random_order(which)


def within_a_tenth(seat):
    """Return the width within a tenth of the deepest across the deepest line, over the carved width."""
    x = np.arange(-0.5 * seat.blank.width_mm, 0.5 * seat.blank.width_mm, 0.25)
    depth = seat.depth_mm(x, deepest_place(seat)[1])
    return float((depth > 0.9 * depth.max()).sum() / (depth > 0.0).sum())


def covered(seat, rim_mm):
    """Return the share of the wood ahead of the deck, the rim's distance inside sides and rear edge, that is carved."""
    blank = seat.blank
    whole = shapely.Polygon(blank.polygon_mm())
    # The front is open: what lies before the rim's distance there is not asked for.
    inner = shapely.intersection(
        whole.buffer(-rim_mm),
        shapely.box(-1e4, max(blank.deck_mm, rim_mm), 1e4, blank.depth_mm - rim_mm),
    )
    x, y = np.meshgrid(np.arange(-300.0, 300.5, 2.0), np.arange(0.0, blank.depth_mm, 2.0))
    asked = shapely.contains_xy(inner, x, y)
    return float((seat.depth_mm(x, y)[asked] > 0.0).mean())


def greatest_jump(seat):
    """Return the greatest change of curvature per mm, along and across, well inside the hollow."""
    blank = seat.blank
    x = np.arange(-0.5 * blank.width_mm + 4.0, 0.5 * blank.width_mm - 3.0, 1.0)
    y = np.arange(max(blank.deck_mm, 4.0), seat.roll_start_mm, 1.0)
    depth = seat.depth_mm(x[None, :], y[:, None])
    worst = 0.0
    for way in (0, 1):
        inside = depth > 0.0
        for _ in range(3):
            depth_ok = np.minimum(
                inside.take(range(inside.shape[way] - 1), way),
                np.roll(inside, -1, way).take(range(inside.shape[way] - 1), way),
            )
            inside = depth_ok
        third = np.diff(depth, 3, axis=way)
        worst = max(worst, float(np.abs(third[inside]).max(initial=0.0)))
    return worst


@pytest.mark.parametrize("which", [*demo_orders(), *range(40)])
def test_the_form_of_a_seat(which):
    order = order_from_table(table_of(which), "order", "seat")
    made = design(order)
    seat, wishes = made.unadjusted, order.wishes
    assert within_a_tenth(seat) <= TRAY_SHARE
    assert covered(seat, wishes.rim_mm) > 0.9
    assert greatest_jump(seat) < JUMP_PER_MM
    assert undulations(seat) == 0
    notes = " ".join(report(made)["notes"])
    _, y, depth = deepest_place(seat)
    assert depth == pytest.approx(min(wishes.depth_mm, order.blank.greatest_depth_mm), abs=0.5)
    height = pommel_mm(seat)
    assert height < wishes.pommel_mm + 0.5 or "pommel" in notes
    assert height > wishes.pommel_mm - 0.5 or "the pommel stands" in notes
    for guest in made.guests:
        bones = guest.sitter.at_mm[1]
        tip = bones + guest.sitter.seated.tailbone_tip[1]
        if len(made.guests) == 1:
            assert tip < y < bones + 10.0
    price = price_of_form(made)
    assert price is not None
    for here, there in zip(price.ordered, price.other, strict=True):
        print(  # noqa: T201
            f"{which}: fair {here.peak_kpa:.1f}, least pressure {there.peak_kpa:.1f} kPa "
            f"({here.peak_kpa / there.peak_kpa - 1.0:+.0%}), within a tenth {within_a_tenth(seat):.2f}, covered "
            f"{covered(seat, wishes.rim_mm):.3f}, jump {greatest_jump(seat):.1e}, pommel {height:.2f} of "
            f"{wishes.pommel_mm:.2f}"
        )
