"""Pieces of work that know nothing of one another, in threads: NumPy lets go of the interpreter while it reckons."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from seatmesh.errors import ValueRefusedError

T = TypeVar("T")
R = TypeVar("R")
MOST_THREADS = 4
"""Threads that are taken unless more are asked for: between the sums on arrays one of them at a time runs."""


def side_by_side(do: Callable[[T], R], work: Sequence[T], threads: int | None) -> Iterable[R]:
    """Yield what is done with each piece of work, in their order; no piece knows of another."""
    if threads is None:
        threads = min(len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1, MOST_THREADS)
    if threads < 1:
        raise ValueRefusedError(
            "threads", threads, "1 or more", "leave it out to take the processors there are"
        )
    if min(threads, len(work)) < 2:
        yield from map(do, work)
        return
    with ThreadPoolExecutor(threads) as pool:
        yield from pool.map(do, work)
