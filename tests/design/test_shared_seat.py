"""A seat for several: what sharing costs each sitter against a seat of their own."""

import json

from seatmesh.design.orders.order import order_from_table
from seatmesh.design.report.report_text import report_text
from seatmesh.design.report.seat_report import report
from seatmesh.design.shape import design, shape_seat
from seatmesh.seating.settle import settle

BLANK = {"depth_mm": 400}


def order(*sitters):
    return order_from_table({"sitter": list(sitters), "blank": BLANK, "wishes": {"depth_mm": 14}}, "o", "two")


def test_one_who_counts_for_nearly_all_loses_nearly_nothing_and_the_other_most():
    shared = order({"body": "violin-1", "weight": 1000}, {"body": "cello", "weight": 0.001})
    made = design(shared)
    first, second = made.results
    assert abs(first.before_adjustments_kpa / first.own_seat_kpa - 1.0) < 0.02
    assert second.before_adjustments_kpa > 1.05 * second.own_seat_kpa
    # Their own is the seat of an order for that sitter alone.
    alone = shape_seat(order({"body": "cello"}))
    assert abs(settle(made.guests[1].sitter, alone).peak_kpa / second.own_seat_kpa - 1.0) < 1e-6
    figures = json.loads(json.dumps(report(made)))
    loss = figures["sitters"][1]["loss_percent"]
    assert abs(loss - 100 * (second.before_adjustments_kpa / second.own_seat_kpa - 1)) < 1e-3
    assert f"sharing costs {loss:+.0f} %" in report_text(made, figures)


def test_one_alone_has_no_loss():
    figures = report(design(order({"body": "violin-1"})))
    assert "loss_percent" not in figures["sitters"][0]
    assert "peak_adjusted_kpa" not in figures["sitters"][0]
