"""`seatmesh sit`: bodies on a seat, in one table, and in words."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any

from seatmesh.body.figure.posture import posture_named
from seatmesh.body.measures import MEASURES
from seatmesh.cli.output import print_json, print_text, say, table
from seatmesh.cli.progress import step
from seatmesh.cli.sources import Source, bodies_for, read_source
from seatmesh.design.report.advice_report import spot_lines, with_lines
from seatmesh.design.report.plain import SOME_ORDER, ending_report
from seatmesh.design.report.unmeasured_report import UNMEASURED
from seatmesh.design.study import Study, comparison, study, study_report
from seatmesh.errors import NotSolvedError
from seatmesh.files.whole_or_nothing import atomic_path
from seatmesh.seating.sit import check_load
from seatmesh.seating.sureness.model_error import BODIES_TIE_SHARE
from seatmesh.units import format_area, format_length, peak_square, wrapped

Write = Callable[[float, str], str]
"""Writes a figure in "mm" or "in"."""


def _plain(decimals: int) -> Write:
    return lambda value, _: f"{value:.{decimals}f}"


def _share(value: float, _: str) -> str:
    return f"{value:.0%}"


def _length(mm: float, units: str) -> str:
    return format_length(mm, units, 16, 0)


ROWS: tuple[tuple[str, str, Write], ...] = (
    ("load on the seat, N", "load_n", _plain(0)),
    ("contact area", "contact_area_cm2", format_area),
    ("area above 0.67 kPa", "area_above_0_67_kpa_cm2", format_area),
    ("mean, kPa", "mean_kpa", _plain(1)),
    (f"peak over {peak_square('mm')}, kPa", "peak_kpa", _plain(1)),
    ("steepest change, kPa per cm", "peak_gradient_kpa_per_cm", _plain(1)),
    ("load on the hottest 8 %", "hottest_8_percent_share", _share),
    ("tissue left under the sit bone", "tissue_left_ratio", _share),
    ("front edge to knee-back", "knee_clearance_mm", _length),
    ("tailbone above the seat", "tailbone_clearance_mm", _length),
)
IN_INCHES: dict[str, tuple[str, Write]] = {
    "peak_kpa": (f"peak over {peak_square('in')}, kPa", _plain(1)),
    "peak_gradient_kpa_per_cm": ("steepest change, kPa per inch", lambda value, _: f"{2.54 * value:.1f}"),
}
"""Rows whose words name a metric length or area, as they read where the seat speaks inches."""
LEAST_NARROWING = 0.02
"""Share of the variance below which a further measure is not worth taking."""
INTERVALS = (
    ("90 %: peak, kPa", "peak_kpa", _plain(0)),
    ("90 %: contact area", "contact_area_cm2", format_area),
    ("90 %: deepest from rear", "deepest_y_mm", _length),
)


def run(options: argparse.Namespace) -> None:
    """Sit the bodies down and print what comes of it; NotSolvedError where one of them found no balance."""
    posture_named(options.posture)
    check_load(options.load_n)
    source = read_source(options.seat, options.flat)
    studies = []
    for body in bodies_for(source, options.body):
        step(f"sitting {body.name} on '{source.seat.title}'")
        studies.append(
            study(
                body,
                source.seat,
                load_n=options.load_n,
                posture=options.posture,
                sharing=source.bodies,
            )
        )
    reports = [_with_lines(study_report(one), source) for one in studies]
    if options.picture:
        _draw(studies, options.picture, source.seat.units)
    if options.json:
        ending = ending_report(source.seat.ending)
        print_json({"sittings": reports, "comparison": comparison(reports), "ending": ending})
    else:
        print_text(_text(source, reports, _as_sat(options)))
    for note in dict.fromkeys(note for one in reports for note in one.get("notes", [])):
        say(f"note: {note}")
    failed = [f"{one['body']}: {one['verdict']}" for one in reports if not one["converged"]]
    if failed:
        raise NotSolvedError("; ".join(failed))


def _draw(studies: list[Study], path: str, units: str) -> None:
    """Draw all sitters side by side on one scale; matplotlib is loaded here, where it is wanted."""
    from seatmesh.picture.contact.contact_map import contact_map

    with atomic_path(path) as lent:
        contact_map([one.sitting for one in studies], lent, units=units)


def _with_lines(report: dict[str, Any], source: Source) -> dict[str, Any]:
    """Return a report whose advice has its command; without an order there is none to adjust."""
    spots = with_lines(report["hot_spots"], source.seat.units, source.order_file)
    return {**report, "hot_spots": spots}


def _as_sat(options: argparse.Namespace) -> str:
    """Return how the bodies sit where that is not as adjustments are judged."""
    posture = [] if options.posture == "upright" else [options.posture]
    return ", ".join(posture + ([] if options.load_n is None else [f"under {options.load_n:g} N"]))


def _text(source: Source, reports: list[dict[str, Any]], as_sat: str) -> str:
    head = [f"{source.seat.title}, {reports[0]['posture']}", *(one["body"] for one in reports)]
    units = source.seat.units
    rows = []
    for words, key, form in ROWS:
        said, write = IN_INCHES.get(key, (words, form)) if units == "in" else (words, form)
        rows.append([said, *("-" if one.get(key) is None else write(one[key], units) for one in reports)])
    rows += [
        [words, *(_interval(one, key, write, units) for one in reports)] for words, key, write in INTERVALS
    ]
    rows.append(["worst posture", *(one["freedom_to_shift"]["worst_posture"] for one in reports)])
    rows.append(["and what it costs", *(_cost(one) for one in reports)])
    rows.append(["measure next", *(_next(one) for one in reports)])
    parts = [
        table(head, rows),
        "\n".join(_interval_notes(reports)),
        *(_unmeasured(one) for one in reports),
        *(_spots(one, source, as_sat) for one in reports),
        _order_note(source, reports),
        _compared(comparison(reports)),
    ]
    return "\n\n".join(part for part in parts if part)


def _interval_notes(reports: list[dict[str, Any]]) -> list[str]:
    """Return what the intervals leave out, once; and whose are not stated, and why."""
    stated = dict.fromkeys(one["interval_note"] for one in reports if one["interval_90"])
    missing = [f"{one['body']}: {one['interval_note']}" for one in reports if not one["interval_90"]]
    return [line for note in (*stated, *missing) for line in wrapped(note, 96)]


def _unmeasured(report: dict[str, Any]) -> str:
    """Return what quantities that nobody measured do to a body's peak; nothing without a balance."""
    lines = [
        line for one in report["not_measured_words"] for line in wrapped(one, 96, first="  ", then="    ")
    ]
    return "\n".join([f"{report['body']}: {UNMEASURED.lower()}", *lines]) if lines else ""


