"""The vocabulary: every key of an order with what it may be, and the words that sheets and pictures are spoken in."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ..answers import json_answer
from ..desk import desk_of
from ..models import Vocabulary
from ..models.answers import got
from ..models.refusals import WORKING
from ..tasks import vocabulary as tasks

router = APIRouter(tags=["orders"])


@router.get("/vocabulary", operation_id="get_vocabulary", response_model=Vocabulary, responses=got(*WORKING))
async def vocabulary(request: Request) -> Response:
    """List the keys of an order with label, meaning, unit, range and default, and all words to choose from."""
    state = request.app.state
    if state.vocabulary is None:
        state.vocabulary = await desk_of(request).passing(request, tasks.told)
    return json_answer(request, state.vocabulary)
