"""Every task goes through here: errors come back as plain values, as not every exception survives the way."""

from __future__ import annotations

import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatmesh.errors import InputError, SeatmeshError

from ..keeping.seat_folders import InTheWayError, keep_file
from ..keeping.signed_names import GZ
from ..refusal import ProblemError
from .plain import packed as pack


@dataclass(frozen=True)
class Refused:
    """A task that ended in a refusal."""

    status: int
    title: str
    detail: str


class SeatGoneError(Exception):
    """The seat made room for others while its task waited."""


_TOLD: tuple[tuple[type[Exception], int, str, str | None], ...] = (
    (SeatGoneError, 404, "There is no such seat",
     "it made room for others, or is damaged; post its order to /seats again"),
    (InTheWayError, 500, "The seat cannot be kept", None),
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
        return Refused(error.status, error.title, error.detail)
    except Exception as error:
        for kind, status, title, detail in _TOLD:
            if isinstance(error, kind):
                return Refused(status, title, detail or str(error))
        traceback.print_exc()
        return Refused(500, "Something went wrong here", "this is a fault of the program; its log says more")


def carry_out_and_keep(
    folder: str, seat: str, name: str, packed: bool, task: Callable[..., bytes], *given: Any
) -> Refused | None:
    """Keep what a task makes of a kept seat as a file, for texts a packed one beside it."""

    def kept() -> None:
        place = Path(folder)
        data = task(place, seat, *given)
        try:
            if packed:
                keep_file(place, seat, name + GZ, pack(data))
            keep_file(place, seat, name, data)
        except FileNotFoundError as error:
            raise SeatGoneError from error

    outcome: Refused | None = carry_out(kept)
    return outcome
