"""Keys of the tables [[mark]]: what was marked on the bare blank while a sitter sat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.files.keys.across import Across
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.lists import PLACE
from seatmesh.files.keys.number import Number
from seatmesh.files.keys.table import KeyRows, KeyTable, Values
from seatmesh.files.keys.words import Text, WordKind
from seatmesh.marks.mark import (
    KINDS,
    LARGEST_ERROR_MM,
    LEAST_ERROR_MM,
    SCATTER,
    SIDES,
    Mark,
    check_name_and_side,
)
from seatmesh.marks.sides import on_side

ADD = "add it."


@dataclass(frozen=True)
class GivenMark:
    """A mark as it was given, and whose it is; empty where the order does not say."""

    mark: Mark
    sitter: str


@dataclass(frozen=True)
class SideOfMark(KeyKind):
    """A side; which sides a mark has depends on its name, so that both are checked together."""

    name: ClassVar[str] = "word"

    def read(self, given: object, _label: str) -> object:
        """Return what was given."""
        return given

    def allowed(self) -> str:
        """Return all sides."""
        return ", ".join(SIDES)

    def schema(self) -> Schema:
        """Return all sides as an enumeration."""
        return {"enum": list(SIDES)}

    def facts(self) -> dict[str, Any]:
        """Return all sides."""
        return {"choices": list(SIDES)}


def _given(values: Values, where: str) -> GivenMark:
    name, side = check_name_and_side(values["name"], values.get("side"), where)
    # The end of the spine may lie to either side of the centre line, by its sign.
    given = values["x_mm"]
    across = given.x_mm if side == "middle" else on_side(given, side, f"{where} '{name}' {side} x_mm")
    error = {key: values[key] for key in ("standard_error_mm",) if key in values}
    return GivenMark(
        Mark(name, side, across, values["y_mm"], **error),
        values.get("sitter", ""),
    )


def _title(values: Values) -> str:
    name = f" '{values['name']}'" if "name" in values else ""
    return f"{name} {values['side']}" if values.get("side") in SIDES else name


MARK = KeyTable(
    name="mark",
    meaning="a mark made on the bare blank while the sitter sat; one table for each",
    make=_given,
    fields=Mark,
    title=_title,
    keys=(
        Key("name", "Which", "which mark it is", WordKind(tuple(KINDS)), needed=ADD),
        Key("side", "Side", "the sitter's", SideOfMark()),
        Key(
            "x_mm",
            "From the centre line",
            "from the centre line; a minus is the sitter's left, as side must say",
            Across(),
            needed=ADD,
            asked="first",
        ),
        Key("y_mm", "From the rear edge", "from the rear edge", PLACE, needed=ADD, asked="first"),
        Key(
            "standard_error_mm",
            "Standard error",
            "how far repeated readings scatter",
            Number(LEAST_ERROR_MM, LARGEST_ERROR_MM, "mm", todo=SCATTER),
        ),
        Key(
            "sitter", "Whose", "whose mark it is, where several sit", Text(80, todo="give the sitter's name")
        ),
    ),
)
MARKS = KeyRows(MARK, most=100)
