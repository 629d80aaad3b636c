"""People drawn: the survey's quantiles, publics by weight, the second population's, and numbers that never change.

A1 to A3 are Pheasant's British adults (read in the source); A4 and A5 are US adults (means read, spreads from memory).
"""

import numpy as np
import pytest

from seatmesh.body.survey.draw import DRAWN
from seatmesh.body.survey.population import VARIABLES, load_population
from seatmesh.errors import ValueRefusedError
from seatmesh.people.builds import surveyed_people_left
from seatmesh.people.drawn import PART_SIZE, draw_part, part_sizes
from seatmesh.people.public import SOLDIERS, US_ADULTS, AgeBand, MeanAndSpread, Public
from seatmesh.people.question import PeopleQuestion
from seatmesh.surface import Seat

QUANTILES = (0.05, 0.5, 0.95)
SECOND = {
    "buttock_popliteal_length_mm": {"male": (440, 495, 550), "female": (435, 480, 530)},
    "popliteal_height_mm": {"male": (395, 440, 490), "female": (355, 400, 445)},
    "hip_breadth_sitting_mm": {"male": (310, 360, 405), "female": (310, 370, 435)},
}
"""A1, A2, A3: 5, 50 and 95 %, mm."""


def many(public, parts=100, seed=3):
    drawn = [draw_part(public, seed, part) for part in range(parts)]
    women = np.concatenate([one.builds.women for one in drawn])
    weights = np.concatenate([one.builds.weights for one in drawn])
    return women, weights, np.concatenate([one.measures for one in drawn])


def weighted_quantiles(values, weights, at=QUANTILES):
    order = np.argsort(values)
    below = (np.cumsum(weights[order]) - 0.5 * weights[order]) / weights.sum()
    return np.interp(at, below, values[order])


@pytest.mark.parametrize("sex", ["female", "male"])
def test_soldiers_have_the_surveys_quantiles(sex):
    women, weights, measures = many(SOLDIERS)
    who = women if sex == "female" else ~women
    population = load_population()[sex]
    for name in VARIABLES:
        if name == "age_years":
            continue
        found = weighted_quantiles(measures[who][:, DRAWN.index(name)], weights[who])
        sd = np.sqrt(population.covariance[VARIABLES.index(name)][VARIABLES.index(name)])
        spread = sd * (np.exp(population.mean[1]) if name == "mass_kg" else 1.0)
        for probability, value in zip(QUANTILES, found, strict=True):
            # 5,000 of a sex: a 5 % quantile is 0.03 of a spread off; ages are cut at 18, which moves it a little.
            assert value == pytest.approx(population.quantile(name, probability), abs=0.15 * spread), name


def test_a_public_has_its_means_and_spreads():
    women, weights, measures = many(US_ADULTS)
    for sex, who in (("female", women), ("male", ~women)):
        for name, stated in (("stature_mm", US_ADULTS.stature_mm[sex]), ("mass_kg", US_ADULTS.mass_kg[sex])):
            values, w = measures[who][:, DRAWN.index(name)], weights[who]
            mean = np.average(values, weights=w)
            assert mean == pytest.approx(stated.mean, abs=0.05 * stated.sd), (sex, name)
            assert np.sqrt(np.average((values - mean) ** 2, weights=w)) == pytest.approx(stated.sd, rel=0.06)
    assert weights.max() <= 2.0
    assert weights.mean() == pytest.approx(1.0, abs=0.02)


def test_bands_of_age_have_their_shares():
    women, weights, measures = many(Public(0.3, ages=(AgeBand(18, 30, 1.0), AgeBand(40, 58, 3.0))))
    age = measures[:, DRAWN.index("age_years")]
    assert np.average(age < 30, weights=weights) == pytest.approx(0.25, abs=0.02)
    assert np.average((age >= 30) & (age < 40), weights=weights) == 0.0
    assert np.average(women, weights=weights) == pytest.approx(0.3, abs=0.02)


