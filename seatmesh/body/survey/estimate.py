"""A body from a few measures: the rest is estimated from the survey, with how surely it is known."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from seatmesh.body.body import Body, Measure, Sex
from seatmesh.body.body_notes import plausibility_notes
from seatmesh.body.given_measures import checked_measures, checked_sex
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.conditioning import Conditioned, MeasureReadings, condition
from seatmesh.body.survey.mixture import Mixture
from seatmesh.body.survey.population import (
    SEXES,
    VARIABLES,
    Population,
    error_to_normal,
    load_population,
    to_normal,
)
from seatmesh.body.survey.sit_bone_tissue import TISSUE, estimate_tissue
from seatmesh.body.survey.sit_bones import SPACING, estimate_sit_bones, log_likelihood
from seatmesh.body.survey.underside import FLATNESS, usual_flatness


def estimate_body(
    sex: Sex | None, stature_mm: float | Measure, mass_kg: float | Measure, **known_measures: float | Measure
) -> Body:
    """Return a body with every measure of the table, from those given.

    A number is a reading by hand and gets the usual error of its taking (6 mm, 1 kg); a `Measure` brings its
    own. What was given keeps its value and error, so that a maker sees what the tape said, although the
    survey could shift it a little; what was not is estimated from all that was, each reading weighed by its
    own error. Without a sex the estimate is the mixture of both, weighed by how well the readings fit each
    (half and half before any): its median, its standard deviation, and its own 5 % and 95 % quantiles. Notes
    say what is unlikely or beyond the survey.

    Raises
    ------
    UnknownKeyError, ValueRefusedError
        See `seatmesh.body.given_measures.checked_measures`; also for a sex other than "male", "female" and None.

    Examples
    --------
    >>> from seatmesh import estimate_body
    >>> body = estimate_body("male", 1740, 69, popliteal_height_mm=430)
    >>> body.value("popliteal_height_mm")
    430.0
    >>> spacing = body.measures["sit_bone_spacing_mm"]
    >>> spacing.origin, spacing.low_90 < spacing.value < spacing.high_90
    ('estimated', True)
    """
    stated = checked_sex(sex)
    given = checked_measures({"stature_mm": stature_mm, "mass_kg": mass_kg, **known_measures})
    return estimate_from(load_population(), stated, given)


def estimate_from(
    population: Mapping[Sex, Population], sex: Sex | None, given: Mapping[str, Measure]
) -> Body:
    """Return the body that checked measures make in a population; see `estimate_body`."""
    readings = readings_of(given)
    candidates: tuple[Sex, ...] = SEXES if sex is None else (sex,)
    seen = {
        one: condition(population[one].mean, population[one].covariance_for(readings), readings)
        for one in candidates
    }
    weights = sex_weights(seen, given.get(SPACING))
    measures = {
        name: given[name] if name in given else _estimated(name, seen, weights, given)
        for name, kind in MEASURES.items()
        if name in given or kind.estimated
    }
    notes = plausibility_notes(population, weights, given, readings)
    return Body(_described(sex, given), sex, measures, notes=notes)


def readings_of(given: Mapping[str, Measure]) -> MeasureReadings:
    """Return the given measures that the survey holds, on the scale of its normal distribution."""
    names = [name for name in VARIABLES if name in given]
    return MeasureReadings(
        np.array([VARIABLES.index(name) for name in names], dtype=np.int64),
        np.array([to_normal(name, given[name].value) for name in names]),
        np.array([error_to_normal(name, given[name].value, given[name].standard_error) for name in names]),
    )


def sex_weights(seen: Mapping[Sex, Conditioned], sit_bones: Measure | None) -> dict[Sex, float]:
    """Return the probability of each sex given the readings, both being as likely before."""
    logs = np.array(
        [
            one.log_density + (0.0 if sit_bones is None else log_likelihood(sit_bones, sex))
            for sex, one in seen.items()
        ]
    )
    likelihoods = np.exp(logs - np.max(logs))
    shares = likelihoods / np.sum(likelihoods)
    return {sex: float(share) for sex, share in zip(seen, shares, strict=True)}


def _estimated(
    name: str,
    seen: Mapping[Sex, Conditioned],
    weights: Mapping[Sex, float],
    given: Mapping[str, Measure],
) -> Measure:
    if name == SPACING:
        return estimate_sit_bones(weights)
    if name == TISSUE:
        return estimate_tissue(weights, given["stature_mm"].value, given["mass_kg"].value)
    if name == FLATNESS:
        return usual_flatness()
    i = VARIABLES.index(name)
    return Mixture(
        np.array([weights[sex] for sex in seen]),
        np.array([one.mean[i] for one in seen.values()]),
        np.array([one.sd[i] for one in seen.values()]),
    ).measure()


def _described(sex: Sex | None, given: Mapping[str, Measure]) -> str:
    who = {"female": "woman", "male": "man", None: "sitter"}[sex]
    return f"{who}, {given['stature_mm'].value:g} mm, {given['mass_kg'].value:g} kg"
