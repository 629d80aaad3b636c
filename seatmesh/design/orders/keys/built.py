"""Keys of the table [built]: the seat that was built from an order's record, for the next one to start from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.lists import PLACE
from seatmesh.files.keys.number import Number, millimetres
from seatmesh.files.keys.table import KeyTable, made_of
from seatmesh.files.keys.words import Text
from seatmesh.units import shown

MOST_READINGS = 5000
DEEPEST_MM = 150.0
Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Built:
    """What was built: its title, figures, and depths as gauged on it.

    Attributes
    ----------
    title
        Of the seat that was built; empty where nothing was.
    deepest_mm, mass_kg, least_factor
        Figures of that seat as they were told; None where they were not.
    readings_mm
        Places and depths as built: x, y, depth.
    """

    title: str = ""
    deepest_mm: float | None = None
    mass_kg: float | None = None
    least_factor: float | None = None
    readings_mm: tuple[Triple, ...] = ()


@dataclass(frozen=True)
class Depths(KeyKind):
    """Depths at places: [x, y, depth] each."""

    name: ClassVar[str] = "depths"

    def read(self, given: object, label: str) -> tuple[Triple, ...]:
        """Return places and depths."""
        fits = (
            isinstance(given, list)
            and len(given) <= MOST_READINGS
            and all(isinstance(one, list | tuple) and len(one) == 3 for one in given)
        )
        if not fits:
            allowed = f"allowed is a list of at most {MOST_READINGS} readings [x, y, depth]"
            raise ValueRefusedError(label, shown(given), allowed, "write it like [[-60, 160, 17.5], ...]")
        out = []
        for x, y, depth in given:  # type: ignore[attr-defined]
            value = PLACE.read(depth, label)
            if not -5.0 <= value <= DEEPEST_MM:
                allowed = f"a depth from -5 to {DEEPEST_MM:g} mm below the uncut top face"
                raise ValueRefusedError(label, shown(depth), allowed, "check its unit and its sign")
            out.append((PLACE.read(x, label), PLACE.read(y, label), value))
        return tuple(out)

    def allowed(self) -> str:
        """Return what each is."""
        return "[x, y, depth] in mm"

    def schema(self) -> Schema:
        """Return an array of triples of numbers."""
        triple = {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3}
        return {"type": "array", "items": triple, "maxItems": MOST_READINGS}

    def facts(self) -> dict[str, Any]:
        """Return the unit."""
        return {"unit": "mm"}


BUILT = KeyTable(
    name="built",
    meaning="the seat that was built from this record, for the next one to be held against",
    make=made_of(Built),
    fields=Built,
    keys=(
        Key("title", "Title", "of the seat that was built", Text(60, may_be_empty=True)),
        Key("deepest_mm", "Deepest", "how deep its hollow was drawn", millimetres(0.0, DEEPEST_MM)),
        Key("mass_kg", "Mass", "what it was reckoned to weigh", Number(0.0, 100.0)),
        Key("least_factor", "Factor", "the least factor of its floor", Number(0.0, 1000.0)),
        Key("readings_mm", "As built", "depths gauged on it: [x, y, depth] each", Depths()),
    ),
)
