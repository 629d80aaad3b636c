"""A distance from the centre line as it was typed: its number, and whether its sign says a side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.files.keys.key import KeyKind, Schema
from seatmesh.files.keys.lists import PLACE
from seatmesh.units import shown


@dataclass(frozen=True)
class GivenAcross:
    """A distance from the centre line in mm, whether it was typed with a sign, and as it was typed."""

    x_mm: float
    signed: bool
    typed: str

    @classmethod
    def of(cls, given: object, x_mm: float) -> GivenAcross:
        """Return what was given and read as `x_mm`; a plus that is typed counts as a sign."""
        signed = x_mm < 0.0 or (isinstance(given, str) and given.lstrip().startswith("+"))
        return cls(x_mm, signed, shown(given))


@dataclass(frozen=True)
class Across(KeyKind):
    """A distance from the centre line, to the sitter's right unless a side or a minus says left."""

    name: ClassVar[str] = PLACE.name

    def read(self, given: object, label: str) -> GivenAcross:
        """Return the distance and whether it was typed with a sign."""
        return GivenAcross.of(given, PLACE.read(given, label))

    def allowed(self) -> str:
        """Return the range and the unit."""
        return PLACE.allowed()

    def schema(self) -> Schema:
        """Return a length."""
        return PLACE.schema()

    def facts(self) -> dict[str, Any]:
        """Return the range and the unit."""
        return PLACE.facts()
