"""Timings, run on wish only (`pytest --benchmark-only`); nothing here can fail for being slow."""

import pytest

from seatmesh import estimate_body, flat_seat, sit, solid
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.shape import shape_seat
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over

ORDER = order_from_table({"sitter": [{"body": "viola"}]}, "order", "seat")
BODY = ORDER.sitters[0].body


def test_estimating_a_body(benchmark):
    benchmark(estimate_body, "female", 1640.0, 61.0)


def test_laying_a_body_over_the_grid(benchmark):
    benchmark(lay_over, BODY, flat_seat())


def test_pressing_it(benchmark):
    sitter = lay_over(BODY, flat_seat())
    benchmark(press, sitter, flat_seat())


def test_sitting_all_told(benchmark):
    benchmark(sit, BODY, flat_seat())


def test_shaping_a_seat(benchmark):
    benchmark.pedantic(shape_seat, args=(ORDER,), rounds=3, warmup_rounds=1)


@pytest.mark.parametrize("tolerance_mm", [0.1, 0.5])
def test_making_the_solid(benchmark, tolerance_mm):
    seat = shape_seat(ORDER)
    benchmark.pedantic(solid, args=(seat, tolerance_mm), rounds=3, warmup_rounds=1)
