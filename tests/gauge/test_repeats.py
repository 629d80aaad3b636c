"""Readings of one crossing: how far apart they may lie and still confirm each other, and from where they contradict."""

import numpy as np
import pytest

from seatmesh.gauge.readings.repeats import repeats

ALONE = np.zeros((2, 2))


def pair(apart, noise=0.25, shared=ALONE):
    return repeats(np.array([7, 7]), np.array([0.0, apart]), noise, shared)


@pytest.mark.parametrize(
    ("noise", "shared"),
    [
        (0.25, ALONE),
        (0.1, np.diag([0.3, 0.05])),
        (0.1, np.array([[0.3, 0.1], [0.1, 0.2]])),
        (0.1, np.array([[0.3, -0.05], [-0.05, 0.02]])),
    ],
)
def test_two_readings_agree_within_two_deviations_of_their_difference_and_differ_beyond_three(noise, shared):
    """Variance of a difference: var a + var b - 2 cov, and the noise of both."""
    deviation = np.sqrt(shared[0, 0] + shared[1, 1] - 2.0 * shared[0, 1] + 2.0 * noise**2)
    for apart, confirmed, doubted in (
        (1.98, True, False),
        (2.02, False, False),
        (2.97, False, False),
        (3.03, False, True),
    ):
        said = pair(apart * deviation, noise, shared)
        assert (said.confirmed.all(), said.doubted.all()) == (confirmed, doubted), apart
        assert (said.confirmed.any(), said.doubted.any()) == (confirmed, doubted), apart
    assert said.crossing.tolist() == [0, 0]


def test_however_little_they_scatter_a_fifth_of_a_millimetre_agrees_and_three_tenths_do_not_contradict():
    for apart, confirmed, doubted in (
        (0.197, True, False),
        (0.203, False, False),
        (0.296, False, False),
        (0.304, False, True),
    ):
        said = pair(apart, 0.01)
        assert (said.confirmed.all(), said.doubted.all()) == (confirmed, doubted), apart


def test_two_that_agree_outvote_a_third_that_contradicts_them():
    at, alone = np.array([3, 3, 3, 4]), np.zeros((4, 4))
    said = repeats(at, np.array([0.0, 0.1, 1.5, 9.0]), 0.25, alone)
    assert said.confirmed.tolist() == [True, True, False, False]
    assert said.outvoted.tolist() == [False, False, True, False]
    near = repeats(at, np.array([0.0, 0.1, 0.9, 9.0]), 0.25, alone)
    assert not near.outvoted.any(), "between two and three deviations nothing is said"
