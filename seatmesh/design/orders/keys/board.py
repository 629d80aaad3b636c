"""Keys of the tables [[board]]: the boards of the blank, from the sitter's left to right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.number import Number, degrees, millimetres
from seatmesh.files.keys.table import KeyRows, KeyTable, Values
from seatmesh.files.keys.words import Flag, Text, WordKind
from seatmesh.units import parse_length_mm, shown
from seatmesh.wood.boards.board import BARK_SIDES, RING_WIDTH_MM, RINGS, TAPER_MM_PER_M, WANDER_MM
from seatmesh.wood.species import USUAL

MOST_BOARDS = 12
FARTHEST_PITH_MM = 2000.0
LONGEST_NAME = 40
OWN_VALUES = (
    "density_kg_m3",
    "radial_per_percent",
    "tangential_per_percent",
    "bending_mpa",
    "stiffness_gpa",
    "across_mpa",
)
"""Keys with which a maker gives a wood's own values."""


@dataclass(frozen=True)
class GivenBoard:
    """A board as it was given: its keys by name, whether they go together is not yet known."""

    fields: Mapping[str, Any]


@dataclass(frozen=True)
class PithKind(KeyKind):
    """Where the pith is: a distance from the middle of the end grain, or [aside, away]."""

    name: ClassVar[str] = "pith"

    def read(self, given: object, label: str) -> float | tuple[float, float]:
        """Return the distance, or both lengths."""
        allowed = f"allowed is a length from 1 to {FARTHEST_PITH_MM:g} mm, or two of them as [aside, away]"
        todo = "measure on the end grain, the board bark side up: to the right of its middle, and below it"
        if isinstance(given, list):
            if len(given) != 2:
                raise ValueRefusedError(label, shown(given), allowed, todo)
            aside, away = (parse_length_mm(one, label) for one in given)
            if abs(aside) > FARTHEST_PITH_MM or not 0.0 <= away <= FARTHEST_PITH_MM:
                raise ValueRefusedError(label, shown(given), f"{allowed}, away 0 or more", todo)
            return aside, away
        distance = parse_length_mm(given, label)
        if not 1.0 <= distance <= FARTHEST_PITH_MM:
            raise ValueRefusedError(label, shown(given), allowed, todo)
        return distance

    def allowed(self) -> str:
        """Return both ways of saying it."""
        return "mm, or [aside, away] in mm"

    def schema(self) -> Schema:
        """Return a length, or a pair of them."""
        one: Schema = {"type": "number"}
        return {"anyOf": [one, {"type": "array", "items": one, "minItems": 2, "maxItems": 2}]}

    def facts(self) -> dict[str, Any]:
        """Return the unit."""
        return {"unit": "mm"}


def _given(values: Values, _where: str) -> GivenBoard:
    return GivenBoard(dict(values))


def _per_percent(what: str) -> Number:
    return Number(
        0.0002, 0.008, todo=f"give the change of size over size for one percent of moisture, {what}"
    )


BOARD = KeyTable(
    name="board",
    meaning="a board of the blank, from the sitter's left to right; one table for each",
    make=_given,
    keys=(
        Key(
            "width_mm",
            "Width",
            "across the blank; left out: an equal share of what the others leave",
            millimetres(20.0, 900.0),
            asked="first",
        ),
        Key(
            "species",
            "Wood",
            f"which wood; left out: {USUAL}. Another wood comes with its own density and movement",
            Text(LONGEST_NAME, todo="name the wood"),
            asked="first",
        ),
        Key(
            "rings",
            "Rings",
            "how the rings run on the end grain, in a word: flat, rift or quarter; left out: flat",
            WordKind(tuple(RINGS)),
            asked="first",
        ),
        Key(
            "ring_angle_deg",
            "Ring angle",
            "or the angle between rings and face at the board's middle; plus: the pith lies to the right of a "
            "board that "
            "lies bark side up, minus: to the left",
            degrees(-90.0, 90.0),
        ),
        Key(
            "pith_mm",
            "Pith",
            "how far the pith is from the middle of the end grain; or [aside, away]: to the right of the "
            "middle and below "
            "it, the board lying bark side up",
            PithKind(),
        ),
        Key(
            "bark",
            "Bark side",
            "whether the side that was nearer to the bark looks up or down; left out: up",
            WordKind(BARK_SIDES),
            asked="first",
        ),
        Key("turned", "Turned", "true: end for end from how its other keys describe it", Flag(), default=False),
        Key(
            "rise_deg",
            "Slope of grain, upward",
            "how steeply the fibres rise toward the front, the board lying bark side up and not turned",
            degrees(-20.0, 20.0),
            default=0.0,
        ),
        Key(
            "aside_deg",
            "Slope of grain, sideways",
            "how far the fibres turn to the right on their way to the front, the board lying so",
            degrees(-20.0, 20.0),
            default=0.0,
        ),
        Key(
            "ring_width_mm",
            "Width of a ring",
            "for the figure: width of a year's ring",
            millimetres(0.5, 25.0),
            default=RING_WIDTH_MM,
        ),
        Key(
            "wander_mm",
            "Wander of the pith",
            "for the figure: how far the pith strays from a straight line; more is a livelier board",
            millimetres(0.0, 60.0),
            default=WANDER_MM,
        ),
        Key(
            "taper_mm_per_m",
            "Taper",
            "for the figure: by how much a ring's radius shrinks over a metre, toward the front of a board not turned",
            Number(-60.0, 60.0),
            default=TAPER_MM_PER_M,
        ),
        Key("density_kg_m3", "Own density", "your own value, air-dry", Number(100.0, 1400.0)),
        Key("radial_per_percent", "Own radial movement", "your own value: change of size over size along the rays, for "
            "each percent of moisture", _per_percent("as 0.0018")),
        Key("tangential_per_percent", "Own tangential movement", "your own value: the same along the rings",
            _per_percent("as 0.0036")),
        Key("bending_mpa", "Own bending strength", "your own value: modulus of rupture", Number(10.0, 300.0)),
        Key("stiffness_gpa", "Own stiffness", "your own value: modulus of elasticity in bending",
            Number(2.0, 40.0)),
        Key("across_mpa", "Own strength across the grain", "your own value: tension across the grain",
            Number(0.5, 20.0)),
    ),
)  # fmt: skip
BOARDS = KeyRows(BOARD, most=MOST_BOARDS)
