"""What a copy says of its bars, and from where on: by figures that are known."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.errors import FileRefusedError
from seatmesh.gauge.bar.placings import Placings
from seatmesh.gauge.copy import copy_words
from seatmesh.gauge.copy.copy_words import bar_notes, refuse_uneven_deck, refuse_untold, size, unread_notes
from seatmesh.gauge.copy.told_bars import ToldBars

Z90 = 1.6449


def told(**known):
    placings = Placings(
        np.arange(5), np.zeros(5), np.arange(100.0, 350.0, 50.0), np.ones(5, dtype=bool), True, 215.0
    )
    usual = {
        "height_mm": np.zeros(5),
        "height_error_mm": np.full(5, 0.01),
        "tilt_deg": np.zeros(5),
        "told_by": np.full(5, 4),
        "level_mm": 0.0,
        "level_error_mm": 0.01,
        "sag_mm": 0.0,
        "sag_error_mm": 0.01,
    }
    return ToldBars(placings=placings, **{**usual, **known})


def one(value, usual=0.0):
    return np.array([usual, usual, value, usual, usual])


@pytest.mark.parametrize(
    ("silent", "said", "words"),
    [
        # A level or a sag of 0.15 mm, and of two standard errors, is told; a single bar's height from 0.5 mm on.
        ({"level_mm": 0.147}, {"level_mm": 0.153}, "too much throughout"),
        ({"level_mm": -0.147}, {"level_mm": -0.153}, "too little throughout"),
        ({"level_mm": 1.0, "level_error_mm": 0.51}, {"level_mm": 1.0, "level_error_mm": 0.49}, "throughout"),
        ({"sag_mm": 0.147}, {"sag_mm": 0.153}, "lower in its middle"),
        ({"sag_mm": -0.147}, {"sag_mm": -0.153}, "higher in its middle"),
        (
            {"sag_mm": 0.2, "sag_error_mm": 0.102},
            {"sag_mm": 0.2, "sag_error_mm": 0.098},
            "lower in its middle",
        ),
        ({"height_mm": one(0.49)}, {"height_mm": one(0.51)}, "high against the others"),
        ({"height_mm": one(-0.49)}, {"height_mm": one(-0.51)}, "low against the others"),
        (
            {"height_mm": one(1.0), "height_error_mm": one(0.51, 0.01)},
            {"height_mm": one(1.0), "height_error_mm": one(0.49, 0.01)},
            "high against the others",
        ),
        # Half-widths of 90 % intervals: 0.4 mm of sag and 0.6 mm of height are not told.
        ({"sag_error_mm": 0.395 / Z90}, {"sag_error_mm": 0.405 / Z90}, "how far the bar bends"),
        (
            {"height_error_mm": one(0.592 / Z90)},
            {"height_error_mm": one(0.608 / Z90)},
            "row 200 mm from the rear edge: uncut wood tells the height of the bar to 0.61 mm only",
        ),
    ],
)
def test_a_word_is_said_from_its_limit_on(silent, said, words):
    assert words not in " ".join(bar_notes(told(**silent), "mm"))
    assert words in " ".join(bar_notes(told(**said), "mm"))


@pytest.mark.parametrize(("half", "noted"), [(1.19, False), (1.21, True)])
def test_a_depth_known_to_1_2_mm_and_no_better_was_not_read(half, noted):
    error = SimpleNamespace(
        half_width_mm=np.array([0.3, half]), x_mm=np.array([0.0, 50.0]), y_mm=np.array([100.0, 300.0])
    )
    assert bool(unread_notes(error, "mm")) == noted


@pytest.mark.parametrize(("half", "refused"), [(1.48, False), (1.52, True)])
def test_a_hollow_whose_level_is_known_to_1_5_mm_is_not_known(half, refused):
    fit = SimpleNamespace(cut=np.array([True, False]), questioned=np.zeros(2, dtype=bool))
    error = SimpleNamespace(bottom_half_width_mm=half)
    if refused:
        with pytest.raises(FileRefusedError, match="read the deck"):
            refuse_untold(error, fit, "readings")
    else:
        refuse_untold(error, fit, "readings")


def deck(off, count=20, uneven=5):
    return SimpleNamespace(
        parts=SimpleNamespace(
            ahead=np.zeros(count, dtype=bool), off_mm=np.where(np.arange(count) < uneven, off, 0.0)
        ),
        bars_mm=lambda: np.zeros(count),
    )


def test_a_deck_of_which_a_fifth_is_a_millimetre_off_is_no_deck():
    for made in (deck(0.98), deck(1.02, uneven=4), deck(1.02, count=7)):
        refuse_uneven_deck(made, "readings")
    for made in (deck(1.02), deck(-1.02), deck(1.02, count=8)):
        with pytest.raises(FileRefusedError, match="off flat"):
            refuse_uneven_deck(made, "readings")


def test_an_error_is_never_told_as_nothing():
    """Half of the last step of the rule: 1/128 of an inch; hundredths of a millimetre up to where tenths do."""
    assert size(25.4 / 128.0 - 0.002, "in") == 'less than 1/64"'
    assert size(25.4 / 128.0 + 0.002, "in") == '1/64"'
    assert size(0.944, "mm") == "0.94 mm"
    assert size(-0.956, "mm") == "1 mm"
    assert pytest.approx(Z90, abs=1e-4) == copy_words.NORMAL_90


@pytest.mark.parametrize(("off", "told"), [(0.0, []), (1.5, ["high"]), (-1.5, ["low"])])
def test_a_bar_is_named_that_sat_otherwise_than_most(off, told):
    """All of them lie 4 mm above the stated height: that is no oddity."""
    height = np.array([4.0, 4.1, 4.0 + off, 3.9, 4.0])
    placings = SimpleNamespace(at_mm=50.0 * np.arange(5), across=np.ones(5, dtype=bool))
    bars = SimpleNamespace(height_mm=height, height_error_mm=np.full(5, 0.1), placings=placings)
    words = copy_words._odd(bars, "mm")
    assert ["high" if "high" in one else "low" for one in words] == told
    assert all("1.5 mm" in one for one in words)
