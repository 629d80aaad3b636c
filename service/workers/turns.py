"""Whose turn it is: fair shares of the workers for every caller, a bounded queue, an honest time to wait."""

from __future__ import annotations

import asyncio
import math
import time
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass

from ..refusal import ProblemError

MEMORY = 0.2
"""Weight of the newest piece of work in the usual time of one."""
LONGEST_RETRY_S = 3600.0
LONG_S = 6.0
"""Seconds after which work is long."""
LATELY_S = 120.0
"""Who has asked within it may ask again: a slot is kept free for them."""


@dataclass(eq=False)
class _Waiting:
    caller: str
    called: asyncio.Future[None]


class FairTurns:
    """So many pieces of work at a time; the caller who has the fewest under way is next, then who has waited longest.

    Parameters
    ----------
    slots
        Pieces of work at a time.
    queue, queue_each
        How many may wait in all, and of one caller.
    keep_free
        Where there are several slots, one caller has all but this many at most while others have asked lately, so
        that a quick piece of somebody else's work need not wait until a long one ends.
    most_aside
        How many pieces that turn out long may step aside: they go on and leave their slot to others.
    """

    def __init__(
        self, slots: int, queue: int, queue_each: int, keep_free: int = 0, most_aside: int = 0
    ) -> None:
        self.slots, self._queue, self._queue_each, self._keep_free = slots, queue, queue_each, keep_free
        self._waiting: list[_Waiting] = []
        self._running: Counter[str] = Counter()
        self._asked: dict[str, float] = {}
        self._most_aside, self._aside = most_aside, 0
        self._usual_s = 1.0
        self._later: asyncio.TimerHandle | None = None

    @property
    def waiting(self) -> int:
        """How many wait."""
        return len(self._waiting)

    @property
    def running(self) -> int:
        """How many are under way."""
        return self._running.total()

    @property
    def _in_slots(self) -> int:
        return self.running - self._aside

    def retry_after_s(self) -> int:
        """Return the seconds after which the work that there is now should be done."""
        ahead = self._usual_s * (self.waiting + self.running) / self.slots
        return math.ceil(min(max(ahead, 1.0), LONGEST_RETRY_S))

    def refuse_if_full(self, caller: str) -> None:
        """Refuse one more piece of a caller's work where too many wait.

        Raises
        ------
        ProblemError
            503 where the queue is full, 429 where this caller's part of it is.
        """
        if self._in_slots < self.slots and self._running[caller] < self._most(caller):
            return
        if self.waiting >= self._queue:
            raise busy(f"{self._queue} requests wait already, which is the most", self.retry_after_s())
        own = sum(1 for one in self._waiting if one.caller == caller)
        if own >= self._queue_each:
            detail = f"{own} requests of yours wait already, which is the most; wait until some are done"
            raise ProblemError(
                429, "Too many requests of yours wait", detail, {"Retry-After": str(self.retry_after_s())}
            )

    @asynccontextmanager
    async def turn(self, caller: str) -> AsyncIterator[None]:
        """Wait for a turn and have it as long as the block lasts."""
        self._note(caller)
        one = _Waiting(caller, asyncio.get_running_loop().create_future())
        self._waiting.append(one)
        self._call()
        try:
            await one.called
        except asyncio.CancelledError:
            if one.called.done() and not one.called.cancelled():
                self._end(caller)
            elif one in self._waiting:
                self._waiting.remove(one)
            raise
        began, is_aside = time.monotonic(), False

        def step_aside() -> None:
            nonlocal is_aside
            if self._aside < self._most_aside:
                is_aside = True
                self._aside += 1
                self._call()

        timer = asyncio.get_running_loop().call_later(LONG_S, step_aside)
        try:
            yield
        finally:
            timer.cancel()
            self._aside -= is_aside
            self._usual_s += MEMORY * (time.monotonic() - began - self._usual_s)
            self._end(caller)

    def _end(self, caller: str) -> None:
        self._running[caller] -= 1
        if self._running[caller] <= 0:
            del self._running[caller]
        self._call()

    def _note(self, caller: str) -> None:
        now = time.monotonic()
        self._asked = {one: then for one, then in self._asked.items() if now - then < LATELY_S} | {
            caller: now
        }
        if self._keep_free:
            # Who waits only for others' sake has the slot as soon as none of them asks any more.
            if self._later is not None:
                self._later.cancel()
            self._later = asyncio.get_running_loop().call_later(LATELY_S * 1.01, self._call)

    def _most(self, caller: str) -> int:
        """Return how many slots a caller may have: all, unless others have asked lately."""
        now = time.monotonic()
        others = any(now - then < LATELY_S for one, then in self._asked.items() if one != caller)
        return max(1, self.slots - self._keep_free) if others else self.slots

    def _call(self) -> None:
        while self._in_slots < self.slots:
            may = [one for one in self._waiting if self._running[one.caller] < self._most(one.caller)]
            if not may:
                return
            # Of equal ones the first in the list has waited longest.
            chosen = min(may, key=lambda one: self._running[one.caller])
            self._waiting.remove(chosen)
            if not chosen.called.done():
                self._running[chosen.caller] += 1
                chosen.called.set_result(None)


def busy(why: str, retry_after_s: int) -> ProblemError:
    """Return the refusal of a service that has too much to do."""
    return ProblemError(
        503, "Too much to do", f"{why}; ask again in {retry_after_s} s", {"Retry-After": str(retry_after_s)}
    )
