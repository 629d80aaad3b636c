"""A lane: workers and whose turn it is on them, with every way that work may fail told as a refusal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from ..refusal import ProblemError
from ..tasks.carry_out import Refused, carry_out
from .progress import Told, telling_parent
from .turns import FairTurns, busy

TOO_LONG = "It takes too long"
NOBODY_S = 30
"""Seconds after which machines that cannot be reached may be there again."""


class WorkerLostError(Exception):
    """The worker ended in the middle of the work."""


class NoWorkersError(WorkerLostError):
    """There is nobody who could do the work."""


class Workers(Protocol):
    """Where work is done."""

    @property
    def slots(self) -> int:
        """How many pieces of work go on at a time."""

    async def start(self) -> None:
        """Have them up."""

    async def run(self, tell: Told | None, seconds: float, work: Callable[..., Any], *given: Any) -> Any:
        """Return what `work(*given)` returns; raise `WorkerLostError`, or `TimeoutError` when the time is up."""

    async def end(self) -> None:
        """End them."""

    @property
    def pids(self) -> list[int]:
        """Their processes on this machine."""


class Lane:
    """Workers for one kind of work."""

    def __init__(
        self, workers: Workers, queue: int, queue_each: int, keep_free: int = 0, most_aside: int = 0
    ) -> None:
        self.workers = workers
        self.turns = FairTurns(workers.slots, queue, queue_each, keep_free, most_aside)

    async def run(
        self,
        caller: str,
        seconds: float,
        task: Callable[..., Any],
        *given: Any,
        tell: Told | None = None,
        refusable: bool = True,
    ) -> Any:
        """Return what a task returns, in its turn.

        Parameters
        ----------
        caller
            Who asks; callers have fair shares.
        seconds
            How long it may take once it has begun.
        tell
            Takes the steps of the task; the first one when its turn has come.
        refusable
            Whether a full queue refuses it.

        Raises
        ------
        ProblemError
            The task was refused; 503 when the queue is full, the time is up, or workers were lost; 429 when too many
            of this caller's wait.
        """
        if refusable:
            self.turns.refuse_if_full(caller)
        try:
            async with self.turns.turn(caller):
                if tell is not None:
                    tell("begins", 0.0)
                outcome = await self.workers.run(tell, seconds, telling_parent, carry_out, task, *given)
                # A cluster grows and shrinks.
                self.turns.slots = self.workers.slots
        except TimeoutError as error:
            raise ProblemError(
                503, TOO_LONG,
                f"the work was ended after {seconds:g} s; ask for something coarser or smaller", {"Retry-After": "60"},
            ) from error  # fmt: skip
        except NoWorkersError as error:
            raise busy("the machines that do the work cannot be reached", NOBODY_S) from error
        except WorkerLostError as error:
            raise busy(
                "the work was lost twice, maybe for want of memory", self.turns.retry_after_s()
            ) from error
        if isinstance(outcome, Refused):
            raise ProblemError(outcome.status, outcome.title, outcome.detail, refused=outcome.refused)
        return outcome
