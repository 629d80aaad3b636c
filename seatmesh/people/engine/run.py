"""Parts worked on by whoever there is, a few at a time: never more in memory than the workers have in hand.

Which worker takes a part, and when it ends, changes nothing: each part is kept under its number, and all that is
counted later is counted in the order of the numbers.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Protocol

from seatmesh.arrays import Floats
from seatmesh.people.engine.kept_parts import KeptParts
from seatmesh.people.engine.part_work import PartWork

Keep = Callable[[int, Floats], None]
Stop = Callable[[], bool]
AHEAD = 2
"""Parts that each worker has in hand: the one it works on, and the next."""
MOST_THREADS = 8


class Stopped(Exception):  # noqa: N818 - no error: the user asked for it
    """The work was cancelled; what was finished is kept."""


class PartWorkers(Protocol):
    """Whoever works on parts."""

    def run(self, work: PartWork, parts: Iterable[tuple[int, int]], keep: Keep, stop: Stop) -> None:
        """Work on parts, each told by number and size, and hand each over as it ends; `Stopped` where told to stop."""
        ...


@dataclass(frozen=True)
class Threads:
    """Threads of this process; one where there is one processor."""

    count: int = 0

    def run(self, work: PartWork, parts: Iterable[tuple[int, int]], keep: Keep, stop: Stop) -> None:
        """See `PartWorkers`."""
        count = self.count or min(_processors(), MOST_THREADS)
        left = iter(parts)
        with ThreadPoolExecutor(count, thread_name_prefix="people") as pool:
            pending: dict[Future[Floats], int] = {}
            try:
                while True:
                    while len(pending) < AHEAD * count and (given := next(left, None)) is not None:
                        pending[pool.submit(work, *given)] = given[0]
                    if not pending:
                        return
                    done, _ = wait(pending, timeout=0.5, return_when=FIRST_COMPLETED)
                    for future in done:
                        keep(pending.pop(future), future.result())
                    if stop():
                        raise Stopped
            finally:
                pool.shutdown(wait=True, cancel_futures=True)


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def run_missing(
    workers: PartWorkers,
    work: PartWork,
    parts: KeptParts,
    tell: Callable[[int, int], None],
    stop: Stop = lambda: False,
) -> int:
    """Work on all parts that are not kept yet; return how many were. `tell` hears of people done and of all.

    Raises
    ------
    Stopped
        `stop` said so; finished parts are kept.
    """
    missing = parts.missing()
    people = sum(parts.sizes)
    done = people - sum(parts.sizes[part] for part in missing)
    tell(done, people)
    if not missing:
        return 0

    def keep(part: int, rows: Floats) -> None:
        nonlocal done
        parts.keep(part, rows)
        done += parts.sizes[part]
        tell(done, people)

    workers.run(work, ((part, parts.sizes[part]) for part in missing), keep, stop)
    return len(missing)
