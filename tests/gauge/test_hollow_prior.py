"""The prior of a hollow: its knots span what they are given, none wider than asked."""

import numpy as np
import pytest

from seatmesh.gauge.copy.hollow_prior import SPAN_MM, hollow_prior


@pytest.mark.parametrize(("half_mm", "start_mm", "end_mm"), [(200.0, 50.0, 430.0), (170.0, 0.0, 300.0)])
def test_spans_are_as_wide_as_they_may_be_and_no_wider(half_mm, start_mm, end_mm):
    prior = hollow_prior(half_mm, start_mm, end_mm)
    for knots, low, high in ((prior.knots_x, -half_mm, half_mm), (prior.knots_y, start_mm, end_mm)):
        spans = np.diff(np.unique(knots))
        assert (knots[0], knots[-1]) == pytest.approx((low, high))
        assert spans.max() <= SPAN_MM + 1e-9
        # One span fewer, or a pair of them about the centre line, would be wider.
        assert (high - low) / max(len(spans) - 2, 1) > SPAN_MM
    assert len(np.unique(prior.knots_x)) % 2 == 1, "a knot on the centre line"
