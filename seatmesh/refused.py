"""What a refusal says, in parts: words, keys of an order with their values, and ways out of it.

The parts are put together to the words of a message, where keys stand as an order file writes them. A form takes them
one by one: it names keys as its fields do, writes lengths in the maker's unit, and offers each way out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

Value = float | str | bool
Form = Literal["named", "bare", "set"]
Bound = Literal["", "least", "most"]


@dataclass(frozen=True)
class Place:
    """A key of an order.

    Attributes
    ----------
    table, key
        As they are written; no key where the whole table is meant.
    number
        Which one, from 1, of a table that is written several times; 0 for one that is written once.
    kind
        What that one is, such as "leg mortise"; it is said behind the number.
    where
        Said before all, such as the file.
    """

    table: str
    key: str = ""
    number: int = 0
    kind: str = ""
    where: str = ""

    def __str__(self) -> str:
        heading = f"[[{self.table}]] {self.number}" if self.number else f"[{self.table}]"
        kind = f" ({self.kind})" if self.kind else ""
        return f"{self.where} {heading}{kind} {self.key}".strip()

    def facts(self) -> dict[str, Any]:
        """Return it as plain values."""
        return {"table": self.table, "number": self.number or None, "key": self.key or None}


@dataclass(frozen=True)
class Piece:
    """A key, a value, or a key with its value.

    Attributes
    ----------
    form
        "floor_mm 20" where it is named, "20" where it is bare, "floor_mm = 20" where it is set.
    unit
        Of a value without a key.
    text
        The value as it was given, where the message says it so.
    """

    place: Place | None
    value: Value | None = None
    unit: str = ""
    form: Form = "named"
    spec: str = "g"
    text: str = ""

    def __str__(self) -> str:
        if self.text:
            return self.text
        key = self.place.key if self.place is not None else ""
        if self.value is None:
            return key
        if self.form == "bare" or not key:
            return f"{self._number()} {self.unit}".rstrip()
        return f"{key} = {self._number()}" if self.form == "set" else f"{key} {self._number()}"

    def _number(self) -> str:
        return written(self.value, self.spec)

    def facts(self) -> dict[str, Any]:
        """Return it as plain values."""
        named = self.place is not None and (self.form != "bare" or self.value is None)
        return {
            "words": None,
            "place": None if self.place is None else self.place.facts(),
            "value": _plain(self.value),
            "unit": self.unit or None,
            "named": named,
        }


@dataclass(frozen=True)
class Said:
    """Words with parts between them."""

    parts: tuple[str | Piece, ...]

    def __str__(self) -> str:
        return "".join(str(one) for one in self.parts)

    def facts(self) -> list[dict[str, Any]]:
        """Return the parts as plain values, in order."""
        return [_words(one) if isinstance(one, str) else one.facts() for one in self.parts if one != ""]


@dataclass(frozen=True)
class Setting:
    """A value that is advised for a key; None where the key is to be left out.

    Attributes
    ----------
    place
        None for the key at fault itself.
    bound
        Whether it is the least or the greatest that will do: to be rounded that way.
    """

    place: Place | None
    value: Value | None
    bound: Bound = ""

    def __str__(self) -> str:
        key = "it" if self.place is None else self.place.key
        if self.value is None:
            return f"leave {key} out"
        text = f'"{self.value}"' if isinstance(self.value, str) else written(self.value, ".6g")
        return (text if self.place is None else f"{key} = {text}") + {
            "": "",
            "least": " or more",
            "most": " or less",
        }[self.bound]

    def facts(self, fault: Place) -> dict[str, Any]:
        """Return it as plain values; `fault` is the key at fault."""
        place = fault if self.place is None else self.place
        if place.table == fault.table and not place.number:
            place = replace(place, number=fault.number)
        return {**place.facts(), "value": _plain(self.value), "bound": self.bound or None}


@dataclass(frozen=True)
class Advice:
    """Ways out, each one or more settings together.

    Attributes
    ----------
    more
        What else may be done, in words.
    text
        All of it in words, where the message says it otherwise than way by way.
    """

    ways: tuple[tuple[Setting, ...], ...]
    more: str | Said = ""
    text: str = ""

    def __str__(self) -> str:
        if self.text:
            return self.text
        clauses: list[str] = []
        giving = False
        for way in self.ways:
            words = " with ".join(str(one) for one in way)
            leaves = way[0].value is None
            clauses.append(words if leaves or giving else f"give {words}")
            giving = not leaves
        if str(self.more):
            clauses.append(str(self.more))
        return ", or ".join(clauses)

    def facts(self, fault: Place) -> list[list[dict[str, Any]]]:
        """Return the ways as plain values, each a list of what it sets; `fault` is the key at fault."""
        return [[one.facts(fault) for one in way] for way in self.ways]


def at(path: str, number: int = 0, kind: str = "") -> Place:
    """Return the place of a key that is written "table.key", or of a whole table."""
    table, _, key = path.partition(".")
    return Place(table, key, number, kind)


def said(text: str, *parts: Piece) -> Said:
    """Return words with a part at each {} of them."""
    words = text.split("{}")
    if len(words) != len(parts) + 1:
        raise ValueError(f"{len(parts)} parts for {text!r}")
    return Said((words[0], *(one for pair in zip(parts, words[1:], strict=True) for one in pair)))


def of(path: str, value: Value | None = None, number: int = 0) -> Piece:
    """Return a key with its value: "floor_mm 20"; the key alone without one."""
    return Piece(at(path, number), value)


def bare(path: str, value: Value, spec: str = "g") -> Piece:
    """Return the value of a key without its name."""
    return Piece(at(path), value, form="bare", spec=spec)


def mm(value: float, spec: str = "g") -> Piece:
    """Return a length that is no key's: "20 mm"."""
    return Piece(None, value, "mm", spec=spec)


