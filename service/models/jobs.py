"""Long work in answers: a job that is followed, and the list of kept seats."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from .base import Answer, Problem
from .words import one_of


class JobState(StrEnum):
    """How far a job is; the last three are the end of it."""

    QUEUED = "queued"
    WORKING = "working"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"


StateOut = Annotated[str, one_of("JobState", [one.value for one in JobState])]


class JobOut(Answer):
    """Work that takes long: ask for it again after `retry_after_s`, or follow its events. Equal work is one job."""

    id: str = Field(description="that of the seat where one is shaped")
    state: StateOut
    words: str = Field(description="what is being done, or how it ended")
    share: float = Field(ge=0.0, le=1.0, description="the part of the work that is done")
    result: str | None = Field(description="the address of what was made; null until it is done")
    problem: Problem | None = Field(description="why it failed; null unless it did")
    seat: str | None = Field(description="the id of the seat that it is about")
    created: datetime
    retry_after_s: float | None = Field(description="when to ask again; null once it ended")


class SeatRow(Answer):
    """A kept seat in a list."""

    id: str
    title: str
    made: datetime
    used: datetime
    size_bytes: int
    pinned: bool = Field(description="whether it stays when others make room")


class Seats(Answer):
    """Kept seats, those made last first."""

    seats: list[SeatRow]
    after: str | None = Field(description="give it as `after` for the next ones; null at the end")
