"""All that is said of one body on one seat: figures, postures, hot spots in words, and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seatmesh.body.body import Body
from seatmesh.design.report.advice_report import spots_report
from seatmesh.design.report.plain import rounded
from seatmesh.design.report.seat_report import sitting_report
from seatmesh.design.report.unmeasured_report import unmeasured_report, unmeasured_sentences
from seatmesh.errors import NotSolvedError
from seatmesh.seating.freedom import Freedom, freedom_of, freedom_report
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sitting import Sitting
from seatmesh.seating.sureness.model_error import BODIES_TIE_SHARE
from seatmesh.seating.sureness.uncertainty import Uncertainty, uncertainty_of, uncertainty_report
from seatmesh.seating.sureness.unmeasured import Unmeasured, unmeasured_of
from seatmesh.solution import CONVERGED
from seatmesh.surface import Seat


@dataclass(frozen=True)
class Study:
    """A body on a seat: pressed, in every posture, its hot spots, 90 % intervals, and what unmeasured quantities do.

    Without intervals `uncertainty_verdict` says why.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, study
    >>> found = study(estimate_body("female", 1640, 61), flat_seat())
    >>> found.sitting.posture, found.uncertainty_verdict
    ('upright', 'converged')
    """

    sitting: Sitting
    freedom: Freedom
    hot_spots: tuple[dict[str, Any], ...]
    uncertainty: Uncertainty | None
    uncertainty_verdict: str = CONVERGED
    unmeasured: tuple[Unmeasured, ...] = ()


def study(
    body: Body,
    seat: Seat,
    *,
    load_n: float | None = None,
    posture: str = "upright",
    sharing: Sequence[Body] = (),
) -> Study:
    """Sit a body on a seat and find out all that `study_report` says; `sharing` are the sitters of the seat's order.

    Raises
    ------
    UnknownKeyError
        For a posture that is none.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, study
    >>> found = study(estimate_body("male", 1740, 69), flat_seat())
    >>> low, high = found.uncertainty.intervals["peak_kpa"]
    >>> low < found.sitting.figures.peak_kpa < high
    True
    """
    sitter = lay_over(body, seat, posture)
    sitting = press(sitter, seat, load_n)
    freedom = freedom_of(body, seat, load_n=load_n)
    if not sitting.converged:
        return Study(sitting, freedom, (), None, sitting.verdict)
    spots = tuple(spots_report(sitter, seat, sitting, sharing))
    unmeasured = unmeasured_of(body, seat, load_n=load_n, posture=posture)
    try:
        uncertainty = uncertainty_of(body, seat, load_n=load_n, posture=posture)
    except NotSolvedError as failure:
        # This sitter balances; too many of those who might be behind the same measures do not.
        return Study(sitting, freedom, spots, None, str(failure), unmeasured)
    return Study(sitting, freedom, spots, uncertainty, unmeasured=unmeasured)


def study_report(one: Study) -> dict[str, Any]:
    """Return a study under the keys of the project's reference."""
    figures = sitting_report(one.sitting)
    if one.uncertainty is not None:
        figures |= uncertainty_report(one.uncertainty)
    else:
        figures |= {"interval_90": None, "interval_note": f"no interval is stated: {one.uncertainty_verdict}"}
    told, words = unmeasured_report(one.unmeasured), []
    if one.sitting.converged:
        words = unmeasured_sentences(told, one.sitting.figures.peak_kpa, one.sitting.seat.units)
    merged: dict[str, Any] = rounded(
        {
            **figures,
            **freedom_report(one.freedom),
            "hot_spots": list(one.hot_spots),
            "not_measured": told,
            "not_measured_words": words,
        }
    )
    return merged


def comparison(reports: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Set each sitter's peak against the least one; what differs by less than the model can tell is called equal."""
    solved = [one for one in reports if one["converged"]]
    if len(solved) < 2:
        return []
    least = min(solved, key=lambda one: float(one["peak_kpa"]))
    table: list[dict[str, Any]] = rounded(
        [
            {
                "body": one["body"],
                "peak_kpa": one["peak_kpa"],
                "against": least["body"],
                "difference": one["peak_kpa"] / least["peak_kpa"] - 1.0,
                "equal": one["peak_kpa"] < least["peak_kpa"] * (1.0 + BODIES_TIE_SHARE),
            }
            for one in solved
        ]
    )
    return table