def weighed_to(people, names, sex):
    """Return weights that give people the second population's middles and spreads of some measures.

    Normal by normal, the survey's correlations kept: what is compared beside them was not weighed.
    """
    values = people[:, [DRAWN.index(name) for name in names]]
    low, middle, high = np.array([SECOND[name][sex] for name in names]).T
    own = np.cov(values, rowvar=False)
    scale = (high - low) / (2 * 1.645) / np.sqrt(np.diag(own))
    ratio = np.zeros(len(people))
    for sign, mean, cov in ((1, middle, own * np.outer(scale, scale)), (-1, values.mean(axis=0), own)):
        off = values - mean
        ratio -= (
            0.5 * sign * (np.einsum("ni,ij,nj->n", off, np.linalg.inv(cov), off) + np.linalg.slogdet(cov)[1])
        )
    return np.minimum(np.exp(ratio), 20.0)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_weighing_by_two_rows_of_the_second_population_says_the_third(sex):
    """Weighed to A1 and A2 alone, the survey's hips go more than a third of the way to A3, and end within 20 mm of it.

    Pheasant's civilians are slighter than the soldiers for their legs, so they are not met.
    """
    women, _, measures = many(SOLDIERS, 200)
    people = measures[women if sex == "female" else ~women]
    names = list(SECOND)
    weights = weighed_to(people, names[:2], sex)
    for name in names[:2]:
        found = weighted_quantiles(people[:, DRAWN.index(name)], weights)
        assert found == pytest.approx(SECOND[name][sex], abs=6.0), name
    hips = people[:, DRAWN.index(names[2])]
    plain, weighed = (
        weighted_quantiles(hips, one)[1] - SECOND[names[2]][sex][1] for one in (np.ones(len(hips)), weights)
    )
    assert abs(weighed) < 20.0
    assert abs(weighed) < 0.67 * abs(plain)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_weighing_by_all_three_rows_gives_the_second_population(sex):
    """A1 to A3 at once: middles within 6 mm, ends within 16, and more than a sixth of the people still count.

    The ends are looser since Pheasant's are not quite normal: his women's hips reach as far to both sides, and the
    survey's farther up.
    """
    women, _, measures = many(SOLDIERS, 200)
    people = measures[women if sex == "female" else ~women]
    weights = weighed_to(people, list(SECOND), sex)
    for name, by_sex in SECOND.items():
        found = weighted_quantiles(people[:, DRAWN.index(name)], weights)
        assert found[1] == pytest.approx(by_sex[sex][1], abs=6.0), name
        assert found == pytest.approx(by_sex[sex], abs=16.0), name
    assert weights.sum() ** 2 / (weights**2).sum() > len(people) / 6.0
    # Unweighed, the soldiers miss at least one of the ends by more than that.
    plain = [weighted_quantiles(people[:, DRAWN.index(name)], np.ones(len(people))) for name in SECOND]
    assert np.abs(np.array(plain) - [by_sex[sex] for by_sex in SECOND.values()]).max() > 20.0


def test_the_same_seed_draws_the_same_people_whatever_was_drawn_before():
    once, again = draw_part(US_ADULTS, 5, 7), draw_part(US_ADULTS, 5, 7)
    assert once.measures.tobytes() == again.measures.tobytes()
    fewer = draw_part(US_ADULTS, 5, 7, 3)
    assert fewer.measures.tobytes() == once.measures[:3].tobytes()
    assert draw_part(US_ADULTS, 6, 7).measures.tobytes() != once.measures.tobytes()
    assert draw_part(US_ADULTS, 5, 8).measures.tobytes() != once.measures.tobytes()
    assert once.body(0).name == f"person {7 * PART_SIZE + 1}"


def test_parts_hold_all_people():
    assert part_sizes(250) == [100, 100, 50]
    assert part_sizes(100) == [100]


def test_how_many_of_the_survey_are_left():
    # All 4,850 with the survey's own share of women, by the arithmetic of Kish's effective size.
    assert surveyed_people_left(Public(1595 / 4850)) == pytest.approx(4850, abs=60)
    assert 200 < surveyed_people_left(US_ADULTS) < surveyed_people_left(SOLDIERS)


def test_a_public_that_the_survey_does_not_know_is_refused():
    giants = Public(mass_kg={"male": MeanAndSpread(150.0, 8.0), "female": MeanAndSpread(140.0, 8.0)})
    with pytest.raises(ValueRefusedError, match=r"of the survey's 4,850 people are left"):
        PeopleQuestion(Seat(), giants)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"women_share": 1.5}, "allowed are 0 to 1"),
        ({"ages": (AgeBand(10, 20, 1.0),)}, "children"),
        ({"ages": (AgeBand(30, 70, 1.0),)}, "nobody older"),
        ({"ages": (AgeBand(20, 40, 1.0), AgeBand(30, 50, 1.0))}, "overlap"),
        ({"ages": (AgeBand(20, 40, 0.0),)}, "above 0"),
        ({"stature_mm": {"male": MeanAndSpread(176.0, 7.0)}}, "give mm or kg"),
        ({"mass_kg": {"male": MeanAndSpread(80.0, 60.0)}}, "standard deviation"),
    ],
)
def test_publics_that_are_refused(given, words):
    with pytest.raises(ValueRefusedError, match=words):
        Public(**given)


@pytest.mark.parametrize("count", [0, 1_000_001])
def test_counts_that_are_refused(count):
    with pytest.raises(ValueRefusedError, match="1,000,000 people"):
        PeopleQuestion(Seat(), count=count)
