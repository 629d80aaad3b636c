"""The way of a step from a worker to whoever follows the work: a few a second at most."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any

from seatmesh.design.steps import told_to

Told = Callable[[str, float], None]
"""Takes what is being done in words, and the share that is done."""
EACH_S = 0.2


class _Way:
    """Where the steps of this process go."""

    connection: Connection | None = None


def send_steps_to(connection: Connection) -> None:
    """Let the steps of this process go through a connection."""
    _Way.connection = connection


def telling(send: Told, work: Callable[..., Any], *given: Any) -> Any:
    """Return what some work returns; its steps go to `send`, a few a second."""
    last, last_words = 0.0, ""

    def tell(words: str, share: float) -> None:
        nonlocal last, last_words
        now = time.monotonic()
        if now - last >= EACH_S or words != last_words:
            last, last_words = now, words
            with suppress(OSError):
                send(words, share)

    with told_to(tell):
        return work(*given)


def telling_parent(work: Callable[..., Any], *given: Any) -> Any:
    """Return what some work returns; its steps go to the process that gave it."""
    way = _Way.connection
    return work(*given) if way is None else telling(lambda *step: way.send(step), work, *given)
