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
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any, TypeVar

from ..limits import ServiceLimits
from . import turns
from .lane import WorkerLostError
from .progress import Told, send_steps_to

T = TypeVar("T")
START_S = 60.0
FAR_BACK = 15
"""How far work that turns out long stands back from then on, as `nice` counts."""
STARTS, START_AGAIN_S = 20, 0.1
"""How often a worker that cannot be started is tried again, and after how long."""
PRELOADED = ["seatmesh_service.tasks.preload"]


def _context() -> multiprocessing.context.BaseContext:
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(PRELOADED)
    return context


def _begin(memory_mb: int, folder: str, niceness: int, told: multiprocessing.connection.Connection) -> None:
    """Set up a worker: a group of its own, bounded memory, its temporary files where each start cleans up."""
    tempfile.tempdir = folder
    os.environ["TMPDIR"] = folder
    send_steps_to(told)
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not everywhere

        os.setpgrp()
        os.nice(niceness)
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

    def __init__(self, limits: ServiceLimits, folder: Path, niceness: int) -> None:
        self._limits, self._folder, self._niceness = limits, folder, niceness
        self._executor: ProcessPoolExecutor | None = None
        self._told: multiprocessing.connection.Connection | None = None
        self._pid = 0

    async def start(self) -> ProcessPoolExecutor:
        for _ in range(STARTS):
            try:
                return await self._started()
            except (OSError, EOFError, BrokenProcessPool):
                # The process that workers are forked from was killed too; it is begun anew once it is known to be dead.
                self.end()
                await asyncio.sleep(START_AGAIN_S)
        return await self._started()

    async def _started(self) -> ProcessPoolExecutor:
        if self._executor is not None:
            return self._executor
        context = _context()
        self._told, ours = context.Pipe(duplex=False)
        given = (self._limits.worker_memory_mb, str(self._folder), self._niceness, ours)
        self._executor = executor = ProcessPoolExecutor(1, context, _begin, given)
        try:
            self._pid = await asyncio.wrap_future(executor.submit(os.getpid))
        finally:
            ours.close()
        return executor

    async def run(self, tell: Told | None, seconds: float, work: Callable[..., T], *given: Any) -> T:
        try:
            # A worker that is not up yet takes none of the work's time.
            async with asyncio.timeout(START_S):
                executor = await self.start()
            async with asyncio.timeout(seconds):
                with self._standing_back(), self._listening(tell):
                    return await asyncio.wrap_future(executor.submit(work, *given))
        except BrokenProcessPool as error:
            self.end()
            raise WorkerLostError from error
        except BaseException:
            # Out of time, or nobody waits for it any more: the work ends here and now.
            self.end()
            raise

    @contextlib.contextmanager
    def _standing_back(self) -> Iterator[None]:
        """Let work that turns out long stand back behind quicker work; its worker cannot rise and is not used again."""
        if self._niceness == 0 or sys.platform == "win32":
            yield
            return
        stood_back = False

        def stand_back() -> None:
            nonlocal stood_back
            stood_back = True
            with contextlib.suppress(OSError):
                os.setpriority(os.PRIO_PGRP, self._pid, FAR_BACK)

        timer = asyncio.get_running_loop().call_later(turns.LONG_S, stand_back)
        try:
            yield
        finally:
            timer.cancel()
            if stood_back:
                self.end()

    @contextlib.contextmanager
    def _listening(self, tell: Told | None) -> Iterator[None]:
        told = self._told
        if told is None:
            yield
            return

        def listen() -> None:
            try:
                while told.poll():
                    words, share = told.recv()
                    if tell is not None:
                        tell(words, share)
            except (OSError, EOFError):
                loop.remove_reader(told.fileno())

        loop = asyncio.get_running_loop()
        loop.add_reader(told.fileno(), listen)
        try:
            yield
        finally:
            loop.remove_reader(told.fileno())

    def end(self) -> None:
        """End the process and all that it started."""
        if self._pid:
            _kill(self._pid)
        if self._executor is not None:
            self._executor.shutdown(wait=False, cancel_futures=True)
        if self._told is not None:
            self._told.close()
        self._executor, self._told, self._pid = None, None, 0

    @property
    def pid(self) -> int:
        return self._pid


class EmbeddedWorkers:
    """So many processes of this machine; whose turn it is, `FairTurns` says.

    Parameters
    ----------
    count
        How many; no more pieces of work, and spare ones, may be given at a time.
    spare
        So many more are started when they are needed.
    niceness
        How far their work stands back behind others' of this machine, as `nice` counts.
    """

    def __init__(
        self, limits: ServiceLimits, folder: Path, count: int, niceness: int = 0, spare: int = 0
    ) -> None:
        self._all = [_Worker(limits, folder, niceness) for _ in range(count + spare)]
        self._idle = self._all[::-1]
        self.slots = count

    async def run(self, tell: Told | None, seconds: float, work: Callable[..., T], *given: Any) -> T:
        """Return what `work(*given)` returns in a worker; a second worker has a go if the first one is lost.

        Raises
        ------
        WorkerLostError
            Two were lost over it.
        TimeoutError
            The time was up; the work is ended.
        """
        for last in (False, True):
            worker = self._idle.pop()
            try:
                return await worker.run(tell, seconds, work, *given)
            except WorkerLostError:
                if last:
                    raise
            finally:
                self._idle.append(worker)
        raise AssertionError("unreachable")

    async def start(self) -> None:
        """Start all workers but the spare ones, so that the first request need not wait."""
        os.environ.setdefault("OMP_NUM_THREADS", "1")
        await asyncio.gather(*(one.start() for one in self._all[: self.slots]))

    async def end(self) -> None:
        """End all workers."""
        for one in self._all:
            one.end()

    @property
    def pids(self) -> list[int]:
        """The processes that are up."""
        return [one.pid for one in self._all if one.pid]
