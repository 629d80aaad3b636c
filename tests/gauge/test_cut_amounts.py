"""What is ordered to be cut is there: readings of wood left over a part, on a D-shaped seat and a waisted one."""

import numpy as np
import pytest

from seatmesh.fit.stages import stage
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.readings.readings_file import Row

PARTS = {
    "half": lambda x, y: x < 0.0,
    "front": lambda x, y: y > 190.0,
    "quarter": lambda x, y: (x < 0.0) & (y > 190.0),
}
SCATTER_MM = 0.2


def readings(seat, left_mm, part, seed):
    sheet = gauge_sheet(seat, 30.0, Gauge(60.0, 5.0))
    rng = np.random.default_rng([seed, 3])
    rows = []
    for line, one in enumerate(sheet.crossings, 2):
        left = min(left_mm, float(seat.depth_mm(one.x_mm, one.y_mm))) * bool(part(one.x_mm, one.y_mm))
        read = one.expected_mm - left + rng.normal(0.0, SCATTER_MM)
        rows.append(
            Row(line, one.point, one.x_mm, one.y_mm, one.expected_mm, read, one.datum_mm, placing=one.placing)
        )
    return tuple(rows)


@pytest.fixture(scope="module", params=["D-shaped", "waisted"])
def seat(request, carve):
    return carve(outline=request.param)


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("seed", range(3))
def test_no_more_is_ordered_than_there_is(seat, part, seed):
    left = 1.0 + 0.5 * seed
    check = check_readings(seat, readings(seat, left, PARTS[part], seed))
    assert check.cuts
    for one in check.cuts:
        near = (
            np.abs(check.field.x_mm[None, :] - one.x_mm) <= 15.0,
            np.abs(check.field.y_mm[:, None] - one.y_mm) <= 15.0,
        )
        x, y = np.broadcast_arrays(check.field.x_mm[None, :], check.field.y_mm[:, None])
        there = np.minimum(left, seat.depth_mm(x, y)) * PARTS[part](x, y)
        assert one.amount_mm <= there[near[0] & near[1]].max() + SCATTER_MM


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_to_cut_on_a_sound_seat(seat, seed):
    check = check_readings(seat, readings(seat, 0.0, PARTS["half"], seed))
    assert not check.cuts
    assert "take" not in check.state


def test_a_stage_orders_what_is_left_to_it(seat):
    half = stage(seat, 0.5)
    check = check_readings(half, readings(half, 1.0, PARTS["front"], 1))
    assert check.cuts


def test_a_seat_that_the_bar_cannot_reach_everywhere_can_be_finished(carve):
    """Of a hollow that runs out over the front of a D a bar across reaches no more than its rests."""
    seat = carve(outline="D-shaped")
    check = check_readings(seat, readings(seat, 0.0, PARTS["half"], 5))
    assert not any("has been read" in why for why in check.unfinished)
    some = tuple(row for row in readings(seat, 0.0, PARTS["half"], 5) if row.y_mm < 200.0)
    assert any("has been read" in why for why in check_readings(seat, some).unfinished)
