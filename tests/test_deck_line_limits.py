"""Lines in the plan beside a curved deck line: how far their chords lie off, and how far they run."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.wood import deck_line
from seatmesh.wood.blank import Blank


def test_chords_of_a_bowed_line_lie_within_eight_thousandths_of_it():
    """Of an arc of radius r a chord c long leaves r - sqrt(r^2 - c^2 / 4)."""
    most = []
    for bow in np.linspace(120.0, 180.0, 61):
        blank = SimpleNamespace(width_mm=480.0, deck_mm=50.0, deck_bow_mm=float(bow))
        line = deck_line._bowed(blank, 0.0)
        radius = (240.0**2 + bow**2) / (2.0 * bow)
        chord = np.linalg.norm(np.diff(line, axis=0), axis=1)
        most.append(float((radius - np.sqrt(radius**2 - 0.25 * chord**2)).max()))
    assert 0.0077 < max(most) <= 0.008
    assert min(most) > 0.007, "no more points than that takes"


@pytest.mark.parametrize("width", [400.0, 480.0])
def test_lines_run_20_mm_beyond_the_outline(width):
    straight = deck_line.line_ahead(Blank(width_mm=width), 4.0)
    assert straight[-1].tolist() == [0.5 * width + 20.0, 54.0]
    bowed = deck_line.line_ahead(Blank(width_mm=width, deck_line="bowed", deck_bow_mm=25.0), 0.0)
    assert bowed[-1, 0] == pytest.approx(0.5 * width + 20.0)
