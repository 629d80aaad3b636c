"""A piece of work that is kept when it is done: the seat of an order, or a file made of a kept seat."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from ..keeping.identity import digest

SHAPE, BATCH = "shape", "batch"


@dataclass(frozen=True)
class Work:
    """What is to be done, in plain values, so that it can be written down.

    Attributes
    ----------
    task
        `SHAPE`, `BATCH`, or a name of `tasks.of_a_seat.registry.FILE_TASKS`.
    seat, name
        What it is kept as; the seat itself has the name "", and so has a batch under an id of its own.
    given
        What the task takes besides: the order for a seat; for a batch its orders, and the files to make of each seat.
    packed
        Keep a packed form too.
    suffix, saved_as
        What kind of answer a file is, and the name that it is saved under.
    """

    task: str
    seat: str
    name: str = ""
    given: tuple[Any, ...] = ()
    packed: bool = False
    suffix: str = "json"
    saved_as: str = ""

    @property
    def id(self) -> str:
        """What equal work has in common, and the id of its job: that of the seat which is shaped, else a hash."""
        return digest("job", self.seat, self.name) if self.name else self.seat

    def text(self) -> str:
        """Return it as JSON."""
        return json.dumps(vars(self))

    @staticmethod
    def from_text(text: str) -> Work:
        """Return what `text` wrote."""
        table = json.loads(text)
        return Work(**{**table, "given": tuple(table["given"])})
