"""Numbers of a table: their unit and range, and the words that refuse them."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite
from typing import Any, ClassVar, Literal

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import KeyKind, Schema
from seatmesh.refused import Advice, Bound, Piece, Said, Setting, number, said
from seatmesh.units import MM_PER_INCH, parse_length_mm, real_number, shown

Unit = Literal["mm", "deg", ""]
NAMES: dict[Unit, str] = {"mm": "length", "deg": "angle", "": "number"}
LIKELY_UNITS = (("inches", MM_PER_INCH), ("centimetres", 10.0), ("metres", 1000.0))
LENGTH_IN_WORDS = {"type": "string", "description": 'a length with its unit, such as 14 7/8" or 37.8 cm'}


@dataclass(frozen=True)
class Number(KeyKind):
    """A number with its plausible range, ends included.

    Attributes
    ----------
    lowest, highest
        Infinite where something else bounds it, such as the blank.
    unit
        Of the number; a length may be given as text with its own unit.
    above
        The number has to be above `lowest`.
    todo
        What to do about a number out of range, unless it looks like another unit.
    """

    lowest: float = -inf
    highest: float = inf
    unit: Unit = ""
    above: bool = False
    todo: str = "give a value in that range"

    @property
    def name(self) -> str:
        """Return "length", "angle" or "number"."""
        return NAMES[self.unit]

    def read(self, given: object, label: str) -> float:
        """Return the number; a refusal says which unit it looks like."""
        words = str(self._allowed())
        value = parse_length_mm(given, label) if self.unit == "mm" else real_number(label, given, words)
        if self.holds(value):
            return value
        raise ValueRefusedError(label, self._given(given, value), self._allowed(), self._advice(value))

    def holds(self, value: float) -> bool:
        """Tell whether a number is in range."""
        return self.lowest <= value <= self.highest and not (self.above and value == self.lowest)

    def allowed(self) -> str:
        """Return the range and the unit."""
        if not isfinite(self.lowest):
            return self.unit
        return f"{'above ' if self.above else ''}{self.lowest:g} to {self.highest:g} {self.unit}".rstrip()

    def schema(self) -> Schema:
        """Return a number, or for a length also text with its unit."""
        number: Schema = {"type": "number"}
        if isfinite(self.lowest):
            number |= {"exclusiveMinimum" if self.above else "minimum": self.lowest, "maximum": self.highest}
        return {"anyOf": [number, LENGTH_IN_WORDS]} if self.unit == "mm" else number

    def facts(self) -> dict[str, Any]:
        """Return unit and range, and whether the number has to be above its lowest."""
        ends = {"lowest": self.lowest, "highest": self.highest} if isfinite(self.lowest) else {}
        return {"unit": self.unit, "above": self.above, **ends}

    def _given(self, given: object, value: float) -> str | Said:
        """Return what was given; as it was typed where that was text."""
        return (
            shown(given)
            if isinstance(given, str)
            else Said((Piece(None, value, self.unit, text=shown(given)),))
        )

    def _allowed(self) -> str | Said:
        if not isfinite(self.lowest):
            return "allowed is a number"
        low, high = number(self.lowest), Piece(None, self.highest, self.unit)
        return said("allowed is above {}, at most {}" if self.above else "allowed are {} to {}", low, high)

    def _advice(self, value: float) -> str | Advice:
        if self.unit == "mm":
            for name, factor in LIKELY_UNITS:
                if self.holds(value * factor):
                    meant = float(f"{value * factor:.4g}")
                    words = f"it looks like {name}; give {meant:g}, or write the unit with it"
                    return Advice(((Setting(None, meant),), *self._nearest(value)), text=words)
        ways = self._nearest(value)
        return Advice(ways, text=self.todo) if ways else self.todo

    def _nearest(self, value: float) -> tuple[tuple[Setting, ...], ...]:
        """Return the way to the nearest end of the range, where that end is allowed."""
        nearest = min(max(value, self.lowest), self.highest)
        bound: Bound = "most" if value > self.highest else "least"
        return ((Setting(None, nearest, bound),),) if isfinite(nearest) and self.holds(nearest) else ()


@dataclass(frozen=True)
class Count(KeyKind):
    """A whole number from 1 to `most`."""

    most: int

    name: ClassVar[str] = "count"

    def read(self, given: object, label: str) -> int:
        """Return the whole number."""
        if isinstance(given, bool) or not isinstance(given, int) or not 1 <= given <= self.most:
            raise ValueRefusedError(label, shown(given), f"allowed is {self.allowed()}", "give 1, 2 or 3")
        return given

    def allowed(self) -> str:
        """Return the range."""
        return f"a whole number from 1 to {self.most}"

    def schema(self) -> Schema:
        """Return an integer."""
        return {"type": "integer", "minimum": 1, "maximum": self.most}

    def facts(self) -> dict[str, Any]:
        """Return the range."""
        return {"lowest": 1, "highest": self.most}


def millimetres(lowest: float = -inf, highest: float = inf) -> Number:
    """Return a length with its range, ends included."""
    return Number(lowest, highest, "mm")


def degrees(lowest: float, highest: float) -> Number:
    """Return an angle with its range, ends included."""
    return Number(lowest, highest, "deg")
