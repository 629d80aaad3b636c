"""What may go wrong where work is kept, as refusals."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from ..keeping.room import DISK_FULL, NO_ROOM, NoRoomError, is_full, is_short
from ..keeping.seat_folders import InTheWayError
from ..refusal import ProblemError
from ..workers.turns import busy

SHORT_S = 3
"""Seconds after which a process that has too many files open may have fewer."""


@contextmanager
def as_refusals() -> Iterator[None]:
    """Let what may go wrong in the block end as a refusal; what nobody foresaw stays what it is.

    Raises
    ------
    ProblemError
        507 without room, 404 for a seat that is kept no more, 503 with too many files open, 500 where something
        stands in the way.
    """
    try:
        yield
    except NoRoomError as error:
        raise ProblemError(507, NO_ROOM, str(error)) from error
    except (OSError, sqlite3.OperationalError) as error:
        if is_short(error):
            raise busy("the service has too many files open for now", SHORT_S) from error
        if not is_full(error):
            raise
        raise ProblemError(507, NO_ROOM, DISK_FULL) from error
    except InTheWayError as error:
        raise ProblemError(500, "The seat cannot be kept", str(error)) from error
    except ExceptionGroup as errors:
        with as_refusals():
            raise errors.exceptions[0] from errors
    except KeyError as error:
        detail = "it made room for others, or is damaged; post its order to /seats again"
        raise ProblemError(404, "There is no such seat", detail) from error
