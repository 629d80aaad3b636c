"""90 % intervals of estimated measures against the survey's people, by fifth of body mass index and by age.

The survey is that of Gordon et al. 2014, NATICK/TR-15/007; its rows are needed, and are not part of the project.
"""

from __future__ import annotations

import numpy as np
import pytest
import survey_coverage

from seatmesh.body.survey import derive
from seatmesh.body.survey.population import REST, SEXES, VARIABLES

pytestmark = pytest.mark.skipif(
    not survey_coverage.ROWS.is_file(), reason="the survey's rows are not at hand"
)


@pytest.fixture(scope="module")
def people() -> survey_coverage.People:
    return derive.read_rows(survey_coverage.ROWS)


def test_intervals_hold_in_every_fifth_of_bmi_and_every_age_band(people: survey_coverage.People) -> None:
    for sex, tried in survey_coverage.left_out_in_turn(people).items():
        for group, who in {**tried.by_fifth(), **tried.by_age()}.items():
            assert 87.0 <= tried.share(who) <= 93.0, (sex, group)
            # Measure by measure a group is small: one standard error of a share of 90 % beside.
            chance = 100.0 * np.sqrt(0.09 / who.sum())
            each = 100.0 * tried.inside[who].mean(axis=0)
            assert np.all(np.abs(each - 90.0) <= 3.0 + chance), (sex, group, each)


def test_without_an_age_the_intervals_hold_but_for_the_oldest(people: survey_coverage.People) -> None:
    for tried in survey_coverage.left_out_in_turn(people, survey_coverage.WITHOUT_AGE).values():
        assert all(87.0 <= tried.share(who) <= 93.0 for who in tried.by_fifth().values())
        *younger, oldest = tried.by_age().values()
        assert all(87.0 <= tried.share(who) <= 93.0 for who in younger)
        assert 84.0 <= tried.share(oldest) <= 93.0


def test_the_scatter_grows_with_bmi_as_the_rows_say(people: survey_coverage.People) -> None:
    """Straight from the rows: residuals of the top fifth over those of the bottom fifth, as the powers predict."""
    girth = VARIABLES.index("thigh_circumference_mm")
    for sex in SEXES:
        rows = people[sex]
        design = np.column_stack([np.ones(len(rows)), rows[:, 0], np.log(rows[:, 1]), rows[:, 9]])
        off = rows[:, girth] - design @ np.linalg.lstsq(design, rows[:, girth], rcond=None)[0]
        fifth = survey_coverage.fifths(rows)
        ln_bmi = np.log(rows[:, 1] / (rows[:, 0] / 1000.0) ** 2)
        grown = np.log(off[fifth == 4].std() / off[fifth == 0].std())
        power = grown / (ln_bmi[fifth == 4].mean() - ln_bmi[fifth == 0].mean())
        committed = derive.figures(rows, rows, rows[:1])["scatter_by_ln_bmi"]["thigh_circumference_mm"]
        assert power == pytest.approx(committed, abs=0.3)
    assert VARIABLES[REST[5]] == "thigh_circumference_mm"


def test_hardly_anybody_is_told_to_take_a_true_reading_again(people: survey_coverage.People) -> None:
    for again, of in survey_coverage.told_again(people, 35.0).values():
        assert of >= 16
        assert again <= max(1, 0.03 * of)
