"""What can go wrong, in one tree.

::

    SeatmeshError
    ├── InputError              something given is refused; the command line exits 2
    │   ├── UnknownKeyError     a key that no table knows, with the nearest one that it does
    │   ├── MissingKeyError     a key that has to be there
    │   ├── ValueRefusedError   a value that is not a number, out of range or in another unit
    │   │   └── NotAmongError   a value that is none of the few that are allowed
    │   └── FileRefusedError    a file or folder that cannot be read or written
    └── NotSolvedError          a computation ended without an answer; the command line exits 1

Every message says what was given, what is allowed and what to do.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class SeatmeshError(Exception):
    """Root of the errors that this package raises on purpose."""


class InputError(SeatmeshError):
    """Something given is refused."""


class UnknownKeyError(InputError):
    """A key that no table knows."""

    def __init__(self, key: str, known: Iterable[str], where: str) -> None:
        names = sorted(known)
        nearest = difflib.get_close_matches(key, names, n=1, cutoff=0.5)
        hint = f"did you mean '{nearest[0]}'?" if nearest else f"known are: {', '.join(names)}."
        super().__init__(f"{where}: unknown key '{key}'; {hint}")
        self.key = key
        self.nearest = nearest[0] if nearest else None


class MissingKeyError(InputError):
    """A key that has to be there is not."""

    def __init__(self, key: str, where: str, todo: str) -> None:
        super().__init__(f"{where}: '{key}' is missing; {todo}")
        self.key = key


class ValueRefusedError(InputError):
    """A value that is not a number, out of range or plainly in another unit."""

    def __init__(self, name: str, given: object, allowed: str, todo: str) -> None:
        super().__init__(f"{name} = {given}: {allowed}; {todo}")
        self.name = name
        self.given = given


class NotAmongError(ValueRefusedError):
    """A value that is none of the few that are allowed; the message lists them."""

    def __init__(self, name: str, given: object, allowed: Iterable[object]) -> None:
        super().__init__(name, given, f"allowed are {', '.join(map(str, allowed))}", "choose one of them")


class FileRefusedError(InputError):
    """A file or folder that cannot be read or written."""


class NotSolvedError(SeatmeshError):
    """A computation ended without an answer; the message carries its verdict."""
