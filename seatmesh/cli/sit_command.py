"""`seatmesh sit`: bodies on a seat, in one table."""

from __future__ import annotations

import argparse
from typing import Any

from seatmesh.cli.output import print_json, print_text, say, table
from seatmesh.cli.sources import bodies_for, read_source
from seatmesh.design.report import sitting_report
from seatmesh.errors import NotSolvedError
from seatmesh.seating.sit import sit

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


def run(options: argparse.Namespace) -> None:
    """Sit the bodies down and print the figures; NotSolvedError where one of them found no balance."""
    source = read_source(options.seat, options.flat)
    bodies = bodies_for(source, options.body)
    sittings = [sit(body, source.seat, load_n=options.load_n, posture=options.posture) for body in bodies]
    reports = [sitting_report(one) for one in sittings]
    if options.json:
        print_json({"sittings": reports})
    else:
        print_text(_text(source.seat.title, reports))
    for note in dict.fromkeys(note for one in reports for note in one.get("notes", [])):
        say(f"note: {note}")
    failed = [f"{one['body']}: {one['verdict']}" for one in reports if not one["converged"]]
    if failed:
        raise NotSolvedError("; ".join(failed))


def _text(title: str, reports: list[dict[str, Any]]) -> str:
    head = [f"{title}, {reports[0]['posture']}", *(one["body"] for one in reports)]
    rows = [
        [words, *(form.format(one[key]) if key in one else "-" for one in reports)]
        for words, key, form in ROWS
    ]
    return table(head, rows)
