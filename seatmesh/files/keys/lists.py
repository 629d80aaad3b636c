"""Lists of a table: lengths, and points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import KeyKind, Schema
from seatmesh.files.keys.number import Number
from seatmesh.units import shown

PLACE = Number(-1000.0, 1000.0, "mm", todo="check its unit")
"""A coordinate on any chair."""


@dataclass(frozen=True)
class Lengths(KeyKind):
    """At most so many lengths; `todo` shows how they are written."""

    most: int
    todo: str

    name: ClassVar[str] = "lengths"

    def read(self, given: object, label: str) -> tuple[float, ...]:
        """Return the lengths, least first."""
        if not isinstance(given, list) or len(given) > self.most:
            allowed = f"allowed is a list of at most {self.most} lengths"
            raise ValueRefusedError(label, shown(given), allowed, self.todo)
        return tuple(sorted(PLACE.read(one, label) for one in given))

    def allowed(self) -> str:
        """Return the unit."""
        return "mm"

    def schema(self) -> Schema:
        """Return an array of lengths."""
        return {"type": "array", "items": PLACE.schema(), "maxItems": self.most}

    def facts(self) -> dict[str, Any]:
        """Return the unit."""
        return {"unit": "mm"}


@dataclass(frozen=True)
class Points(KeyKind):
    """Points [x, y], no fewer and no more than so many."""

    fewest: int
    most: int

    name: ClassVar[str] = "points"

    def read(self, given: object, label: str) -> tuple[tuple[float, float], ...]:
        """Return the points."""
        if (
            not isinstance(given, Sequence)
            or isinstance(given, str)
            or not self.fewest <= len(given) <= self.most
            or not all(isinstance(one, list | tuple) and len(one) == 2 for one in given)
        ):
            allowed = f"allowed is a list of {self.fewest} to {self.most} points [x, y]"
            raise ValueRefusedError(label, shown(given), allowed, "write it like [[0, 0], [200, 15], ...]")
        return tuple((PLACE.read(x, label), PLACE.read(y, label)) for x, y in given)

    def allowed(self) -> str:
        """Return the unit."""
        return "mm"

    def schema(self) -> Schema:
        """Return an array of pairs of lengths."""
        pair = {"type": "array", "items": PLACE.schema(), "minItems": 2, "maxItems": 2}
        return {"type": "array", "items": pair, "minItems": self.fewest, "maxItems": self.most}

    def facts(self) -> dict[str, Any]:
        """Return the unit."""
        return {"unit": "mm"}
