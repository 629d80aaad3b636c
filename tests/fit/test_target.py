"""What the sitter would like: it moves steadily with body and place, and nothing in it jumps from point to point."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, Seat, estimate_body
from seatmesh.fit.target import FREE_WEIGHT, Impression, impression, target
from seatmesh.fit.wishes import Wishes
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over

X, Y = np.linspace(0.0, 240.0, 41), np.linspace(50.0, 430.0, 65)
BODY = Wishes(closeness=1.0, pommel_mm=0.0, tailbone_relief_mm=0.0)


def bowl(rise, lowest_y_mm=150.0, tailbone_y_mm=86.0):
    return Impression(
        np.broadcast_to(rise, (len(Y), len(X))), lowest_y_mm, (190.0, -110.0, 300.0), tailbone_y_mm
    )


def wish(rise, wishes=BODY, depth_mm=18.0):
    return target(bowl(rise), X, Y, depth_mm, wishes, Blank())


def test_the_body_itself_is_wished_for_and_flat_wood_hardly_counts():
    rise = 0.12 * X[None, :]
    seen = wish(rise)
    assert seen.depth_mm == pytest.approx(
        np.broadcast_to(np.maximum(18.0 - rise, -10.0), seen.depth_mm.shape)
    )
    # 1 down to 1 mm above the wood, 0.03 from 3 mm on, and halfway between at 2 mm.
    at = {above: wish(18.0 + above).weight[0, 0] for above in (0.5, 1.5, 2.0, 2.5, 3.5)}
    assert at[0.5] == 1.0
    assert at[2.0] == pytest.approx(0.515)
    assert at[1.5] == pytest.approx(0.03 + 0.97 * 0.84375)
    assert at[2.5] == pytest.approx(0.03 + 0.97 * 0.15625)
    assert at[3.5] == FREE_WEIGHT == 0.03


def test_the_tailbone_is_relieved_as_far_as_the_seat_is_hollow_there():
    relieved = replace(BODY, tailbone_relief_mm=6.0)
    row = int(np.argmin(np.abs(Y - 86.0)))
    off = np.exp(-(((Y[row] - 86.0) / 25.0) ** 2))
    for depth, share in ((0.0, 0.0), (1.0, 0.15625), (2.0, 0.5), (3.0, 0.84375), (4.0, 1.0), (6.0, 1.0)):
        got = wish(18.0 - depth, relieved).depth_mm[row, 0] - depth
        assert got == pytest.approx(6.0 * off * share, abs=1e-9)


def test_the_lowest_place_lies_between_the_rows_of_points():
    sitter = lay_over(estimate_body("male", 1760.0, 78.0), Seat())
    sitting = press(sitter, Seat())
    shifts = np.arange(0.0, 12.01, 0.5)
    lowest = np.array([impression(sitter, sitting, X, Y, shift).lowest_y_mm for shift in shifts])
    # Rows are 6 mm apart; moved by half a millimetre at a time, it follows, whatever row is nearest.
    assert np.diff(lowest) == pytest.approx(np.full(len(shifts) - 1, 0.5), abs=0.12)