def _spots(report: dict[str, Any], source: Source, as_sat: str) -> str:
    if not report["converged"]:
        return ""
    units, file = source.seat.units, source.order_file
    return "\n".join(spot_lines(report["body"], report["hot_spots"], units, file, as_sat))


def _order_note(source: Source, reports: list[dict[str, Any]]) -> str:
    advised = any(spot["advice"] for one in reports for spot in one["hot_spots"])
    if source.order_file != SOME_ORDER or not advised:
        return ""
    return f"In these commands {SOME_ORDER} stands for the order file that the seat was made from."


def _interval(report: dict[str, Any], key: str, write: Write, units: str) -> str:
    if not report["interval_90"]:
        return "-"
    low, high = report["interval_90"][key]
    return f"{write(low, units)} to {write(high, units)}"


def _next(report: dict[str, Any]) -> str:
    name, share = report.get("measure_next"), report.get("measure_next_narrows_share", 0.0)
    return MEASURES[str(name)].title if name and share >= LEAST_NARROWING else "no tape helps much"


def _cost(report: dict[str, Any]) -> str:
    cost = report["freedom_to_shift"]["cost"]
    return "no balance" if cost is None else f"{cost:+.0%}"


def _compared(rows: list[dict[str, Any]]) -> str:
    if not rows:
        return ""
    tie = f"{BODIES_TIE_SHARE:.0%}".replace("%", " %")
    lines = [
        f"Peaks against {rows[0]['against']}, who is pressed least; less than {tie} the model cannot tell"
    ]
    for row in rows:
        if row["body"] != row["against"]:
            word = "equal" if row["equal"] else f"{row['difference']:+.0%}"
            lines.append(f"  {row['body']}: {word}")
    return "\n".join(lines)
