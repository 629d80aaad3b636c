"""`seatmesh people`: people not yet met on a seat."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.progress import step
from seatmesh.cli.sources import read_source
from seatmesh.design.orders.order import read_order
from seatmesh.errors import InputError, NotAmongError, ValueRefusedError
from seatmesh.files.whole_or_nothing import atomic_path
from seatmesh.people.criteria import Asked
from seatmesh.people.drawn import check_count
from seatmesh.people.engine.cluster import Scheduler, WorkerProcesses
from seatmesh.people.engine.kept_parts import KeptParts
from seatmesh.people.engine.parquet import check_parquet, write_parquet
from seatmesh.people.engine.run import PartWorkers, Threads
from seatmesh.people.given_public import public_from
from seatmesh.people.public import Public
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.sizes.answer import sizes_for, sizes_report, write_sizes
from seatmesh.people.sizes.words import sizes_text
from seatmesh.people.study import PeopleStudy, ask
from seatmesh.people.told.report import people_report
from seatmesh.people.told.words import people_text
from seatmesh.surface import Seat
from seatmesh.units import parse_length_mm, real_number

PARQUET = ".parquet"
LOWEST_MM, HIGHEST_MM = 200.0, 900.0


def run(options: argparse.Namespace) -> None:
    """Seat people, and print for whom the seat is good and whom it fails."""
    asked, public, workers = asked_of(options.ask), public_of(options), workers_of(options)
    # Refused before a seat is shaped, which takes longer.
    check_count(options.count, options.seed)
    if options.to:
        if not options.to.lower().endswith(PARQUET):
            raise NotAmongError("--to", repr(options.to), [f"a name that ends in {PARQUET}"])
        check_parquet()
    if options.sizes is None and (options.sizes_to or options.worst is not None):
        raise InputError("--sizes-to and --worst go with --sizes K: say how many sizes.")
    if options.sizes is not None and options.seat.lower().endswith(".json"):
        raise InputError("--sizes: a seat file has no wishes to shape other sizes by; name the order file.")
    source = read_source(options.seat, options.flat)
    question = PeopleQuestion(
        at_height(source.seat, options.front_height_mm), public, asked, options.count, options.seed
    )

    def then(study: PeopleStudy, parts: KeptParts) -> None:
        if options.picture:
            step("drawing")
            _draw(study, parts, options.picture)
        if options.to:
            step("writing the table")
            write_parquet(Path(options.to), parts.tables())

    try:
        study = ask(
            question,
            workers=workers,
            keep=Path(options.keep) if options.keep else None,
            tell=lambda done, people: step(f"seating people: {done:,} of {people:,}", done, people),
            then=then,
        )
    except KeyboardInterrupt:
        if options.keep:
            say(
                f"seatmesh: what is finished is kept in '{options.keep}'; the same command goes on from there"
            )
        raise
    report = people_report(study)
    if options.sizes is not None:
        report["sizes"] = _sizes(options, question, workers)
    if options.json:
        for note in report["notes"]:
            say(f"note: {note}")
        print_json(report)
    else:
        print_text(people_text(study, report))
        if "sizes" in report:
            print_text(f"\n{sizes_text(report['sizes'], question.seat.units)}")


def _draw(study: PeopleStudy, parts: KeptParts, path: str) -> None:
    """Draw the sheet; matplotlib is loaded here, where it is wanted."""
    from seatmesh.people.told.picture import draw_people

    with atomic_path(path) as lent:
        draw_people(study, parts, lent)


def _sizes(options: argparse.Namespace, question: PeopleQuestion, workers: PartWorkers) -> dict[str, Any]:
    """Return the best sets of seats, in the wood and by the wishes of the order."""
    worst = 0.0 if options.worst is None else _number("--worst", options.worst)
    order, keep = read_order(options.seat), Path(options.keep) if options.keep else None
    sizes = sizes_for(
        question, order, options.sizes, wish_for_worst=worst, workers=workers, keep=keep, tell=step
    )
    if options.sizes_to:
        names = write_sizes(sizes, Path(options.sizes_to))
        say(f"seatmesh: the seats of these sizes are in '{options.sizes_to}': {', '.join(names)}")
    return sizes_report(sizes)


def asked_of(given: list[str]) -> Asked:
    """Return the criteria with the bounds given as NAME=BOUND."""
    bounds: dict[str, float | None] = {}
    for one in given:
        name, sign, bound = one.partition("=")
        if not sign:
            raise ValueRefusedError(
                "--ask", repr(one), "allowed is NAME=BOUND", "such as knee_clearance_mm=30"
            )
        bounds[name.strip()] = None if bound.strip() == "none" else _number(name.strip(), bound)
    return Asked().with_bounds(bounds)


def _number(name: str, text: str) -> float:
    try:
        return real_number(name, float(text))
    except ValueError:
        raise ValueRefusedError(
            name, repr(text), "allowed is a number, or none to leave it out", "such as 30"
        ) from None


def public_of(options: argparse.Namespace) -> Public:
    """Return the public asked about, with its share of women."""
    public = public_from(options.public)
    return public if options.women is None else replace(public, women_share=_number("--women", options.women))


def workers_of(options: argparse.Namespace) -> PartWorkers:
    """Return who sits people down."""
    if options.scheduler and options.workers is not None:
        raise InputError("--workers and --scheduler: give one of them; a scheduler has its own workers.")
    if options.scheduler:
        return Scheduler(options.scheduler)
    return Threads() if options.workers is None else WorkerProcesses(options.workers)


def at_height(seat: Seat, given: str | None) -> Seat:
    """Return the seat with its front edge at a height, where one is given."""
    if given is None:
        return seat
    height = parse_length_mm(given)
    if not LOWEST_MM <= height <= HIGHEST_MM:
        raise ValueRefusedError(
            "--front-height-mm",
            given,
            f"allowed are {LOWEST_MM:g} to {HIGHEST_MM:g} mm",
            "measure from the ground",
        )
    return replace(seat, chair=replace(seat.chair, front_height_mm=height))
