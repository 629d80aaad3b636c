"""People not yet met on a kept seat: shares as JSON, and the sheet."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from seatmesh.design.steps import step
from seatmesh.people.criteria import Asked
from seatmesh.people.engine.kept_parts import KeptParts
from seatmesh.people.engine.parquet import check_parquet, put_parquet
from seatmesh.people.engine.run import Threads
from seatmesh.people.given_public import public_from_table
from seatmesh.people.public import Public, public_named
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.study import PeopleStudy, ask
from seatmesh.people.told.report import people_report
from seatmesh.surface import Seat

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from .kept import kept_seat

WHERE = "body: public"


def people_json(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return for whom a seat is good."""
    return json_bytes(people_report(_asked(kept, asked)))


def people_png(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return the sheet about people on a seat."""
    from seatmesh.people.told.picture import draw_people  # noqa: PLC0415 - matplotlib, where it is wanted

    out = io.BytesIO()

    def draw(study: PeopleStudy, parts: KeptParts) -> None:
        draw_people(study, parts, out)

    _asked(kept, asked, draw)
    return out.getvalue()


def people_parquet(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return everybody as a table: measures, weight, figures."""
    check_parquet()
    out = io.BytesIO()
    _asked(kept, asked, lambda _, parts: put_parquet(out, parts.tables()))
    return out.getvalue()


def _asked(
    kept: KeptSeat,
    asked: dict[str, Any],
    then: Callable[[PeopleStudy, KeptParts], None] = lambda study, parts: None,
) -> PeopleStudy:
    # One thread: a worker is a process of its own among others.
    return ask(
        question_of(kept_seat(kept), asked),
        workers=Threads(1),
        tell=lambda done, people: step(f"seating people: {done:,} of {people:,}", done, people),
        then=then,
    )


def question_of(seat: Seat, asked: dict[str, Any]) -> PeopleQuestion:
    """Return the question that plain values ask of a seat; InputError where one of them is refused."""
    height = asked["front_height_mm"]
    if height is not None:
        seat = replace(seat, chair=replace(seat.chair, front_height_mm=height))
    return PeopleQuestion(
        seat, public_of(asked["public"]), Asked().with_bounds(asked["asked"]), asked["count"], asked["seed"]
    )


def public_of(given: Any) -> Public:
    """Return a public of a name or a table."""
    return public_named(given) if isinstance(given, str) else public_from_table(given, WHERE)
