"""Work under way: made once whoever asks for it, kept when it is done, a job for whoever cannot wait so long."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import sqlite3
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from ..keeping.batches import batch_rows, put_batch, was_made
from ..keeping.room import NoRoomError
from ..keeping.store import Store
from ..limits import ServiceLimits
from ..refusal import ProblemError
from ..tasks import seats
from ..tasks.carry_out import with_packed
from ..tasks.of_a_seat.registry import FILE_TASKS
from ..workers.lane import Lane
from .as_refusals import as_refusals
from .batch import made_of
from .job_rows import CANCELLED, DONE, FAILED, LEASE_S, WAITS, JobRows, LongJob
from .work import BATCH, SHAPE, Work

LOG = logging.getLogger("uvicorn.error")
TELL_EACH_S = 0.4
"""Seconds after which it is written down again how far a job is."""


class StillWorkingError(Exception):
    """The work takes longer than the request can wait; `job` follows it."""

    def __init__(self, job: LongJob) -> None:
        super().__init__(job.id)
        self.job = job


@dataclass(eq=False)
class _UnderWay:
    """Work, how many requests wait for it, and whether a job follows it."""

    work: Work
    caller: str
    waiting: int = 0
    is_job: bool = False
    words: str = WAITS
    share: float | None = None
    told: float = 0.0
    told_words: str = ""
    task: asyncio.Task[None] | None = None

    @property
    def is_done(self) -> bool:
        return self.task is not None and self.task.done()


class Works:
    """All work under way in this process."""

    def __init__(self, store: Store, lane: Lane, rows: JobRows, limits: ServiceLimits) -> None:
        self._store, self._lane, self.rows, self._limits = store, lane, rows, limits
        self._all: dict[str, _UnderWay] = {}
        self._keeper: asyncio.Task[None] | None = None

    async def have(
        self, work: Work, caller: str, result: str, seconds: float, there: Callable[[Any], Any]
    ) -> None:
        """Have some work done and kept.

        Parameters
        ----------
        result
            The address where it is fetched when it is done.
        seconds
            How long to wait before a job is made of it.
        there
            Wraps what is awaited: raises when the client goes.

        Raises
        ------
        StillWorkingError
            It takes longer.
        ProblemError
            It is refused.
        """
        if self.rows.elsewhere(work) and await there(self._done_elsewhere(work, seconds)):
            return
        under = self._joined(work, caller)
        under.waiting += 1
        try:
            assert under.task is not None
            done, _ = await there(asyncio.wait((under.task,), timeout=seconds))
            if done or under.is_done:
                under.task.result()
                return
            with as_refusals():
                job = self._store.making_room(lambda: self.rows.add(work, result, caller))
            under.is_job = job.owner == self.rows.owner
            self._write_down(under, at_once=True)
            raise StillWorkingError(self.rows.job(work.id) or job)
        finally:
            under.waiting -= 1
            self._end_unless_wanted(under)

    def has(self, work: Work) -> bool:
        """Tell whether what comes of some work is kept."""
        if work.task == BATCH:
            rows = batch_rows(self._store.index, work.seat)
            return rows is not None and all(self._has_row(row) for row in rows)
        return self._store.has(work.seat, work.name)

    def _has_row(self, row: dict[str, Any]) -> bool:
        """Tell whether all is kept that may come of an order of a batch."""
        if row.get("again"):
            return False
        names = ("", *row["files"]) if was_made(row) else ()
        return all(self._store.has(row["seat"], name) for name in names)

    async def _have_part(self, caller: str, work: Work) -> None:
        """Have a piece of a batch done and kept, unless it is."""
        if self.has(work):
            return
        under = self._joined(work, caller, refusable=False)
        under.waiting += 1
        try:
            assert under.task is not None
            await asyncio.wait((under.task,))
            under.task.result()
        finally:
            under.waiting -= 1
            self._end_unless_wanted(under)

    async def _done_elsewhere(self, work: Work, seconds: float) -> bool:
        """Wait for a job of another process; tell whether its work is kept now."""
        until = time.monotonic() + seconds
        while job := self.rows.elsewhere(work):
            if time.monotonic() >= until:
                raise StillWorkingError(job)
            await asyncio.sleep(TELL_EACH_S)
        return self.has(work)

    def cancel(self, job: str) -> None:
        """End a job; its work goes on as long as requests wait for it."""
        self.rows.end(job, CANCELLED, "cancelled")
        if job in self._all:
            self._withdraw(self._all[job])

    def _joined(self, work: Work, caller: str, refusable: bool = True) -> _UnderWay:
        under = self._all.get(work.id)
        if under is None:
            if refusable:
                self._lane.turns.refuse_if_full(caller)
            under = self._all[work.id] = _UnderWay(work, caller)
            under.task = asyncio.create_task(self._do(under))
            under.task.add_done_callback(partial(self._ended, under))
        return under

    async def _do(self, under: _UnderWay) -> None:
        with as_refusals():
            if under.work.task == SHAPE:
                await self._shape(under)
            elif under.work.task == BATCH:
                await self._all_of(under)
            else:
                await self._make(under)

    async def _all_of(self, under: _UnderWay) -> None:
        orders, files = under.work.given
        have = partial(self._have_part, under.caller)
        rows = await made_of(orders, files, have, partial(self._tell, under))
        store, batch = self._store, under.work.seat
        await asyncio.to_thread(store.making_room, lambda: put_batch(store.index, batch, rows))

    async def _shape(self, under: _UnderWay) -> None:
        work = under.work
        parts = await self._in_a_worker(under, seats.shape, work.seat, *work.given)
        await asyncio.to_thread(self._store.put_seat, work.seat, parts)

    async def _make(self, under: _UnderWay) -> None:
        work = under.work
        kept = await asyncio.to_thread(self._store.kept, work.seat)
        try:
            data, packed = await self._in_a_worker(
                under, with_packed, FILE_TASKS[work.task], work.packed, kept, *work.given
            )
        except ProblemError as refused:
            if refused.status == 404:
                # It is damaged: posted again, its order is carried out again.
                self._store.forget(work.seat)
            raise
        await asyncio.to_thread(self._store.put_file, work.seat, work.name, data, packed)

    async def _in_a_worker(self, under: _UnderWay, task: Callable[..., Any], *given: Any) -> Any:
        tell = partial(self._tell, under)
        return await self._lane.run(
            under.caller, self._limits.job_s, task, *given, tell=tell, refusable=False
        )

    def _tell(self, under: _UnderWay, words: str, share: float) -> None:
        under.words, under.share = words, share
        self._write_down(under)

    def _write_down(self, under: _UnderWay, *, at_once: bool = False) -> None:
        now = time.monotonic()
        is_new = under.words != under.told_words or now - under.told >= TELL_EACH_S
        if under.is_job and under.share is not None and (at_once or is_new):
            under.told, under.told_words = now, under.words
            # A store that cannot be written to now is no reason to end the work.
            with contextlib.suppress(sqlite3.Error):
                self.rows.tell(under.work.id, under.words, under.share)

    def _ended(self, under: _UnderWay, task: asyncio.Task[None]) -> None:
        if self._all.get(under.work.id) is under:
            del self._all[under.work.id]
        if task.cancelled():
            return
        error = task.exception()
        if error is None:
            self._end_job(under, DONE)
            return
        if not isinstance(error, ProblemError) and under.is_job:
            # Nobody may wait for it, who would write it down.
            LOG.error("work on a job failed", exc_info=error)
        told = error if isinstance(error, ProblemError) else _unforeseen()
        self._end_job(under, FAILED, told.facts())

    def _end_job(self, under: _UnderWay, state: str, problem: dict[str, Any] | None = None) -> None:
        # On a full disk it stays under way in the index, and is taken up again once there is room.
        with contextlib.suppress(sqlite3.Error):
            if under.is_job:
                self.rows.end(under.work.id, state, state, problem)

    def _withdraw(self, under: _UnderWay) -> None:
        under.is_job = False
        self._end_unless_wanted(under)

    def _end_unless_wanted(self, under: _UnderWay) -> None:
        if not under.waiting and not under.is_job and not under.is_done and under.task is not None:
            if self._all.get(under.work.id) is under:
                del self._all[under.work.id]
            under.task.cancel()

    def start(self, *, alone: bool) -> None:
        """Take up what an earlier service left undone, and look after the jobs from now on."""
        # On a disk that is full even so they are taken up once there is room.
        with contextlib.suppress(NoRoomError, sqlite3.OperationalError):
            self._store.making_room(lambda: self._take_over(all_of_others=alone))
        self._keeper = asyncio.create_task(self._look_after())

    async def end(self) -> None:
        """End all work; what are jobs goes on with the next start, or in another service of the folder."""
        if self._keeper is not None:
            self._keeper.cancel()
        tasks = [one.task for one in self._all.values() if one.task is not None]
        for one in tasks:
            one.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await asyncio.gather(*tasks, return_exceptions=True)

    async def _look_after(self) -> None:
        while True:
            await asyncio.sleep(LEASE_S / 10)
            # A store that cannot be written to now may be another time.
            with contextlib.suppress(Exception):
                for gone in self.rows.keep_alive([key for key, one in self._all.items() if one.is_job]):
                    self._withdraw(self._all[gone])
                self._take_over()

    def _take_over(self, *, all_of_others: bool = False) -> None:
        for job in self.rows.take_over(all_of_others=all_of_others):
            if self.has(job.work):
                self.rows.end(job.id, DONE, DONE)
            else:
                self._joined(job.work, job.caller, refusable=False).is_job = True


def _unforeseen() -> ProblemError:
    return ProblemError(500, "Something went wrong here", "this is a fault of the program; its log says more")
