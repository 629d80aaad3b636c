"""A value that is one of a few: read, and refused in the same words everywhere."""

from __future__ import annotations

from collections.abc import Iterable

from seatmesh.errors import UnknownKeyError, ValueRefusedError
from seatmesh.units import shown

CHOOSE = "choose one of them"


def one_of(name: str, given: object, allowed: tuple[str, ...]) -> str:
    """Return a word that is among those allowed; `name` is the key that a refusal names.

    Raises
    ------
    UnknownKeyError
        Another word; the refusal names the nearest one that is allowed.
    ValueRefusedError
        No word at all.
    """
    if isinstance(given, str) and given not in allowed:
        raise UnknownKeyError(given, allowed, name)
    if not isinstance(given, str):
        raise not_among(name, given, allowed)
    return given


def not_among(name: str, given: object, allowed: Iterable[object]) -> ValueRefusedError:
    """Return the refusal of a value that is none of those allowed, to be raised; it lists them all."""
    return ValueRefusedError(name, shown(given), f"allowed are {', '.join(map(str, allowed))}", CHOOSE)
