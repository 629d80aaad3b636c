"""Characters of a whole seat: sets of wishes to start from, each in a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any

from seatmesh.fit.wished.wishes import Wishes


@dataclass(frozen=True)
class Character:
    """A set of wishes with a name, and what a maker says of such a seat; what is not in it is as usual."""

    name: str
    says: str
    wishes: Mapping[str, Any]


def _character(name: str, says: str, **wishes: Any) -> Character:
    return Character(name, says, MappingProxyType(wishes))


CHARACTERS = (
    _character(
        "shallow dish",
        "A shallow even dish without a ridge, its rim eased: free to shift on, to turn and to share.",
        depth_mm=9.0,
        closeness=0.2,
        pommel_mm=0.0,
        roundness=0.8,
        rim="eased",
        front_roll_mm=25.0,
        tailbone_relief_mm=0.0,
    ),
    _character(
        "open bowl",
        "A round bowl of middling depth with a low ridge and an eased rim: it holds, and lets the sitter move.",
        depth_mm=14.0,
        closeness=0.5,
        pommel_mm=4.0,
        pommel_length_mm=110.0,
        roundness=0.75,
        rim="eased",
        front_roll_mm=24.0,
    ),
    _character(
        "usual",
        "A bowl that follows the body, a ridge between two leg hollows, a crisp rim: for sitting long at a table.",
    ),
    _character(
        "marked leg hollows",
        "Two leg hollows with a higher and longer ridge between them: the legs are led, and sit one way.",
        depth_mm=16.0,
        closeness=0.7,
        pommel_mm=12.0,
        pommel_length_mm=160.0,
        roundness=0.6,
    ),
    _character(
        "deep and close",
        "Deep and close to one body, its bottom nearly flat: least pressure of all bowls, and little room to shift.",
        depth_mm=21.0,
        closeness=1.0,
        pommel_mm=8.0,
        roundness=0.3,
        tailbone_relief_mm=3.0,
    ),
)
"""From a shallow dish to a deep, close one; the figures are common practice, from memory."""

CHARACTER_NAMES = tuple(one.name for one in CHARACTERS)


def wishes_of(given: Mapping[str, Any]) -> Wishes:
    """Return wishes of what was given, a character's where one is named: what is given besides changes it."""
    own = dict(given)
    name = own.pop("character", None)
    start = next((one.wishes for one in CHARACTERS if one.name == name), {})
    known = {one.name for one in fields(Wishes)}
    return Wishes(**{key: value for key, value in {**start, **own}.items() if key in known})
