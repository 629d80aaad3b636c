"""Tables of keys: read once, into a value of their own type.

The records are plain dataclasses and not models of pydantic. Models keep our words of refusal only where a validator of
ours reads each kind. Then ranges are typed again for the schema, the fault that is told first is another one, and null
passes for a key left out. They would also double the frozen dataclasses, and take 0.4 s of a start that takes 0.15 s.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from seatmesh.errors import InputError, MissingKeyError, ValueRefusedError
from seatmesh.files.keys.key import Key
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.refused import Place
from seatmesh.units import shown

T = TypeVar("T")
Values = Mapping[str, Any]
"""What was given of a table, each value as its key's kind reads it."""


@dataclass(frozen=True)
class KeyTable(Generic[T]):
    """A table of a file, written once as [name]; its keys are at the top of the file where the name is empty.

    Attributes
    ----------
    meaning
        One line for the maker.
    keys
        In the order in which they are listed and asked for.
    make
        Makes the value from what was given and from the keys' own defaults; it is told how a refusal names the table.
    fields
        The dataclass whose fields have the defaults of the keys of the same names; None where there is none.
    title
        How what was read so far is added to the name of the table in a refusal; empty for most tables.
    """

    name: str
    meaning: str
    keys: tuple[Key, ...]
    make: Callable[[Values, str], T]
    fields: type | None = None
    title: Callable[[Values], str] = field(default=lambda _: "")

    @property
    def heading(self) -> str:
        """Return how the table is written: "[name]", and "" for the top of the file."""
        return f"[{self.name}]" if self.name else ""

    def default(self, key: Key) -> object:
        """Return what stands where a key is left out; None where nothing does, or a word of its meaning says it."""
        if key.default is not None or key.needed or self.fields is None:
            return key.default
        return {one.name: one.default for one in dataclasses.fields(self.fields) if has_default(one)}.get(
            key.name
        )

    def read(self, file: Mapping[str, Any], where: str) -> T:
        """Return the value of the table in a file, or of an empty one where it is absent; `where` names the file.

        Raises
        ------
        InputError
            No table, a key that is unknown or missing, or a value that its key does not allow.
        """
        given = file.get(self.name, {})
        if not isinstance(given, Mapping):
            raise ValueRefusedError(
                f"{where} {self.name}",
                shown(given),
                "allowed is a table",
                f"write [{self.name}], its keys below",
            )
        return self.read_one(given, f"{where} {self.heading}", self.heading)

    def read_one(self, given: Mapping[str, Any], where: str, label: str) -> T:
        """Return the value of one table; `where` names it in a refusal, and `label` stands before its keys.

        Raises
        ------
        InputError
            As `read`.
        """
        refuse_unknown(given, [key.name for key in self.keys], where)
        values = {key.name: key.default for key in self.keys if key.default is not None}
        for key in self.keys:
            if key.name in given:
                named = f"{label}{self.title(values)} {key.name}".strip()
                values[key.name] = self._read(key, given[key.name], named)
            elif key.needed and (not key.needed_for or values.get("kind") in key.needed_for):
                missing = MissingKeyError(key.name, where, key.needed)
                missing.put(Place(self.name, key.name))
                raise missing
        try:
            return self.make(values, where)
        except InputError as refusal:
            refusal.put(self._named_in(refusal))
            raise

    def _read(self, key: Key, given: object, named: str) -> object:
        try:
            return key.kind.read(given, named)
        except InputError as refusal:
            refusal.put(Place(self.name, key.name))
            raise

    def _named_in(self, refusal: InputError) -> Place:
        """Return the key that a refusal of the whole table names, or the table."""
        name = str(getattr(refusal, "name", getattr(refusal, "key", ""))).rpartition(" ")[2]
        return Place(self.name, name if any(key.name == name for key in self.keys) else "")


@dataclass(frozen=True)
class KeyRows(Generic[T]):
    """A table of a file that is written once for each of several things, as [[name]].

    Attributes
    ----------
    table
        What each has.
    most, todo
        How many there may be, and what to do where there are more.
    needed
        What to do where there is none; empty where there need not be one.
    """

    table: KeyTable[T]
    most: int
    todo: str = "leave some out"
    needed: str = ""

    @property
    def name(self) -> str:
        """Return the name of the table."""
        return self.table.name

    @property
    def heading(self) -> str:
        """Return how each is written: "[[name]]"."""
        return f"[[{self.name}]]"

    def read(self, file: Mapping[str, Any], where: str) -> tuple[T, ...]:
        """Return the values of all of them in a file; `where` names the file.

        Raises
        ------
        InputError
            No list of tables, too many of them, or what `KeyTable.read` refuses, with the number of the table.
        """
        given = file.get(self.name, [])
        if self.needed and not given:
            raise MissingKeyError(self.name, where, self.needed)
        return self.read_all(given, where)

    def read_all(self, given: object, where: str) -> tuple[T, ...]:
        """Return the values of a list of tables; raises as `read`."""
        name = f"{where} {self.name}"
        if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
            raise ValueRefusedError(
                name, shown(given), "allowed is a list of tables", f"write {self.heading} for each"
            )
        if len(given) > self.most:
            raise ValueRefusedError(name, f"{len(given)} of them", f"at most {self.most}", self.todo)
        return tuple(
            self._read(one, number, f"{where} {self.heading} {number}")
            for number, one in enumerate(given, start=1)
        )

    def _read(self, given: Mapping[str, Any], number: int, label: str) -> T:
        try:
            return self.table.read_one(given, label, label)
        except InputError as refusal:
            refusal.put_number(self.name, number)
            raise


def made_of(kind: Callable[..., T]) -> Callable[[Values, str], T]:
    """Return a maker for a table whose keys are the fields of a dataclass."""
    return lambda values, _where: kind(**values)


def has_default(one: dataclasses.Field[Any]) -> bool:
    """Tell whether a field of a dataclass has a default that a maker could have written."""
    return one.default is not dataclasses.MISSING and one.default not in (None, "", ())
