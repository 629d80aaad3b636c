"""Keys of the tables [[sitter]]: who sits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.number import Number
from seatmesh.files.keys.table import KeyRows, KeyTable, made_of
from seatmesh.files.keys.words import Text
from seatmesh.units import shown

LONGEST_NAME = 60
USUAL_WEIGHT = 1.0


@dataclass(frozen=True)
class GivenSitter:
    """A sitter as given: a body file, the name of one, or a table of measures; no name is that of the body."""

    body: str | Mapping[str, Any]
    weight: float
    name: str = ""


@dataclass(frozen=True)
class FileOrTable(KeyKind):
    """A body: the path of its file, the name of one that comes with the tool, or a table with a body file's keys."""

    name: ClassVar[str] = "body"

    def read(self, given: object, label: str) -> str | Mapping[str, Any]:
        """Return what names the body, or its table, which the reader of bodies reads."""
        if isinstance(given, Mapping) or (isinstance(given, str) and given):
            return given
        raise ValueRefusedError(label, shown(given), "a body file or a table", "name a file of measures")

    def schema(self) -> Schema:
        """Return text or a table; who serves orders knows the keys of a body."""
        return {"anyOf": [{"type": "string", "minLength": 1}, {"type": "object"}]}


SITTER = KeyTable(
    name="sitter",
    meaning="who sits; one table for each, at least one",
    make=made_of(GivenSitter),
    keys=(
        Key(
            "body",
            "Body",
            "a body file, the name of one that comes with the tool, or a table of measures",
            FileOrTable(),
            needed="name a body file, or write the measures as a table",
        ),
        Key("name", "Name", "what the report calls the sitter", Text(LONGEST_NAME)),
        Key(
            "weight",
            "Weight",
            "how much the sitter counts against the others",
            Number(0.0, 1000.0, above=True, todo="give 1 for each to count alike"),
            default=USUAL_WEIGHT,
        ),
    ),
)
SITTERS = KeyRows(
    SITTER,
    most=12,
    todo="make an order for a few at a time",
    needed='add [[sitter]] with body = "..." for each who sits',
)
