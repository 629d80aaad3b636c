"""The model's own error: of two scores, one moves the peak and one the area, by as much as was measured."""

import numpy as np
import pytest

from seatmesh import estimate_body, flat_seat, sit
from seatmesh.design.study import comparison
from seatmesh.seating import figures_in_words
from seatmesh.seating.sureness.model_error import FLESH_AREA, FLESH_PEAK, LAW_AREA, LAW_PEAK, with_model_error


def test_errors_of_law_and_flesh_add_as_variances():
    rng = np.random.default_rng(5)
    drawn = np.column_stack(with_model_error(40.0, 900.0, rng.standard_normal((2, 20_000))))
    spread = np.log(drawn).std(axis=0)
    expected = np.sqrt([LAW_PEAK**2 + FLESH_PEAK**2, LAW_AREA**2 + FLESH_AREA**2])
    assert spread == pytest.approx(expected, rel=0.02)
    assert np.exp(np.log(drawn).mean(axis=0)) == pytest.approx([40.0, 900.0], rel=0.01)
    assert abs(np.corrcoef(drawn.T)[0, 1]) < 0.02


@pytest.mark.parametrize(("peak", "equal"), [(46.7, True), (46.9, False)])
def test_sitters_whose_peaks_the_model_cannot_tell_apart_are_equal(peak, equal):
    """Nine of ten pairs are told within 17 % (`tests/teacher/test_law.py`)."""
    rows = comparison(
        [{"body": name, "peak_kpa": kpa, "converged": True} for name, kpa in (("Ida", 40.0), ("Per", peak))]
    )
    assert [row["equal"] for row in rows] == [True, equal]


def test_tissue_pressed_farther_than_any_case_of_the_elements_is_not_told(monkeypatch):
    """They press to 0.308 of what is there by the law (`tests/teacher/test_law.py` draws the line through them)."""
    for left, told in ((0.3085, 0.3516), (0.3075, None), (0.6, 0.6262), (1.0, 1.0)):
        monkeypatch.setattr(figures_in_words, "thickness_left", lambda *_, left=left: left)
        said = figures_in_words.tissue_left(None, None, None)
        assert said == (told if told is None else pytest.approx(told, abs=5e-4))


@pytest.mark.parametrize(("load_n", "noted"), [(600.0, False), (1700.0, True)])
def test_flesh_pressed_beyond_what_was_learned_is_noted(load_n, noted):
    figures = sit(estimate_body("female", 1600.0, 68.0), flat_seat(), load_n=load_n).figures
    assert figures.converged
    assert any("farther than in any case" in note for note in figures.notes) == noted
    assert (figures.tissue_left_ratio is None) == noted
