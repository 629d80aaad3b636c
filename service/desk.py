"""The desk between routes and workers: what is kept is given out; what is not is made once, whoever asks for it."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import shutil
import tempfile
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path
from typing import Any, TypeVar

from fastapi import Request

from .jobs.job_rows import JobRows
from .jobs.work import BATCH, SHAPE, Work
from .jobs.works import Works
from .keeping.identity import is_id
from .keeping.kept import KeptSeat
from .keeping.store import Store
from .limits import ServiceLimits
from .refusal import REFUSED, ProblemError
from .requests.paths import own_path
from .requests.preference import seconds_to_wait
from .workers.embedded import EmbeddedWorkers
from .workers.lane import TOO_LONG, Lane, Workers

T = TypeVar("T")
STANDS_BACK = 5
"""How far long work stands back behind quick work, as `nice` counts."""


class Desk:
    """Store, lanes of workers, and jobs together.

    There are three lanes: a quick one for what is answered at once and kept nowhere, one that reads bodies, and one
    for seats and files.
    """

    def __init__(
        self, limits: ServiceLimits, folder: Path, *, alone: bool = True, workers: Workers | None = None
    ) -> None:
        self.limits, self._alone = limits, alone
        self.store = Store(folder, limits.store_mb * 1_000_000, limits.seats_mb * 1_000_000, alone=alone)
        # Libraries name their temporary files as they like: none of them lies among what is kept.
        self.scratch = Path(tempfile.gettempdir()) / f"seatmesh-serve-{secrets.token_hex(8)}"
        given = (limits.queue, limits.queue_each)
        self.quick = Lane(EmbeddedWorkers(limits, self.scratch, limits.quick_workers), *given)
        # What is hostile in a body keeps nobody's preview waiting.
        # It takes milliseconds, so as many may wait for it as can be connected.
        self.reading = Lane(EmbeddedWorkers(limits, self.scratch, 1), limits.connections, limits.connections)
        aside = limits.long_workers if workers is None else 0
        self.long = Lane(
            workers or EmbeddedWorkers(limits, self.scratch, limits.workers, STANDS_BACK, aside),
            *given,
            keep_free=1,
            most_aside=aside,
        )
        # An archive may be large: one at a time, so that threads are left to keep what others have made.
        self.packing = asyncio.Semaphore(1)
        self.works = Works(self.store, self.long, JobRows(self.store.index), limits)

    def seat(self, seat: str) -> str:
        """Return the id of a kept seat.

        Raises
        ------
        ProblemError
            404 for text that is no id, or the id of no kept seat; 503 while it is shaped.
        """
        if not is_id(seat) or not self.store.has(seat):
            job = self.works.rows.job(seat) if is_id(seat) else None
            if job is not None and not job.has_ended:
                detail = f"GET /jobs/{seat} says how far it is; ask again when it is done"
                raise ProblemError(503, "The seat is not shaped yet", detail, {"Retry-After": "2"})
            raise ProblemError(
                404, "There is no such seat", "no seat has this id; post its order to /seats again"
            )
        return seat

    def kept(self, seat: str) -> KeptSeat:
        """Return a kept seat as tasks take it; raises as `seat`."""
        try:
            return self.store.kept(self.seat(seat))
        except KeyError as error:
            detail = "it made room for others, or is damaged; post its order to /seats again"
            raise ProblemError(404, "There is no such seat", detail) from error

    def answer_of(self, seat: str) -> bytes | None:
        """Return the figures of a seat, None where it made room for others."""
        try:
            return self.store.read(seat)
        except KeyError:
            return None

    async def shaped(self, request: Request, seat: str, order: dict[str, Any]) -> None:
        """Have the seat of an order shaped and kept, unless it is; raises as `Works.have`."""
        await self._have(request, Work(SHAPE, seat, given=(order,)), f"/seats/{seat}")

    async def file(
        self,
        request: Request,
        seat: str,
        name: str,
        packed: bool,
        task: str,
        *given: Any,
        saved_as: str = "",
    ) -> None:
        """Have a file of a kept seat made and kept, unless it is; raises as `Works.have`.

        Parameters
        ----------
        packed
            Keep a packed form beside it.
        task
            A name of `tasks.of_a_seat.registry.FILE_TASKS`.
        """
        work = Work(task, seat, name, given, packed, name.rpartition(".")[2], saved_as)
        path = own_path(request.scope) + (f"?{request.url.query}" if request.url.query else "")
        await self._have(request, work, path if request.method == "GET" else "")

    async def batch(
        self, request: Request, batch: str, orders: list[Any], files: list[dict[str, Any]]
    ) -> None:
        """Have the seats of many orders shaped, and files made of each; raises as `Works.have`."""
        await self._have(request, Work(BATCH, batch, given=(orders, files)), f"/batches/{batch}")

    async def _have(self, request: Request, work: Work, result: str) -> None:
        if not self.works.has(work):
            seconds = seconds_to_wait(request, self.limits.quick_s)
            await self.works.have(
                work, caller_of(request), result, seconds, lambda one: while_there(request, one)
            )

    async def passing(self, request: Request, task: Callable[..., T], *given: Any) -> T:
        """Return what a quick task makes; it is not kept, and ended when the client goes."""
        made: T = await while_there(
            request, self.quick.run(caller_of(request), self.limits.work_s, task, *given)
        )
        return made

    async def parsing(self, request: Request, task: Callable[..., T], *given: Any) -> T:
        """Return what a task reads out of a body: by a worker for that alone, within `parse_s`."""
        try:
            read: T = await while_there(
                request, self.reading.run(caller_of(request), self.limits.parse_s, task, *given)
            )
        except ProblemError as error:
            if error.title != TOO_LONG:
                raise
            detail = (
                f"the body took longer than {self.limits.parse_s:g} s to read; write it smaller and flatter"
            )
            raise ProblemError(422, REFUSED, detail) from error
        return read

    def figures(self) -> dict[str, float]:
        """Return what `/metrics` says of the work and of what is kept, by the names that it has there."""
        lanes = (self.quick, self.reading, self.long)
        return {
            "queue_length": sum(one.turns.waiting for one in lanes),
            "workers": sum(len(one.workers.pids) for one in lanes),
            "store_bytes": self.store.total,
        }

    @contextlib.asynccontextmanager
    async def open(self) -> AsyncIterator[None]:
        """Have the workers up, and a place for their temporary files, as long as the block lasts."""
        self.scratch.mkdir(mode=0o700)
        try:
            await asyncio.gather(*(one.workers.start() for one in (self.quick, self.reading, self.long)))
            self.long.turns.slots = self.long.workers.slots
            self.works.start(alone=self._alone)
            yield
        finally:
            await self.works.end()
            for one in (self.quick, self.reading, self.long):
                await one.workers.end()
            shutil.rmtree(self.scratch, ignore_errors=True)
            self.store.close()


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


def caller_of(request: Request) -> str:
    """Return who asks, for fair shares: the address that the request came from."""
    return request.client.host if request.client else ""


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that a request came to."""
    desk: Desk = request.app.state.desk
    return desk
