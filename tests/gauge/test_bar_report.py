"""What is said of the bar: which sat how, and that nothing is said of one that sat as stated."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.gauge.bar.bar_report import _part, bar_report, bar_words
from seatmesh.gauge.bar.how_bars_sat import SeatedBars
from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.readings.readings import readings_on

TILT = np.tan(np.radians(0.3))


@pytest.fixture(scope="module")
def said(carved_seat, gauged, make_rows):
    def words(off, seed=21, units="mm"):
        return bar_words(readings_on(carved_seat, make_rows(gauged, off, seed=seed)).bars, units)

    return words


def test_a_bar_that_sat_as_stated_gets_no_word(said):
    assert said(0.0) == []


def test_all_rows_low_name_bar_height_and_rod_offset(said):
    (words,) = said(-1.0)
    assert words.startswith("Every row: the bar sat 1 mm low")
    assert "Bar height plus rod offset is 1 mm smaller than stated" in words
    (high,) = said(4.0)
    assert "the bar sat 4 mm high" in high
    assert "rod offset of 2 mm with the wrong sign" in high
    assert '1/16" high' in said(1.5875, units="in")[0]


def test_tilt_is_told_by_the_sitters_side(said, places):
    x, _ = places
    (left,) = said(TILT * x)
    assert float(left.split("sloped by ")[1].split()[0]) == pytest.approx(0.3, abs=0.02)
    assert "low on the sitter's left" in left
    (right,) = said(-TILT * x)
    assert "low on the sitter's right" in right


def test_sag_is_told_where_the_bar_hangs(said, places):
    x, _ = places
    (words,) = said(-0.9 * (1.0 - (x / 236.0) ** 2))
    # 0.9 mm over 472 mm, give or take a tenth.
    assert words.startswith(
        (
            "The bar hangs through by 0.8 mm",
            "The bar hangs through by 0.9 mm",
            "The bar hangs through by 1 mm",
        )
    )
    assert "in the middle of 472 mm" in words


def test_one_row_is_named(said, places):
    _, y = places
    (words,) = said(np.where(y == 150.0, -1.2, 0.0))
    assert words.startswith("Row 150 mm from the rear edge: the bar sat 1")
    assert "mm low" in words


def test_values_are_null_where_nothing_tells(carved_seat, gauged, make_rows, places):
    from dataclasses import replace

    x, _ = places
    rows = make_rows(gauged, TILT * x)
    gone = [replace(r, reading_mm=None) if r.y_mm == 200.0 and abs(r.x_mm) > 180.0 else r for r in rows]
    report = {one["row"]: one for one in bar_report(readings_on(carved_seat, gone).bars)}
    assert report[150.0]["tilt_deg"] == pytest.approx(0.3, rel=0.02)
    assert report[150.0]["height_mm"] == pytest.approx(0.0, abs=0.02)
    assert report[150.0]["told_by"] == 4
    assert report[200.0]["told_by"] == 0
    assert report[200.0]["height_mm"] is None
    assert report[200.0]["tilt_deg"] is None
    assert report[200.0]["height_error_mm"] > 1.5


ROWS = np.arange(100.0, 350.0, 50.0)


def made(height=0.0, tilt=0.0, sag=0.0, error=0.01, apart=0.01, reach=200.0):
    """Bars of which all is known: five rows, read from -`reach` to `reach`; `error` is shared by all, `apart` is each
    row's own; mm over 200 mm."""
    along = np.tile(np.linspace(-reach, reach, 5), len(ROWS))
    of = np.repeat(np.arange(len(ROWS)), 5)
    placings = Placings(of, along, ROWS, np.ones(len(ROWS), dtype=bool), True, 215.0)
    parts = [np.broadcast_to(np.asarray(one, dtype=float), ROWS.shape) for one in (height, tilt, sag)]
    covariance = np.kron(error**2 * np.ones((len(ROWS),) * 2) + apart**2 * np.eye(len(ROWS)), np.eye(3))
    mean = np.column_stack(parts).ravel()
    return SeatedBars(placings, mean, covariance, 0.25, 0.2, np.ones(len(along)), 0.1, 0.0, mean, covariance)


def one_row(amount):
    return np.where(ROWS == 200.0, amount, 0.0)


