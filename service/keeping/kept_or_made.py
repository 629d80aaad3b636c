"""The desk between routes and workers: what is kept is given out; what is not is made once, whoever asks for it."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import shutil
import tempfile
from collections.abc import AsyncIterator, Awaitable, Callable, Coroutine
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from fastapi import Request

from ..limits import ServiceLimits
from ..refusal import REFUSED, ProblemError
from ..tasks import carry_out as worker
from ..tasks import seats
from ..workers import TOO_LONG, Workers
from .identity import is_id
from .kept_index import Store

T = TypeVar("T")


@dataclass
class _Job:
    """Work in progress and how many wait for it."""

    task: asyncio.Task[Any]
    waiting: int = 0


class Desk:
    """Store and workers together."""

    def __init__(self, limits: ServiceLimits, folder: Path) -> None:
        self.limits = limits
        self.store = Store(folder, limits.store_mb * 1_000_000)
        # Libraries name their temporary files as they like: none of them lies among what is kept.
        self.scratch = Path(tempfile.gettempdir()) / f"seatmesh-serve-{secrets.token_hex(8)}"
        self.workers = Workers(limits, self.scratch)
        # Reading takes milliseconds, so as many may wait for it as can be connected.
        reading = replace(limits, workers=1, queue=limits.connections, work_s=limits.parse_s)
        self.readers = Workers(reading, self.scratch)
        self._jobs: dict[str, _Job] = {}

    def seat(self, seat: str) -> str:
        """Return the id of a kept seat.

        Raises
        ------
        ProblemError
            404 for text that is no id, or the id of no kept seat.
        """
        if not is_id(seat) or not self.store.has(seat):
            raise ProblemError(
                404, "There is no such seat", "no seat has this id; post its order to /seats again"
            )
        return seat

    async def shaped(self, request: Request, seat: str, order: dict[str, Any]) -> bool:
        """Have the seat of an order shaped and kept, unless it is; return whether it was made now."""
        if self.store.has(seat):
            return False

        async def make() -> None:
            _told(await self.workers.run(worker.carry_out, seats.shape, str(self.store.folder), seat, order))
            self.store.add(seat)

        await self._shared(request, seat, make)
        return True

    async def file(
        self, request: Request, seat: str, name: str, packed: bool, task: Callable[..., bytes], *given: Any
    ) -> None:
        """Have a file of a kept seat made and kept, unless it is."""
        if self.store.has(seat, name):
            return

        async def make() -> None:
            folder = str(self.store.folder)
            outcome = await self.workers.run(
                worker.carry_out_and_keep, folder, seat, name, packed, task, *given
            )
            if isinstance(outcome, worker.Refused) and outcome.status == 404:
                # Posted again, its order is carried out again.
                self.store.forget(seat)
            _told(outcome)
            self.store.add(seat, name)

        await self._shared(request, f"{seat}/{name}", make)

    @contextlib.asynccontextmanager
    async def open(self) -> AsyncIterator[None]:
        """Have the workers up, and a place for their temporary files, as long as the block lasts."""
        self.scratch.mkdir(mode=0o700)
        try:
            await asyncio.gather(self.workers.start(), self.readers.start())
            yield
        finally:
            self.workers.end()
            self.readers.end()
            shutil.rmtree(self.scratch, ignore_errors=True)
            self.store.remember_use()

    async def passing(self, request: Request, task: Callable[..., T], *given: Any) -> T:
        """Return what a task makes; it is not kept, and ended when the client goes."""
        made: T = _told(await while_there(request, self.workers.run(worker.carry_out, task, *given)))
        return made

    async def parsing(self, request: Request, task: Callable[..., T], *given: Any) -> T:
        """Return what a task reads out of a body: by a worker of its own, within `parse_s`."""
        try:
            read = await while_there(request, self.readers.run(worker.carry_out, task, *given))
        except ProblemError as error:
            if error.title != TOO_LONG:
                raise
            detail = (
                f"the body took longer than {self.limits.parse_s:g} s to read; write it smaller and flatter"
            )
            raise ProblemError(422, REFUSED, detail) from error
        told: T = _told(read)
        return told

    def figures(self) -> dict[str, float]:
        """Return what `/metrics` says of the work and of what is kept, by the names that it has there."""
        return {
            "queue_length": self.workers.waiting,
            "workers": len(self.workers.pids),
            "store_bytes": self.store.total,
        }

    async def _shared(
        self, request: Request, key: str, make: Callable[[], Coroutine[Any, Any, None]]
    ) -> None:
        """Join in the work for a key; it is ended when the last one who waits for it goes."""
        job = self._jobs.get(key)
        if job is None:
            job = self._jobs[key] = _Job(asyncio.create_task(make()))
            job.task.add_done_callback(lambda _: self._jobs.pop(key, None))
        job.waiting += 1
        try:
            await while_there(request, asyncio.shield(job.task))
        finally:
            job.waiting -= 1
            if not job.waiting and not job.task.done():
                self._jobs.pop(key, None)
                job.task.cancel()


async def while_there(request: Request, work: Awaitable[T]) -> T:
    """Return what some work returns; when the client goes before that, the work is cancelled.

    Raises
    ------
    ProblemError
        499 when the client is gone; nobody reads it.
    """
    doing = asyncio.ensure_future(work)
    going = asyncio.create_task(_gone(request))
    try:
        await asyncio.wait((doing, going), return_when=asyncio.FIRST_COMPLETED)
        if not doing.done():
            raise ProblemError(499, "The client is gone", "the connection ended before the answer")
        return await doing
    finally:
        going.cancel()
        doing.cancel()
        with contextlib.suppress(asyncio.CancelledError, Exception):
            await doing


async def _gone(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass


def _told(outcome: Any) -> Any:
    if isinstance(outcome, worker.Refused):
        raise ProblemError(outcome.status, outcome.title, outcome.detail)
    return outcome


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that a request came to."""
    desk: Desk = request.app.state.desk
    return desk
