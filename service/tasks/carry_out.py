"""Every task goes through here: errors come back as plain values, as not every exception survives the way."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from seatmesh.errors import InputError, SeatmeshError

from ..refusal import ProblemError
from .plain import packed


@dataclass(frozen=True)
class Refused:
    """A task that ended in a refusal."""

    status: int
    title: str
    detail: str
    refused: Mapping[str, Any] | None = None


class SeatGoneError(Exception):
    """The seat is damaged."""


_TOLD: tuple[tuple[type[Exception], int, str, str | None], ...] = (
    (SeatGoneError, 404, "There is no such seat",
     "it made room for others, or is damaged; post its order to /seats again"),
    (InputError, 422, "The request is refused", None),
    (SeatmeshError, 422, "There is no answer", None),
    (MemoryError, 422, "It takes too much memory", "ask for something coarser or smaller"),
)  # fmt: skip
"""Errors with their status, title and detail; where there is none the error's own words are the detail."""


def carry_out(task: Callable[..., Any], *given: Any) -> Any:
    """Return what a task returns, or the refusal that it ended in."""
    try:
        return task(*given)
    except ProblemError as error:
        return Refused(error.status, error.title, error.detail, error.refused)
    except Exception as error:
        for kind, status, title, detail in _TOLD:
            if isinstance(error, kind):
                facts = error.facts() if isinstance(error, InputError) else None
                return Refused(status, title, detail or str(error), facts)
        traceback.print_exc()
        return Refused(500, "Something went wrong here", "this is a fault of the program; its log says more")


def with_packed(task: Callable[..., bytes], pack: bool, *given: Any) -> tuple[bytes, bytes | None]:
    """Return the bytes that a task makes, and them packed where that is asked for."""
    data = task(*given)
    return data, packed(data) if pack else None
