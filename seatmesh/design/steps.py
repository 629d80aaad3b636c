"""How far long work is: a step in words and the share that is done, told to whoever listens.

Whoever starts the work listens by `told_to`; the work says `step`. Without a listener a step costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

Listener = Callable[[str, float], None]
"""Takes the words and the share, from 0 to 1."""

_LISTENER: ContextVar[Listener | None] = ContextVar("listener", default=None)


def step(words: str, done: float = 0.0, total: float = 1.0) -> None:
    """Say what is being done now; of `total` parts, `done` are finished."""
    listener = _LISTENER.get()
    if listener is not None:
        listener(words, min(max(done / total, 0.0), 1.0))


@contextmanager
def told_to(listener: Listener) -> Iterator[None]:
    """Have the steps of the block told to a listener."""
    token = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(token)


@contextmanager
def part(begin: float, end: float) -> Iterator[None]:
    """Let the steps of the block, from 0 to 1, stand for the part of the whole work from `begin` to `end`."""
    outer = _LISTENER.get()
    if outer is None:
        yield
        return
    with told_to(lambda words, share: outer(words, begin + (end - begin) * share)):
        yield
