"""What a study of people says, in words for a maker."""

from __future__ import annotations

from typing import Any

from seatmesh.body.survey.population import SEXES
from seatmesh.people.counted.groups import DECILES, MEASURES
from seatmesh.people.failing import described
from seatmesh.people.study import PeopleStudy
from seatmesh.people.told.report import people_report
from seatmesh.units import format_length, peak_square, wrapped

WIDTH = 96
OF = {"stature_mm": "stature", "mass_kg": "mass"}
SERVED_WORDS = {"female": "women", "male": "men"}


def people_text(study: PeopleStudy, report: dict[str, Any] | None = None) -> str:
    """Return a study in words."""
    facts = people_report(study) if report is None else report
    parts = [
        _head(study, facts),
        _criteria(facts),
        _by_sex(facts),
        _by_decile(facts),
        _failing(study),
        _peaks(facts, study.question.seat.units),
        "\n".join(
            line for note in facts["notes"] for line in wrapped(note, WIDTH, first="note: ", then="      ")
        ),
        "\n".join(wrapped(facts["caution"], WIDTH)),
    ]
    return "\n\n".join(part for part in parts if part)


def percent(share: float | None, error: float | None = None) -> str:
    """Return a share in percent, with its standard error where there is one."""
    if share is None:
        return "-"
    return f"{100.0 * share:.1f} %" + ("" if error is None else f" ± {100.0 * error:.1f}")


def _head(study: PeopleStudy, facts: dict[str, Any]) -> str:
    low, high = facts["interval_95"]
    higher, lower = (facts["served_share_if_peaks_differ"][name] for name in ("higher", "lower"))
    lines = [
        f"{facts['title']}: serves {percent(facts['served_share'])} of {facts['public']['words']}",
        f"  by {facts['count']:,} people drawn (seed {facts['seed']}): {percent(low)} to {percent(high)} with 95 % "
        f"certainty, worth {facts['effective_people']:,.0f} people of equal weight",
    ]
    if abs(higher - lower) > 0.001:
        lines.append(
            f"  were all peaks higher or lower by the model's standard error: {percent(higher)} or {percent(lower)}"
        )
    survey = facts["survey"]
    lines.append(
        f"  {survey['people_left']:,} of the survey's 4,850 people are left, in effect, under this public's weights"
    )
    return "\n".join(lines)


def _criteria(facts: dict[str, Any]) -> str:
    rows = [
        (one["words"], percent(one["share"], one["standard_error"]), one["source"])
        for one in facts["criteria"]
    ]
    width = max(len(words) for words, _, _ in rows)
    lines = [f"  {words.ljust(width)}  {share:>14}   {source}" for words, share, source in rows]
    return "\n".join(
        ["What is asked, and the share who have it (± one standard error of the drawing)", *lines]
    )


def _by_sex(facts: dict[str, Any]) -> str:
    return "\n".join(
        f"{SERVED_WORDS[sex]:6} {percent(one['share'], one['standard_error'])}"
        for sex, one in facts["by_sex"].items()
    )


def _by_decile(facts: dict[str, Any]) -> str:
    """Return the shares served by decile, in columns of a hundred, least people first."""
    lines = [f"{'Served, %, by decile, least first':36}" + "".join(f"{k + 1:>5}" for k in range(DECILES))]
    for sex in SEXES:
        for name in MEASURES:
            row = [one for one in facts["by_decile"] if (one["sex"], one["measure"]) == (sex, name)]
            cells = ["    -" if one["share"] is None else f"{100.0 * one['share']:5.0f}" for one in row]
            lines.append(f"  {SERVED_WORDS[sex] + ', ' + OF[name]:34}" + "".join(cells))
    return "\n".join(lines)


def _failing(study: PeopleStudy) -> str:
    lines = [
        line
        for one in described(study.failing, study.question.asked, study.question.seat.units)
        for line in wrapped(one, WIDTH, first="  - ", then="    ")
    ]
    return "\n".join(["Whom it fails, and why", *lines]) if lines else "It fails nobody who was drawn."


def _peaks(facts: dict[str, Any], units: str) -> str:
    peak, times = facts["peak_kpa"], facts["peak_over_own_best"]
    if peak["q50"] is None:
        return ""
    own, square = facts["own_best"], peak_square(units)
    depth = format_length(own["depth_mm"], units, decimals=0)
    return (
        f"Peak over {square}: half have {peak['q50']:.0f} kPa or less, one in ten {peak['q10']:.0f} or less, one in "
        f"ten {peak['q90']:.0f} or more\n"
        f"Over the peak on a seat of one's own, {depth} deep: {times['q50']:.2f}, {times['q10']:.2f}, "
        f"{times['q90']:.2f}; that peak is estimated, {100.0 * own['standard_error']:.0f} % off"
    )
