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
    """Root of the errors that this package raises on purpose.

    Examples
    --------
    >>> from seatmesh import InputError, NotSolvedError, SeatmeshError
    >>> issubclass(InputError, SeatmeshError), issubclass(NotSolvedError, SeatmeshError)
    (True, True)
    """


class InputError(SeatmeshError):
    """Something given is refused.

    Examples
    --------
    >>> from seatmesh import InputError, estimate_body
    >>> try:
    ...     estimate_body("male", 174, 69)
    ... except InputError as refusal:
    ...     print("stature_mm" in str(refusal))
    True
    """


class UnknownKeyError(InputError):
    """A key that no table knows.

    Examples
    --------
    >>> from seatmesh import UnknownKeyError, estimate_body, flat_seat, sit
    >>> try:
    ...     sit(estimate_body("male", 1740, 69), flat_seat(), posture="slouch")
    ... except UnknownKeyError as refusal:
    ...     print(refusal.nearest)
    slouched
    """

    def __init__(self, key: str, known: Iterable[str], where: str) -> None:
        names = sorted(known)
        nearest = difflib.get_close_matches(key, names, n=1, cutoff=0.5)
        hint = f"did you mean '{nearest[0]}'?" if nearest else f"known are: {', '.join(names)}."
        super().__init__(f"{where}: unknown key '{key}'; {hint}")
        self.key = key
        self.nearest = nearest[0] if nearest else None


class MissingKeyError(InputError):
    r"""A key that has to be there is not.

    Examples
    --------
    >>> from pathlib import Path
    >>> from seatmesh import MissingKeyError, read_body
    >>> _ = Path("anna.toml").write_text('name = "Anna"\nmass_kg = 61\n')
    >>> try:
    ...     read_body("anna.toml")
    ... except MissingKeyError as refusal:
    ...     print(refusal.key)
    stature_mm
    """

    def __init__(self, key: str, where: str, todo: str) -> None:
        super().__init__(f"{where}: '{key}' is missing; {todo}")
        self.key = key


class ValueRefusedError(InputError):
    """A value that is not a number, out of range or plainly in another unit.

    Examples
    --------
    >>> from seatmesh import Adjustment, ValueRefusedError
    >>> try:
    ...     Adjustment(60.0, 150.0, 1.0, 1.5)
    ... except ValueRefusedError as refusal:
    ...     print(refusal.name)
    adjustment radius_mm
    """

    def __init__(self, name: str, given: object, allowed: str, todo: str) -> None:
        super().__init__(f"{name} = {given}: {allowed}; {todo}")
        self.name = name
        self.given = given


class NotAmongError(ValueRefusedError):
    """A value that is none of the few that are allowed; the message lists them.

    Examples
    --------
    >>> from seatmesh import NotAmongError, flat_seat, solid, write_mesh
    >>> try:
    ...     write_mesh(solid(flat_seat(), tolerance_mm=1.0), "seat.doc")
    ... except NotAmongError as refusal:
    ...     print(refusal.given)
    '.doc'
    """

    def __init__(self, name: str, given: object, allowed: Iterable[object]) -> None:
        super().__init__(name, given, f"allowed are {', '.join(map(str, allowed))}", "choose one of them")


class FileRefusedError(InputError):
    """A file or folder that cannot be read or written.

    Examples
    --------
    >>> from seatmesh import FileRefusedError, read_seat
    >>> try:
    ...     read_seat("no-such-seat.json")
    ... except FileRefusedError as refusal:
    ...     print("no-such-seat.json" in str(refusal))
    True
    """


class NotSolvedError(SeatmeshError):
    """A computation ended without an answer; the message carries its verdict.

    Examples
    --------
    >>> from seatmesh import NotSolvedError, estimate_body, flat_seat, sit
    >>> lost = sit(estimate_body("male", 1740, 69), flat_seat(), at_mm=(1000.0, 0.0))
    >>> try:
    ...     lost.figures.peak_kpa
    ... except NotSolvedError:
    ...     print(lost.converged)
    False
    """
