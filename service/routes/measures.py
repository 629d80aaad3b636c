"""The body measures: what to take, and how."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import Field

from ..answers import json_answer
from ..models import Answer, refusals
from ..tasks.fields import measures as table_of_measures

router = APIRouter(tags=["bodies"])


class MeasureKindOut(Answer):
    """One measure; `lowest`, `highest` and `tape_error` are in its unit."""

    title: str
    iso_name: str | None
    how: str
    lowest: float
    highest: float
    unit: Literal["mm", "kg", "years", "percent"]
    tape_error: float
    by_hand: bool = Field(description="whether it can be taken without a picture or a cast of the sitter")


class MeasuresOut(Answer):
    """Every measure by its key in body files."""

    measures: dict[str, MeasureKindOut]


@router.get("/measures", response_model=MeasuresOut, responses=refusals())
async def measures(request: Request) -> Response:
    """List the body measures, how each is taken, and what is plausible for an adult."""
    return json_answer(request, table_of_measures())
