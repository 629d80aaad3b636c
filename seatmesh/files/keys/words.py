"""Words of a table: one of a few, a line of text, yes or no, a day."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.choices import one_of
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.files.keys.key import KeyKind, Schema
from seatmesh.files.names import is_one_line
from seatmesh.units import shown


@dataclass(frozen=True)
class WordKind(KeyKind):
    """One word of a few."""

    choices: tuple[str, ...]

    name: ClassVar[str] = "word"

    def read(self, given: object, label: str) -> str:
        """Return the word; a refusal names the nearest one."""
        return one_of(label, given, self.choices)

    def allowed(self) -> str:
        """Return all the words."""
        return ", ".join(self.choices)

    def schema(self) -> Schema:
        """Return the words as an enumeration."""
        return {"enum": list(self.choices)}

    def facts(self) -> dict[str, Any]:
        """Return all the words."""
        return {"choices": list(self.choices)}


@dataclass(frozen=True)
class Text(KeyKind):
    """A line of printable text, without spaces at its ends; empty text is allowed where `may_be_empty`."""

    longest: int
    todo: str = "give a short name"
    may_be_empty: bool = False

    name: ClassVar[str] = "text"

    def read(self, given: object, label: str) -> str:
        """Return the text."""
        if isinstance(given, str) and is_one_line(given) and len(given.strip()) <= self.longest:
            text = given.strip()
            if text or self.may_be_empty:
                return text
        fewest = "up to" if self.may_be_empty else "1 to"
        words = f"allowed are {fewest} {self.longest} printable characters"
        raise ValueRefusedError(label, shown(given), words, self.todo)

    def schema(self) -> Schema:
        """Return text of that length."""
        return {"type": "string", "minLength": 0 if self.may_be_empty else 1, "maxLength": self.longest}

    def facts(self) -> dict[str, Any]:
        """Return how long it may be."""
        return {"longest": self.longest}


@dataclass(frozen=True)
class Flag(KeyKind):
    """True or false."""

    name: ClassVar[str] = "flag"

    def read(self, given: object, label: str) -> bool:
        """Return the flag."""
        if isinstance(given, bool):
            return given
        raise NotAmongError(label, shown(given), ("true", "false"))

    def allowed(self) -> str:
        """Return both."""
        return "true, false"

    def schema(self) -> Schema:
        """Return a boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True)
class Day(KeyKind):
    """A day: a date of TOML, or text such as 2026-05-31; empty text where none is known."""

    name: ClassVar[str] = "day"

    def read(self, given: object, label: str) -> str:
        """Return the day as text of ISO 8601, empty where none is known."""
        if isinstance(given, datetime.date):
            return given.isoformat()[:10]
        if given == "":
            return ""
        try:
            return datetime.date.fromisoformat(given).isoformat()  # type: ignore[arg-type]
        except (TypeError, ValueError) as error:
            raise ValueRefusedError(
                label, shown(given), "allowed is a day as 2026-05-31", "write year, month, day"
            ) from error

    def schema(self) -> Schema:
        """Return text; other forms of ISO 8601 are read too, so none is demanded."""
        return {"type": "string"}
