"""`seatmesh measures`: what to take and how; what is estimated of a body, and how surely."""

from __future__ import annotations

import argparse
import textwrap
from pathlib import Path
from typing import Any

from seatmesh.body.body import Body, Measure
from seatmesh.body.measures import MEASURES
from seatmesh.body.people_words import NOT_SURVEYED, SURVEY
from seatmesh.cli.output import print_json, print_text, table
from seatmesh.design.orders.order import find_body
from seatmesh.design.report.plain import rounded


def run(options: argparse.Namespace) -> None:
    """Print how to take the measures or, with a body, what is known of it."""
    if options.body is None:
        measures = [_how(name) for name in MEASURES]
        told = {"measures": measures, "survey": SURVEY, "not_surveyed": list(NOT_SURVEYED)}
        print_json(told) if options.json else print_text(_instructions())
        return
    body = find_body(options.body, Path())
    if options.json:
        print_json(_known(body))
    else:
        print_text(_text(body))


def _how(name: str) -> dict[str, Any]:
    kind = MEASURES[name]
    return {
        "name": name,
        "title": kind.title,
        "iso_7250_1_name": kind.iso_name,
        "unit": kind.unit,
        "lowest": kind.lowest,
        "highest": kind.highest,
        "standard_error": kind.tape_error,
        "how": kind.how,
    }


def _instructions() -> str:
    lines = ["Stature and body mass are needed; each further measure makes the rest surer.", ""]
    for name, kind in MEASURES.items():
        iso = f" (ISO 7250-1: {kind.iso_name})" if kind.iso_name and kind.iso_name != kind.title else ""
        lines.append(f"{name}: {kind.title}{iso}")
        lines += textwrap.wrap(kind.how, 90, initial_indent="    ", subsequent_indent="    ")
        lines.append(
            f"    from {kind.lowest:g} to {kind.highest:g} {kind.unit}; usual error {kind.tape_error:g} {kind.unit}"
        )
    lines += ["", *textwrap.wrap(SURVEY, 96), ""]
    for words in NOT_SURVEYED:
        lines += textwrap.wrap(words, 96, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines)


def _known(body: Body) -> dict[str, Any]:
    measures = rounded({name: one.facts() for name, one in body.measures.items()})
    known = {"name": body.name, "sex": body.sex, "measures": measures}
    return {**known, "notes": list(body.notes), "survey": SURVEY}


def _text(body: Body) -> str:
    rows = [_row(name, one) for name, one in body.measures.items()]
    text = f"{body.name}\n\n" + table(
        ["measure", "value", "origin", "standard error", "90 % from", "to"], rows
    )
    notes = [SURVEY, *(f"note: {note}" for note in body.notes)]
    return "\n\n".join([text, *("\n".join(textwrap.wrap(note, 96)) for note in notes)])


def _row(name: str, one: Measure) -> list[str]:
    digits = 1 if name == "mass_kg" else 0
    numbers = [f"{number:.{digits}f}" for number in (one.value, one.low_90, one.high_90)]
    return [name, numbers[0], one.origin, f"{one.standard_error:.1f}", numbers[1], numbers[2]]
