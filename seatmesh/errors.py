"""What can go wrong, in one tree.

::

    SeatmeshError
    ├── InputError              something given is refused; the command line exits 2
    │   ├── UnknownKeyError     a key that no table knows, with the nearest one that it does
    │   │   └── UnknownWordError  a word or name that is none of those allowed, with the nearest one and all of them
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
from typing import Any

from seatmesh.refused import Advice, Place, Said, facts_of, numbered

LONGEST = 60
"""Letters of what was given that a message repeats at most."""
NEAR = 0.7
"""How alike a mistyped word is to the one that was meant: difflib's ratio. At 0.6 teak would be taken for white oak."""


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

    place: Place | None = None
    """The key of an order that is at fault, where that is known."""

    def put(self, place: Place) -> None:
        """Say which key is at fault, unless that is known."""
        self.place = self.place or place

    def put_number(self, table: str, number: int) -> None:
        """Say in which one of several tables of a name it is."""
        self.place = numbered(self.place, table, number)

    def facts(self) -> dict[str, Any]:
        """Return in plain values what a form needs to say it in its own words.

        That is the place, what was given, what is allowed, what to do, and ways out; where only the message says it,
        the lists are empty.
        """
        told = {} if self.place is None else self.place.facts()
        return {"place": told or None, "given": [], "allowed": [], "todo": [], "ways": []}


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
        names = list(known)
        self.key, self.nearest = key, nearest_to(key, names)
        super().__init__(self._words(names, where))

    def _words(self, names: list[str], where: str) -> str:
        known = f"known are: {', '.join(sorted(names))}."
        return f"{where}: unknown key {_in_a_line(self.key)}; {_meant(self.nearest) or known}"


class UnknownWordError(UnknownKeyError):
    """A word or a name that is none of those allowed; the message lists them.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, sit
    >>> from seatmesh.errors import UnknownWordError
    >>> try:
    ...     sit(estimate_body("male", 1740, 69), flat_seat(), posture="slouch")
    ... except UnknownWordError as refusal:
    ...     print(refusal.nearest)
    slouched
    """

    def _words(self, names: list[str], where: str) -> str:
        todo = _meant(self.nearest) or "choose one of them"
        return f"{where} = {_in_a_line(self.key)}: allowed are {', '.join(names)}; {todo}"


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
        self.key, self.todo = key, todo

    def facts(self) -> dict[str, Any]:
        """Return what is known of it as plain values."""
        return {**super().facts(), "allowed": facts_of("it is missing"), "todo": facts_of(self.todo)}


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

    def __init__(
        self, name: str | Place, given: object, allowed: str | Said, todo: str | Said | Advice
    ) -> None:
        super().__init__(f"{name} = {given}: {allowed}; {todo}")
        self.name = str(name)
        self.given, self.allowed, self.todo = given, allowed, todo
        if isinstance(name, Place):
            self.place = name

    def facts(self) -> dict[str, Any]:
        """Return what is known of it as plain values."""
        advice = self.todo if isinstance(self.todo, Advice) else None
        return {
            **super().facts(),
            "given": facts_of(self.given),
            "allowed": facts_of(self.allowed),
            "todo": facts_of(self.todo if advice is None else advice.more),
            "ways": [] if advice is None or self.place is None else advice.facts(self.place),
        }


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
        words = [str(one) for one in allowed]
        meant = _meant(nearest_to(str(given).strip("'\""), words))
        super().__init__(name, given, f"allowed are {', '.join(words)}", meant or "choose one of them")


def nearest_to(given: str, names: Iterable[str]) -> str | None:
    """Return the name that was most likely meant, or None where no name is near enough to be worth a guess.

    A name is near that goes on where the given one ends (`width_mm` for `width`, "leg mortise" for "leg"); else most
    letters have to agree.
    """
    folded = {name.casefold(): name for name in names}
    typed = given.casefold()
    goes_on = (f"{typed}_", f"{typed} ")
    whole = [name for fold, name in folded.items() if fold == typed or (typed and fold.startswith(goes_on))]
    if len(whole) == 1:
        return whole[0]
    near = difflib.get_close_matches(typed, folded, n=1, cutoff=NEAR)
    return folded[near[0]] if near else None


def _meant(nearest: str | None) -> str:
    return f"did you mean '{nearest}'?" if nearest else ""


def _in_a_line(given: str) -> str:
    text = repr(given)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 3]}..."


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
