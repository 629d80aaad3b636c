"""Worker processes: work off the event loop, each piece bounded in time and memory, and really ended when given up.

Each worker is an executor of one process of its own. Workers so share no lock: one that is killed in the middle of
anything takes nothing with it, and is replaced.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import multiprocessing.connection
import os
import signal
import sys
import tempfile
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any, TypeVar

from .limits import ServiceLimits
from .refusal import ProblemError

T = TypeVar("T")
START_S = 60.0
TOO_LONG = "It takes too long"
PRELOADED = ["seatmesh_service.tasks.preload"]


class WorkerLostError(Exception):
    """The worker ended in the middle of the work."""


def _context() -> multiprocessing.context.BaseContext:
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(PRELOADED)
    return context


def _begin(memory_mb: int, folder: str) -> None:
    """Set up a worker: a group of its own, bounded memory, its temporary files where each start cleans up."""
    tempfile.tempdir = folder
    os.environ["TMPDIR"] = folder
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not everywhere

        os.setpgrp()
        resource.setrlimit(resource.RLIMIT_AS, (memory_mb * 1_000_000, memory_mb * 1_000_000))
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        multiprocessing.connection.wait([parent.sentinel])
        _kill(os.getpid())


def _kill(pid: int) -> None:
    """End a worker and all that it started, now."""
    with contextlib.suppress(OSError):
        if sys.platform != "win32":
            os.killpg(pid, signal.SIGKILL)
        else:
            os.kill(pid, signal.SIGTERM)


class _Worker:
    """One process, started when it is first needed."""

    def __init__(self, limits: ServiceLimits, folder: Path) -> None:
        self._limits, self._folder = limits, folder
        self._executor: ProcessPoolExecutor | None = None
        self._pid = 0

    async def start(self) -> ProcessPoolExecutor:
        if self._executor is not None:
            return self._executor
        given = (self._limits.worker_memory_mb, str(self._folder))
        self._executor = executor = ProcessPoolExecutor(1, _context(), _begin, given)
        self._pid = await asyncio.wrap_future(executor.submit(os.getpid))
        return executor

    async def run(self, work: Callable[..., T], *given: Any) -> T:
        try:
            # A worker that is not up yet takes none of the work's time.
            async with asyncio.timeout(START_S):
                executor = await self.start()
            async with asyncio.timeout(self._limits.work_s):
                return await asyncio.wrap_future(executor.submit(work, *given))
        except BrokenProcessPool as error:
            self.end()
            raise WorkerLostError from error
        except BaseException:
            # Out of time, or nobody waits for it any more: the work ends here and now.
            self.end()
            raise

    def end(self) -> None:
        """End the process and all that it started."""
        if self._pid:
            _kill(self._pid)
        if self._executor is not None:
            self._executor.shutdown(wait=False, cancel_futures=True)
        self._executor, self._pid = None, 0

    @property
    def pid(self) -> int:
        return self._pid


class Workers:
    """A bounded number of workers and a bounded queue before them."""

    def __init__(self, limits: ServiceLimits, folder: Path) -> None:
        self._limits = limits
        self._all = [_Worker(limits, folder) for _ in range(limits.workers)]
        self._idle = list(self._all)
        self._turn = asyncio.Semaphore(limits.workers)
        self.waiting = 0

    async def run(self, work: Callable[..., T], *given: Any) -> T:
        """Return what `work(*given)` returns in a worker; a second worker has a go if the first one is lost.

        Raises
        ------
        ProblemError
            503 when the queue is full or two workers were lost, 504-like 503 when the time is up.
        """
        if self.waiting >= self._limits.queue + self._limits.workers:
            raise busy(f"{self._limits.queue} requests wait already, which is the most")
        self.waiting += 1
        try:
            async with self._turn:
                for _ in range(2):
                    with contextlib.suppress(WorkerLostError):
                        return await self._once(work, *given)
        except TimeoutError as error:
            raise ProblemError(
                503, TOO_LONG,
                f"the work was ended after {self._limits.work_s:g} s; ask for something coarser or smaller",
                {"Retry-After": "60"},
            ) from error  # fmt: skip
        finally:
            self.waiting -= 1
        raise busy("the work was lost twice, maybe for want of memory")

    async def _once(self, work: Callable[..., T], *given: Any) -> T:
        worker = self._idle.pop()
        try:
            return await worker.run(work, *given)
        finally:
            self._idle.append(worker)

    async def start(self) -> None:
        """Start all workers, so that the first request need not wait."""
        os.environ.setdefault("OMP_NUM_THREADS", "1")
        await asyncio.gather(*(one.start() for one in self._all))

    def end(self) -> None:
        """End all workers."""
        for one in self._all:
            one.end()

    @property
    def pids(self) -> list[int]:
        """The processes that are up."""
        return [one.pid for one in self._all if one.pid]


def busy(why: str) -> ProblemError:
    """Return the refusal of a service that has too much to do."""
    return ProblemError(503, "Too much to do", f"{why}; ask again in a few seconds", {"Retry-After": "3"})