def number(value: float, spec: str = "g") -> Piece:
    """Return a plain number, whose unit stands with the next one or nowhere."""
    return Piece(None, value, spec=spec)


def word(value: str, text: str = "") -> Piece:
    """Return a name or a word that stands as it is; the message has `text` in its place."""
    return Piece(None, value, text=text)


def named_mm(key: str, value: float) -> Piece:
    """Return a length that the words before it name already; the message has its key as well."""
    return Piece(None, value, "mm", text=f"{key} {value:g}")


def less(path: str, value: float, number: int = 0) -> tuple[Setting, ...]:
    """Return a way: a value of a key, or less."""
    return (Setting(at(path, number), value, "most"),)


def more(path: str, value: float, number: int = 0) -> tuple[Setting, ...]:
    """Return a way: a value of a key, or more."""
    return (Setting(at(path, number), value, "least"),)


def exactly(path: str, value: Value, number: int = 0) -> tuple[Setting, ...]:
    """Return a way: this value of a key."""
    return (Setting(at(path, number), value),)


def leave_out(path: str, number: int = 0) -> tuple[Setting, ...]:
    """Return a way: without a key."""
    return (Setting(at(path, number), None),)


def numbered(place: Place | None, table: str, number: int) -> Place:
    """Return a place in one of several tables of a name; a place elsewhere stays what it is."""
    if place is None:
        return Place(table, "", number)
    return replace(place, number=number) if place.table == table and not place.number else place


def written(value: Value | None, spec: str = "g") -> str:
    """Return a value as a message writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:{spec}}" if isinstance(value, int | float) else str(value)


def facts_of(words: object) -> list[dict[str, Any]]:
    """Return words, or words with parts, as plain values."""
    return words.facts() if isinstance(words, Said) else [_words(str(words))] if str(words) else []


def _words(text: str) -> dict[str, Any]:
    return {"words": text, "place": None, "value": None, "unit": None, "named": False}


def _plain(value: Value | None) -> Value | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
