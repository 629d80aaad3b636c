"""Lines in the plan beside a curved deck line: how far their chords lie off, and how far they run."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

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


@pytest.mark.parametrize("ahead", [0.0, 8.0, 20.0])
@pytest.mark.parametrize(("outline", "deck"), [("rounded", 30.0), ("waisted", 50.0), ("waisted", 25.0)])
def test_a_line_along_the_outline_is_as_far_from_it_as_asked_for(outline, deck, ahead):
    """Distances by GEOS, of the ends of its chords and of their middles; straight across the centre line."""
    blank = Blank(outline=outline, deck_line="offset", deck_mm=deck)
    line = deck_line.line_ahead(blank, ahead)
    assert line[0] == pytest.approx([0.0, deck + ahead], abs=1e-6)
    rim, whole = shapely.LineString(blank.rim_mm()), shapely.Polygon(blank.polygon_mm())
    on_it = np.vstack([line, 0.5 * (line[1:] + line[:-1])])
    inside = shapely.contains_xy(whole, *on_it.T)
    away = shapely.distance(shapely.points(on_it[inside]), rim)
    ends = away[: inside[: len(line)].sum()]
    assert ends == pytest.approx(np.full(len(ends), deck + ahead), abs=1e-4), "laid on it, not only near it"
    # Points are laid 1.5 mm apart before chords of 0.008 mm are drawn over them.
    assert away == pytest.approx(np.full(len(away), deck + ahead), abs=0.01)
    assert inside.sum() > 10
    assert not inside[len(line) - 1], "it runs on beyond the outline"
    # It ends where the deck does: round the rim's end, half of the blank's depth forward.
    assert line[:, 1].max() == pytest.approx(215.0 + deck + ahead, abs=2.0)
