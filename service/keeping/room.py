"""Room for what is kept: bounds told truthfully, and a full disk that gives up first what can be made again."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

T = TypeVar("T")
FULL = (errno.ENOSPC, errno.EDQUOT)
DISK_FULL = "the service's disk is full; ask its owner to make room there"
SHORT = (errno.EMFILE, errno.ENFILE, errno.ENOMEM)
"""What a process has too little of for a moment: it says nothing of the file that it wanted."""
NO_ROOM = "There is no room to keep it"
AT_ONCE = 8
"""Files that go before it is tried again."""


class NoRoomError(Exception):
    """The store or its disk has no room for something; the words say which, and what to do."""


def refuse_beyond(size: int, most: int, limit: str, what: str) -> None:
    """Refuse what is larger than all the room that there is.

    Raises
    ------
    NoRoomError
        It is.
    """
    if size > most:
        raise NoRoomError(
            f"{what} has {size / 1e6:.2f} MB, and the service keeps {most / 1e6:g} MB at most; ask for something "
            f"coarser, or start the service with a larger {limit}"
        )


def with_room(put: Callable[[], T], drop_least_used_file: Callable[[], bool]) -> T:
    """Put something in place and return what that returns; on a full disk files that can be made again go first.

    They go a few at a time.

    Raises
    ------
    NoRoomError
        The disk is full and there is nothing more to give up.
    """
    while True:
        try:
            with _full_in_words():
                return put()
        except NoRoomError:
            went = [drop_least_used_file() for _ in range(AT_ONCE)]
            if not any(went):
                raise


@contextmanager
def _full_in_words() -> Iterator[None]:
    try:
        yield
    except (OSError, sqlite3.OperationalError) as error:
        if is_full(error):
            raise NoRoomError(DISK_FULL) from error
        raise


def is_short(error: BaseException) -> bool:
    """Tell whether something failed because this process has too many files open, or no memory."""
    return isinstance(error, OSError) and error.errno in SHORT


def is_full(error: BaseException) -> bool:
    """Tell whether something failed because the disk is full."""
    if isinstance(error, sqlite3.OperationalError):
        return "full" in str(error)
    return isinstance(error, OSError) and error.errno in FULL
