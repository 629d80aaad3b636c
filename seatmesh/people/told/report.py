"""What a study of people says, as one object for programs."""

from __future__ import annotations

from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.body.people_words import CHILDREN, OLD_AGE, PREGNANCY, WHEELCHAIR
from seatmesh.body.survey.population import SEXES
from seatmesh.cautions import PRESSURE, STRENGTH
from seatmesh.people.counted.groups import DECILES, MEASURES
from seatmesh.people.counted.share import Share
from seatmesh.people.counted.tally import PEAKS_KPA, TIMES, group_place
from seatmesh.people.own_best import DEPTHS_MM, DESIGNED, OWN_ERROR, greatest_depth_mm, own_depth_mm
from seatmesh.people.question import FEW_LEFT, beyond_words, survey_limits
from seatmesh.people.study import PeopleStudy
from seatmesh.seating.many.rim import has_hollow
from seatmesh.units import format_length

TOLD = (0.1, 0.5, 0.9)
NOTED_BEYOND = 0.002


def people_report(study: PeopleStudy) -> dict[str, Any]:
    """Return all of a study as plain values."""
    question = study.question
    served, unknown = study.share("served"), study.share("unknown")
    return {
        "title": question.seat.title,
        "count": study.tally.count,
        "seed": question.seed,
        "served_share": served.value,
        "standard_error": served.standard_error,
        "interval_95": [served.low_95, served.high_95],
        "effective_people": round(served.effective, 1),
        "served_share_if_peaks_differ": dict(zip(("higher", "lower"), study.served_if, strict=True)),
        "unknown_share": unknown.value,
        "by_sex": {sex: _group(study, sex=sex, measure=None) for sex in SEXES},
        "by_decile": [
            {"sex": sex, "measure": name, "decile": k + 1}
            | _group(study, sex=sex, measure=name, decile=k + 1)
            for sex in SEXES
            for name in MEASURES
            for k in range(DECILES)
        ],
        "criteria": [
            {**one, **study.share(one["name"]).facts()} for one in question.asked.facts(question.seat.units)
        ],
        "failing": [one.facts(question.asked, question.seat.units) for one in study.failing],
        "peak_kpa": _quantiles(study.tally.by_peak.sum(axis=0), PEAKS_KPA),
        "peak_over_own_best": _quantiles(study.tally.by_times.sum(axis=0), TIMES),
        "public": question.public.facts(),
        "survey": {
            "people_left": round(study.surveyed_left),
            "beyond_share": study.beyond_share,
            "range": survey_limits(),
        },
        "own_best": {
            "depth_mm": own_depth_mm(question.seat),
            "standard_error": OWN_ERROR,
            "seats_designed": DESIGNED,
        },
        "front_height_mm": question.at_a_height.chair.front_height_mm,
        "notes": notes_of(study),
        "caution": f"{PRESSURE} {STRENGTH}",
    }


def _group(study: PeopleStudy, **made_of: object) -> dict[str, Any]:
    share: Share = study.share("served", group_place(**made_of))
    return share.facts()


def _quantiles(weights: Floats, edges: Floats) -> dict[str, float | None]:
    """Return `TOLD` quantiles of binned weights, straight lines within a bin; None where there are none."""
    total = float(weights.sum())
    if total <= 0.0:
        return {f"q{round(100 * one)}": None for one in TOLD}
    below = np.concatenate([[0.0], np.cumsum(weights)]) / total
    return {f"q{round(100 * one)}": float(np.interp(one, below, edges)) for one in TOLD}


def notes_of(study: PeopleStudy) -> list[str]:
    """Return what a maker should know before trusting the shares."""
    question, units = study.question, study.question.seat.units
    out = []
    if question.seat.chair.front_height_mm is None:
        height = format_length(question.at_a_height.chair.front_height_mm or 0.0, units)
        out.append(
            f"the seat states no height: a front edge {height} above the ground is taken (D3); state "
            "front_height_mm, since feet hang on it"
        )
    if not has_hollow(question.seat):
        out.append(
            "the seat has no hollow: no load lies outside one, and what is asked of the rim is met by all"
        )
    depth = greatest_depth_mm(question.seat)
    if not DEPTHS_MM[0] <= depth <= DEPTHS_MM[1] and question.asked.peak_times_own_best is not None:
        out.append(
            f"the seat is {format_length(depth, units)} deep; it is compared with seats of one's own of "
            f"{format_length(own_depth_mm(question.seat), units)}, the nearest that were designed"
        )
    if study.surveyed_left < FEW_LEFT:
        out.append(
            f"only {study.surveyed_left:.0f} of the survey's 4,850 people are left, in effect, under this public's "
            "weights: its shape beyond mean and spread is hardly known"
        )
    if study.beyond_share > NOTED_BEYOND:
        out.append(beyond_words(study.beyond_share, survey_limits()))
    unknown = study.share("unknown").value
    if unknown > 0.0:
        out.append(
            f"{100.0 * unknown:.1f} % find no balance that the model knows; they count as not served, which may be "
            "wrong"
        )
    out.append(
        "everybody sits upright at the usual place, and is built as the survey's soldiers are for their stature, mass "
        "and age, 18 to 58 years; none of these is in the shares: " + _others()
    )
    return out


def _others() -> str:
    """Return whom no share counts, by the first words of what is said of them elsewhere."""
    return ", ".join(one.partition(":")[0].lower() for one in (CHILDREN, PREGNANCY, OLD_AGE, WHEELCHAIR))
