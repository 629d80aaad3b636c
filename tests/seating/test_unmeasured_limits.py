"""What is pressed on the finer grid, and how far the tailbone stays off: both sides of limits, nothing pressed."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.body.survey.estimate import estimate_body
from seatmesh.seating import figures_in_words
from seatmesh.seating.grid import SPACING_MM
from seatmesh.seating.sureness import unmeasured
from seatmesh.seating.sureness.unmeasured import Unmeasured
from seatmesh.surface import flat_seat


@pytest.mark.parametrize(("share", "finer"), [(0.0197, False), (0.0203, True), (-0.0203, True)])
def test_what_moves_the_peak_by_a_fiftieth_is_pressed_on_the_finer_grid(monkeypatch, share, finer):
    """Of a peak of 20 kPa; what moves it less is told from the coarse grid."""
    grids = []
    one = Unmeasured("hip_breadth_sitting_mm", "hips", 380.0, 20.0, 20.0, None, None)

    def many(bodies, seat, *, spacing_mm, **how):
        grids.append(spacing_mm)
        return SimpleNamespace(peak_kpa=20.0 * np.array([1.0, 1.0 + share, 1.0 - share]))

    monkeypatch.setattr(unmeasured, "sit_many", many)
    monkeypatch.setattr(unmeasured, "_open_quantities", lambda _: [one])
    (told,) = unmeasured.unmeasured_of(estimate_body("male", 1740.0, 69.0), flat_seat())
    assert grids == [8.0, *[SPACING_MM] * finer]
    assert (told.more_kpa, told.less_kpa) == pytest.approx((20.0 * share, -20.0 * share))


def test_the_tailbone_is_as_far_from_the_seat_as_it_stands_above_the_wood(monkeypatch):
    """Wood 12 mm below the frame of a body whose tailbone ends 30 mm above it leaves 42 mm."""
    monkeypatch.setattr(figures_in_words, "_wood_below", lambda *_: np.array([-12.0]))
    sitter = SimpleNamespace(seated=SimpleNamespace(tailbone_tip=(0.0, -65.0, 30.0)))
    assert figures_in_words.tailbone_clearance_of(sitter, None, None) == pytest.approx(42.0)
