"""A word that is one of a few."""

from __future__ import annotations

from seatmesh.errors import NotAmongError, UnknownWordError
from seatmesh.units import shown


def one_of(name: str, given: object, allowed: tuple[str, ...]) -> str:
    """Return a word that is among those allowed; `name` is the key that a refusal names.

    Raises
    ------
    UnknownWordError
        Another word; the refusal lists those allowed, and names the one that was likely meant.
    NotAmongError
        No word at all.
    """
    if isinstance(given, str) and given not in allowed:
        raise UnknownWordError(given, allowed, name)
    if not isinstance(given, str):
        raise NotAmongError(name, shown(given), allowed)
    return given
