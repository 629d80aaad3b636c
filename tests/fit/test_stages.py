"""Stages: each deeper than the one before, none deeper than the last, all fair."""

import numpy as np
import pytest

from seatmesh import InputError
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.stages import stage, stages


def test_each_stage_takes_more_and_none_too_much(carved_seat):
    x, y = np.linspace(-230, 230, 116)[None, :], np.linspace(0, 405, 100)[:, None]
    depths = [one.depth_mm(x, y) for one in stages(carved_seat)]
    assert np.all(depths[0] <= depths[1] + 1e-12)
    assert np.all(depths[1] <= depths[2] + 1e-12)
    hollow = depths[2] > 0
    assert depths[0][hollow] == pytest.approx(0.5 * depths[2][hollow])
    assert all(undulations(one) <= undulations(carved_seat) for one in stages(carved_seat))


def test_the_last_stage_is_the_seat_and_the_roll_comes_last(carved_seat):
    assert stage(carved_seat, 1.0) is carved_seat
    assert stage(carved_seat, 0.8).front_roll_mm == 0.0


@pytest.mark.parametrize("share", [0.0, -0.5, 1.1, float("nan")])
def test_refused_shares(carved_seat, share):
    with pytest.raises(InputError, match="stage"):
        stage(carved_seat, share)


def test_a_first_seat_is_carved_to_half_then_to_four_fifths_then_whole(carved_seat):
    """The usual stages, as the sheets print them."""
    rough, nearly, whole = (float(one.depth_mm(0.0, 150.0)) for one in stages(carved_seat))
    assert (rough / whole, nearly / whole) == (pytest.approx(0.5), pytest.approx(0.8))
