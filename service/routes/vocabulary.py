"""The vocabulary: every key of an order with what it may be, and the words that sheets and pictures are spoken in."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import Field

from ..answers import json_answer
from ..desk import desk_of
from ..models import Answer, refusals
from ..tasks import vocabulary as tasks

router = APIRouter(tags=["orders"])


class TableOut(Answer):
    """A table of an order: what it is for, and its keys by name, in the order in which a form asks for them."""

    meaning: str
    keys: dict[str, dict[str, Any]]
    most: int | None = Field(None, description="how many there may be; left out: the table is written once")


class Choices(Answer):
    """Names to choose from, and the one that is usual."""

    names: list[str]
    usual: str


class FormatOut(Answer):
    """A format that a seat is written in, and what it is taken for."""

    suffix: str
    label: str
    use: str
    unit: str
    states_unit: bool
    kind: str


class MarkOut(Answer):
    """A mark on the bare blank: the sides that it has, and how it is taken."""

    sides: list[str]
    how: str


class Pressure(Answer):
    """The one pressure scale: the lower edge of each band, its colour, and that of wood that is not touched."""

    steps_kpa: list[float]
    colours: list[str]
    bare: str


class Vocabulary(Answer):
    """What a form needs to ask for an order, and to show what comes of it."""

    tables: dict[str, TableOut] = Field(description='tables of an order by name; "order" is its top')
    habit: TableOut = Field(description="how a body likes to sit, a table of body files")
    measures: dict[str, dict[str, Any]] = Field(description="as GET /measures")
    units: Choices
    papers: Choices
    woods: Choices
    formats: list[FormatOut]
    postures: list[str]
    outlines: dict[str, list[list[float]]] = Field(description="points [x, y] in mm on a usual blank")
    marks: dict[str, MarkOut]
    cautions: dict[str, str]
    pressure: Pressure


@router.get("/vocabulary", response_model=Vocabulary, responses=refusals(503))
async def vocabulary(request: Request) -> Response:
    """List the keys of an order with label, meaning, unit, range and default, and all words to choose from."""
    state = request.app.state
    if state.vocabulary is None:
        state.vocabulary = await desk_of(request).passing(request, tasks.told)
    return json_answer(request, state.vocabulary)