@pytest.mark.parametrize(
    ("silent", "told", "word"),
    [
        # 0.3 mm of height or of sag, 0.05 degrees, and 0.35 mm of one row against the others, are worth a word.
        ({"height": -0.297}, {"height": -0.303}, "the bar sat 0.3 mm low"),
        ({"sag": 0.297}, {"sag": 0.303}, "hangs through by 0.3 mm"),
        ({"tilt": 0.1728}, {"tilt": 0.1763}, "sloped by 0.05 degrees"),
        ({"height": one_row(0.343)}, {"height": one_row(0.357)}, "Row 200 mm"),
        ({"tilt": one_row(0.343)}, {"tilt": one_row(0.357)}, "Row 200 mm"),
        # Nothing is said within three standard errors (0.27 % by chance, by the normal law).
        ({"height": 0.9, "error": 0.303}, {"height": 0.9, "error": 0.297}, "the bar sat 0.9 mm high"),
        ({"tilt": 0.9, "error": 0.303}, {"tilt": 0.9, "error": 0.297}, "sloped by 0.26 degrees"),
        ({"sag": 0.9, "error": 0.303}, {"sag": 0.9, "error": 0.297}, "hangs through by 0.9 mm"),
        ({"height": one_row(0.9), "apart": 0.303}, {"height": one_row(0.9), "apart": 0.297}, "Row 200 mm"),
        ({"tilt": one_row(0.9), "apart": 0.303}, {"tilt": one_row(0.9), "apart": 0.297}, "Row 200 mm"),
        # A rod offset with the wrong sign is guessed from 3 mm on.
        ({"height": 2.96}, {"height": 3.04}, "with the wrong sign"),
    ],
)
def test_a_word_is_said_from_its_limit_on(silent, told, word):
    assert word not in " ".join(bar_words(made(**silent), "mm"))
    assert word in " ".join(bar_words(made(**told), "mm"))


def test_two_kinds_of_settings_have_no_height_in_common():
    """Of rows that sit 0.2 mm unlike the common height by turns; settings of a careful hand differ by 0.1 mm."""
    for unlike, said in ((0.098, True), (0.102, False)):
        words = bar_words(made(1.0 + unlike * np.array([1, -1, 0, 1, -1]), apart=1e-4), "mm")
        assert any("row: the bar sat" in one for one in words) == said


def test_a_height_is_a_number_up_to_an_error_of_a_millimetre():
    for error, known in ((0.98, True), (1.02, False)):
        (first, *_) = bar_report(made(0.5, apart=1e-6, error=error))
        assert (first["height_mm"] is not None, first["tilt_deg"] is not None) == (known, known)
        (first, *_) = bar_report(made(0.5, apart=1e-6, error=0.5 * error))
        assert (first["sag_mm"] is not None) == known


def test_sag_grows_by_the_square_of_what_was_read():
    """A bar of one curvature: half the span, a quarter of the sag; the height counts at the ends of what was read."""
    (first, *_) = bar_report(made(0.0, sag=0.8, reach=100.0))
    assert first["sag_mm"] == pytest.approx(0.2)
    # 0.8 mm below the line between places 200 mm off at the middle, 0.6 mm at 100 mm: the ends there sit that low.
    assert first["height_mm"] == pytest.approx(-0.6)


@pytest.mark.parametrize(("rise", "side"), [(0.9, "left"), (-0.9, "right")])
def test_a_rows_slope_is_told_in_degrees_and_by_its_low_side(rise, side):
    """0.9 mm over 200 mm are 0.258 degrees."""
    (words,) = bar_words(made(tilt=one_row(rise)), "mm")
    assert f"the bar sloped by 0.26 degrees, low on the sitter's {side}." in words


def test_three_of_four_rows_alike_have_something_in_common_and_three_of_five_have_not(monkeypatch):
    """Three rows at least, and three quarters of them."""
    for heights, said in (
        ((1.0, 1.0), False),
        ((1.0, 1.0, 1.0), True),
        ((1.0, 1.0, 1.0, 2.0), True),
        ((1.0, 1.0, 1.0, 2.0, 2.5), False),
    ):
        monkeypatch.setitem(globals(), "ROWS", 100.0 + 50.0 * np.arange(len(heights)))
        words = bar_words(made(np.array(heights)), "mm")
        assert any("row: the bar sat 1 mm high" in one for one in words) == said
        sloped = bar_words(made(tilt=np.full(len(heights), 0.9)), "mm")
        assert any(one.startswith("The bar sloped") for one in sloped) == (len(heights) >= 3)


def test_the_sag_of_all_settings_is_their_mean_weighed_by_how_surely_each_is_told():
    """Errors of 0.1 and 0.2 mm weigh as 4 to 1, and leave 1 / sqrt(100 + 25) mm; one of 2 mm tells nothing."""
    value, error = np.array([0.5, 0.9, -4.0]), np.array([0.1, 0.2, 2.0])
    covariance = np.zeros((9, 9))
    covariance[2::3, 2::3] = np.diag(error**2)
    bars = SimpleNamespace(part=lambda which: (value, error), covariance=covariance)
    found = _part(bars, 2, np.arange(3))
    assert found.common == pytest.approx(0.8 * 0.5 + 0.2 * 0.9)
    assert found.common_error == pytest.approx(1.0 / np.sqrt(125.0))
