"""A word that is one of a few."""

from __future__ import annotations

from seatmesh.errors import NotAmongError, UnknownKeyError
from seatmesh.units import shown


def one_of(name: str, given: object, allowed: tuple[str, ...]) -> str:
    """Return a word that is among those allowed; `name` is the key that a refusal names.

    Raises
    ------
    UnknownKeyError
        Another word; the refusal names the nearest one that is allowed.
    NotAmongError
        No word at all.
    """
    if isinstance(given, str) and given not in allowed:
        raise UnknownKeyError(given, allowed, name)
    if not isinstance(given, str):
        raise NotAmongError(name, shown(given), allowed)
    return given
