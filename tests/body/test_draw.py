"""Drawn bodies: against the closed form of the joint conditional distribution, in its precision form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import norm, qmc, truncnorm

from seatmesh.body.body import Body, Habit, Measure, Sex
from seatmesh.body.figure.anatomy import anatomy_of
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey import draw
from seatmesh.body.survey.draw import DIMENSIONS, DRAWN, draw_bodies, evened_points, joints_of, spread_points
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.population import SEXES, VARIABLES, load_population
from seatmesh.body.survey.sit_bone_tissue import TISSUE, TISSUE_BAND_MM, expected_tissue_mm
from seatmesh.body.survey.sit_bones import SIT_BONES, SPACING
from seatmesh.body.survey.underside import FLATNESS
from seatmesh.errors import InputError
from seatmesh.seating.sureness.uncertainty import CHANCES, SAMPLES, SEED

CovarianceOfBuild = Callable[[Sex, float, float], np.ndarray]
HIP = "hip_breadth_sitting_mm"
LENGTHS = [name for name in VARIABLES if name != "mass_kg"]
WOMAN = estimate_body("female", 1665.0, 71.0, thigh_clearance_mm=162.0, sit_bone_spacing_mm=133.0)
UNSTATED = estimate_body(None, 1690.0, 68.0)


def table(bodies: tuple[Body, ...], names: list[str]) -> np.ndarray:
    return np.array([[body.value(name) for name in names] for body in bodies])


@pytest.fixture(scope="module")
def woman(covariance_of_build: CovarianceOfBuild) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of what `WOMAN` leaves open."""
    return closed_form(WOMAN, covariance_of_build("female", 1665.0, 71.0))


