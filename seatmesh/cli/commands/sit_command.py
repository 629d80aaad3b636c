"""`seatmesh sit`: bodies on a seat, in one table, and in words."""

from __future__ import annotations

import argparse
import textwrap
from typing import Any

from seatmesh.body.figure.posture import posture_named
from seatmesh.cli.output import print_json, print_text, say, table
from seatmesh.cli.sources import bodies_for, read_source
from seatmesh.design.study import Study, comparison, study, study_report
from seatmesh.errors import NotSolvedError
from seatmesh.files.whole_or_nothing import atomic_path
from seatmesh.seating.sit import check_load
from seatmesh.units import format_length

ROWS = (
    ("load on the seat, N", "load_n", "{:.0f}"),
    ("contact area, cm2", "contact_area_cm2", "{:.0f}"),
    ("area above 0.67 kPa, cm2", "area_above_0_67_kpa_cm2", "{:.0f}"),
    ("mean, kPa", "mean_kpa", "{:.1f}"),
    ("peak over 1 cm2, kPa", "peak_kpa", "{:.1f}"),
    ("steepest change, kPa per cm", "peak_gradient_kpa_per_cm", "{:.1f}"),
    ("load on the hottest 8 %", "hottest_8_percent_share", "{:.0%}"),
    ("tissue left under sit bone", "tissue_left_ratio", "{:.0%}"),
    ("front edge to knee-back, mm", "knee_clearance_mm", "{:.0f}"),
    ("tailbone above the seat, mm", "tailbone_clearance_mm", "{:.0f}"),
)
LEAST_NARROWING = 0.02
"""Share of the variance below which a further measure is not worth taking."""
INTERVALS = (
    ("90 %: peak, kPa", "peak_kpa"),
    ("90 %: contact area, cm2", "contact_area_cm2"),
    ("90 %: deepest from rear, mm", "deepest_y_mm"),
)


def run(options: argparse.Namespace) -> None:
    """Sit the bodies down and print what comes of it; NotSolvedError where one of them found no balance."""
    posture_named(options.posture)
    check_load(options.load_n)
    source = read_source(options.seat, options.flat)
    studies = []
    for body in bodies_for(source, options.body):
        say(f"sitting {body.name} on '{source.seat.title}' ...")
        studies.append(study(body, source.seat, load_n=options.load_n, posture=options.posture))
    reports = [study_report(one) for one in studies]
    if options.picture:
        _draw(studies, options.picture, source.seat.units)
    if options.json:
        print_json({"sittings": reports, "comparison": comparison(reports)})
    else:
        print_text(_text(source.seat.title, source.seat.units, reports))
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


def _text(title: str, units: str, reports: list[dict[str, Any]]) -> str:
    head = [f"{title}, {reports[0]['posture']}", *(one["body"] for one in reports)]
    rows = [
        [words, *(form.format(one[key]) if key in one else "-" for one in reports)]
        for words, key, form in ROWS
    ]
    rows += [[words, *(_interval(one, key) for one in reports)] for words, key in INTERVALS]
    rows.append(["worst posture", *(one["freedom_to_shift"]["worst_posture"] for one in reports)])
    rows.append(["and what it costs", *(_cost(one) for one in reports)])
    rows.append(["measure next", *(_next(one) for one in reports)])
    parts = [table(head, rows), *(_spots(one, units) for one in reports), _compared(comparison(reports))]
    return "\n\n".join(part for part in parts if part)


def _interval(report: dict[str, Any], key: str) -> str:
    if "interval_90" not in report:
        return "-"
    low, high = report["interval_90"][key]
    return f"{low:.0f} to {high:.0f}"


def _next(report: dict[str, Any]) -> str:
    name, share = report.get("measure_next"), report.get("measure_next_narrows_share", 0.0)
    return str(name) if name and share >= LEAST_NARROWING else "no tape helps much"


def _cost(report: dict[str, Any]) -> str:
    cost = report["freedom_to_shift"]["cost"]
    return "no balance" if cost is None else f"{cost:+.0%}"


def _spots(report: dict[str, Any], units: str) -> str:
    if not report["hot_spots"]:
        return f"{report['body']}: no place stands out." if report["converged"] else ""
    lines = [f"{report['body']} is pressed hardest at"]
    told: list[dict[str, Any]] = []
    for spot in report["hot_spots"]:
        if any(_are_twins(spot, other) for other in told):
            continue
        told.append(spot)
        twin = any(_are_twins(spot, other) for other in report["hot_spots"])
        side = "either side" if twin else "right" if spot["x_mm"] >= 0 else "left"
        place = (
            f"{format_length(abs(spot['x_mm']), units, decimals=0)} {side} of the centre line, "
            f"{format_length(spot['y_mm'], units, decimals=0)} from the rear edge"
        )
        lines.append(
            f"  {spot['cause']}: {spot['peak_kpa']:.0f} kPa over {spot['area_cm2']:.0f} cm2, {place}"
        )
        if spot["advice"]:
            lines += _advice(spot)
    return "\n".join(lines)


def _advice(spot: dict[str, Any]) -> list[str]:
    words = f"{spot['advice']}: {spot['advice_peak_kpa']:.0f} kPa when tried"
    return textwrap.wrap(words, 92, initial_indent="    ", subsequent_indent="      ")


def _are_twins(spot: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether two spots are one another's mirror images, so that both are told in one line."""
    if spot["x_mm"] * other["x_mm"] >= 0:
        return False
    apart = abs(spot["x_mm"] + other["x_mm"]) + abs(spot["y_mm"] - other["y_mm"])
    return bool(apart < 3.0 and abs(spot["peak_kpa"] / other["peak_kpa"] - 1.0) < 0.02)


def _compared(rows: list[dict[str, Any]]) -> str:
    if not rows:
        return ""
    lines = [f"Peaks against {rows[0]['against']}, who is pressed least; less than 10 % cannot be felt"]
    for row in rows:
        if row["body"] != row["against"]:
            word = "equal" if row["equal"] else f"{row['difference']:+.0%}"
            lines.append(f"  {row['body']}: {word}")
    return "\n".join(lines)