def closed_form(body: Body, covariance: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Information adds up: P = (C^-1 + H^T R^-1 H)^-1, mean = P (C^-1 m + H^T R^-1 y); sit bones beside the survey."""
    population, bones = load_population()[body.sex], SIT_BONES[body.sex]
    names = [*VARIABLES, SPACING]
    prior = np.zeros((len(names),) * 2)
    prior[:-1, :-1], prior[-1, -1] = covariance, bones.sd_mm**2
    mean = np.append(population.mean, bones.mean_mm)
    information, pull = np.linalg.inv(prior), np.linalg.solve(prior, mean)
    for i, name in enumerate(names):
        measure = body.measures.get(name)
        if measure is None or measure.origin == "estimated":
            continue
        mass = name == "mass_kg"
        value = np.log(measure.value) if mass else measure.value
        error = measure.standard_error / measure.value if mass else measure.standard_error
        information[i, i] += error**-2.0
        pull[i] += value * error**-2.0
    covariance = np.linalg.inv(information)
    return covariance @ pull, covariance


def test_the_joint_distribution_agrees_with_the_precision_form(woman: tuple[np.ndarray, np.ndarray]) -> None:
    mean, covariance = woman
    (joint,) = joints_of(WOMAN)
    assert joint.mean == pytest.approx(mean, rel=1e-9)
    scale = np.sqrt(np.diag(covariance))
    assert joint.covariance / np.outer(scale, scale) == pytest.approx(
        covariance / np.outer(scale, scale), abs=1e-7
    )
    assert (joint.sex, joint.weight) == ("female", 1.0)


def test_draws_have_the_conditional_means_and_covariances(woman: tuple[np.ndarray, np.ndarray]) -> None:
    # Ages are held to those of the survey, which bends their distribution: left out here.
    kept = [i for i, name in enumerate([*VARIABLES, SPACING]) if name != "age_years"]
    mean, covariance = woman[0][kept], woman[1][np.ix_(kept, kept)]
    drawn = table(draw_bodies(WOMAN, 8192, 3), [*VARIABLES, SPACING])[:, kept]
    drawn[:, 1] = np.log(drawn[:, 1])
    scale = np.sqrt(np.diag(covariance))
    # Spread points: errors are some tenths of the 1 % that 8192 random draws would have.
    assert (drawn.mean(axis=0) - mean) / scale == pytest.approx(np.zeros(10), abs=0.004)
    found = np.cov(drawn.T) / np.outer(scale, scale)
    assert found == pytest.approx(covariance / np.outer(scale, scale), abs=0.012)


def test_estimated_measures_are_drawn_about_what_the_body_says() -> None:
    drawn = table(draw_bodies(WOMAN, 4096, 4), [HIP, "popliteal_height_mm"])
    for column, name in zip(drawn.T, (HIP, "popliteal_height_mm"), strict=True):
        said = WOMAN.measures[name]
        assert column.mean() == pytest.approx(said.value, abs=0.01 * said.standard_error)
        assert column.std() == pytest.approx(said.standard_error, rel=0.01)


def test_measured_measures_are_drawn_within_their_error() -> None:
    for name, error in (("stature_mm", 6.0), ("mass_kg", 1.0), ("thigh_clearance_mm", 6.0)):
        column = table(draw_bodies(WOMAN, 2048, 5), [name])[:, 0]
        assert column.std() <= error
        assert column.std() > 0.7 * error
        assert abs(column.mean() - WOMAN.value(name)) < error


def test_without_a_sex_draws_follow_the_mixture_of_the_body() -> None:
    bodies = draw_bodies(UNSTATED, 8192, 6)
    weights = {joint.sex: joint.weight for joint in joints_of(UNSTATED)}
    assert 0.1 < weights["female"] < 0.9
    assert np.mean([body.sex == "female" for body in bodies]) == pytest.approx(weights["female"], abs=0.002)
    for name in (HIP, "thigh_circumference_mm", SPACING):
        said, column = UNSTATED.measures[name], table(bodies, [name])[:, 0]
        found = np.quantile(column, [0.05, 0.5, 0.95])
        wide = said.high_90 - said.low_90
        assert found == pytest.approx([said.low_90, said.value, said.high_90], abs=0.01 * wide)
    hips = {sex: table(tuple(b for b in bodies if b.sex == sex), [HIP]).mean() for sex in weights}
    (female, male) = joints_of(UNSTATED)
    assert hips["female"] - hips["male"] == pytest.approx(female.mean[2] - male.mean[2], rel=0.02)


def test_broad_hips_come_with_thick_thighs() -> None:
    drawn = table(draw_bodies(UNSTATED, 2048, 7), [HIP, "thigh_circumference_mm"])
    assert np.corrcoef(drawn.T)[0, 1] > 0.5


def test_drawn_women_have_thicker_tissue_than_men_of_like_build() -> None:
    bodies = draw_bodies(UNSTATED, 2048, 7)
    women, men = (table(tuple(b for b in bodies if b.sex == sex), [TISSUE]).mean() for sex in SEXES)
    stature, mass = UNSTATED.value("stature_mm"), UNSTATED.value("mass_kg")
    expected = [float(expected_tissue_mm(sex, stature, mass)) for sex in SEXES]
    assert women - men == pytest.approx(expected[0] - expected[1], abs=0.5)


def test_tissue_is_drawn_about_its_expectation() -> None:
    known = {name: Measure(WOMAN.value(name), 0.0, "given") for name in WOMAN.measures}
    known |= {name: WOMAN.measures[name] for name in (TISSUE, FLATNESS)}
    bodies = draw_bodies(replace(WOMAN, measures=known), 8192, 8)
    for name, band in ((TISSUE, TISSUE_BAND_MM), (FLATNESS, (60.0, 160.0))):
        said, column = WOMAN.measures[name], table(bodies, [name])[:, 0]
        low, high = ((end - said.value) / said.standard_error for end in band)
        theory = truncnorm(low, high, loc=said.value, scale=said.standard_error)
        assert column.mean() == pytest.approx(theory.mean(), rel=0.0003)
        assert column.std() == pytest.approx(theory.std(), rel=0.004)


@pytest.mark.parametrize(("mass", "stature"), [(40.0, 1500.0), (190.0, 1800.0)])
def test_all_is_plausible_at_both_ends(mass: float, stature: float) -> None:
    bodies = draw_bodies(estimate_body(None, stature, mass), 512, 9)
    for name, kind in MEASURES.items():
        column = table(bodies, [name])
        assert column.min() >= kind.lowest
        assert column.max() <= kind.highest
    tissue = table(bodies, [TISSUE])
    assert tissue.min() >= TISSUE_BAND_MM[0]
    assert tissue.max() <= TISSUE_BAND_MM[1]
    assert np.all(np.isfinite(table(bodies, list(DRAWN))))


def test_a_reading_at_the_end_of_its_range_is_held_there() -> None:
    edge = MEASURES["thigh_clearance_mm"].lowest
    with_slack = {"thigh_clearance_mm": Measure(edge, 1.0, "measured")}
    column = table(
        draw_bodies(estimate_body("female", 1500.0, 40.0, **with_slack), 256, 1), ["thigh_clearance_mm"]
    )
    assert column.min() == edge
    assert column.max() > edge


def test_same_seed_same_draws_and_more_draws_begin_with_fewer() -> None:
    first, again, other = (draw_bodies(UNSTATED, 20, seed) for seed in (1, 1, 2))
    assert first == again
    assert first != other
    assert draw_bodies(UNSTATED, 33, 1)[:20] == first
    assert [len(draw_bodies(UNSTATED, n, 1)) for n in (1, 2, 3)] == [1, 2, 3]


def test_name_and_habit_stay() -> None:
    named = replace(UNSTATED, name="viola", habit=Habit(splay_deg=12.0, forward_mm=9.0))
    for body in draw_bodies(named, 5, 1):
        assert (body.name, body.habit) == (named.name, named.habit)
        assert {measure.standard_error for measure in body.measures.values()} == {0.0}


def test_a_body_known_exactly_is_drawn_as_itself() -> None:
    (one,) = draw_bodies(UNSTATED, 1, 3)
    for again in draw_bodies(one, 4, 5):
        assert again.sex == one.sex
        assert [again.value(name) for name in DRAWN] == pytest.approx(
            [one.value(name) for name in DRAWN], rel=1e-6
        )


def test_the_anatomy_takes_what_a_body_carries() -> None:
    given = {TISSUE: Measure(31.5, 2.0, "given"), FLATNESS: Measure(125.0, 5.0, "given")}
    carried = estimate_body("female", 1640.0, 61.0, **given)
    anatomy = anatomy_of(carried)
    assert (anatomy.tissue, anatomy.flatness) == (31.5, 1.25)
    drawn = table(draw_bodies(carried, 1024, 2), [TISSUE, FLATNESS])
    assert drawn.mean(axis=0) == pytest.approx([31.5, 125.0], rel=0.005)
    assert drawn.std(axis=0) == pytest.approx([2.0, 5.0], rel=0.005)


def test_evened_points_have_the_moments_of_a_normal_distribution() -> None:
    points = evened_points(64, DIMENSIONS, 11)
    scores = ndtri(points)
    assert scores.mean(axis=0) == pytest.approx(np.zeros(DIMENSIONS), abs=1e-12)
    assert np.cov(scores.T) == pytest.approx(np.eye(DIMENSIONS), abs=1e-12)
    moved = np.abs(points - spread_points(64, DIMENSIONS, 11))
    assert 0.0 < moved.mean() < 0.03


@pytest.mark.parametrize(("n", "seed"), [(0, 1), (-3, 1), (2**16 + 1, 1), (4, -1)])
def test_refused_numbers_and_seeds(n: int, seed: int) -> None:
    with pytest.raises(InputError, match="allowed are"):
        draw_bodies(UNSTATED, n, seed)


@pytest.mark.parametrize("n", [33, 50, 64])
def test_points_that_stand_ready_are_scipys(n: int) -> None:
    """Those that the usual uncertainty takes; a count, a seed or a dimension beside them comes from SciPy itself."""
    dimensions = DIMENSIONS + CHANCES
    for seed in (SEED, SEED + 1):
        expected = qmc.Sobol(dimensions, rng=seed).random_base2(6)[:n]
        assert np.array_equal(spread_points(n, dimensions, seed), expected)


def test_the_usual_uncertainty_finds_its_points_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(qmc, "Sobol", lambda *_args, **_options: pytest.fail("SciPy was asked"))
    assert spread_points(SAMPLES, DIMENSIONS + CHANCES, SEED).shape == (SAMPLES, DIMENSIONS + CHANCES)


def test_too_few_points_to_be_evened_are_refused() -> None:
    with pytest.raises(InputError, match="24"):
        evened_points(23, 12, 1)


def test_a_tissue_that_was_given_is_drawn_at_the_quantiles_of_its_error() -> None:
    """SciPy's normal distribution: more at a greater share of people."""
    given = {**WOMAN.measures, TISSUE: Measure(40.0, 3.0, "given")}
    shares = np.array([0.1, 0.5, 0.8])
    drawn = draw._tissue(replace(WOMAN, measures=given), ("female",) * 3, np.zeros((3, 12)), shares)
    assert drawn == pytest.approx(norm.ppf(shares, 40.0, 3.0))


def test_a_flatness_that_was_given_is_drawn_at_the_quantiles_of_its_error() -> None:
    """SciPy's normal distribution: flatter at a greater share of people."""
    given = {**WOMAN.measures, FLATNESS: Measure(110.0, 6.0, "given")}
    shares = np.array([0.1, 0.5, 0.8])
    assert draw._flatness(replace(WOMAN, measures=given), shares) == pytest.approx(
        norm.ppf(shares, 110.0, 6.0)
    )
