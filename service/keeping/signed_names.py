"""Names that bear a sign, a short hash: what the service made is told by them from what somebody else put there."""

from __future__ import annotations

import hashlib
import re
import secrets

GZ = ".gz"


def file_name(seat: str, name: str) -> str:
    """Return the name that a file of a seat has on the shelf: with its sign before its ending."""
    plain = name.removesuffix(GZ)
    stem, dot, ending = plain.rpartition(".")
    stem, ending = (stem, dot + ending) if dot else (plain, "")
    return f"{stem}-{_sign(seat, plain)}{ending}{GZ if plain != name else ''}"


def name_of(seat: str, file: str) -> str | None:
    """Return what a file on the shelf is called, None for one that does not bear its sign."""
    found = re.fullmatch(r"(.+)-[0-9a-f]{8}(\.[^.]*)?", file.removesuffix(GZ))
    if found is None:
        return None
    name = f"{found[1]}{found[2] or ''}{GZ if file.endswith(GZ) else ''}"
    return name if file_name(seat, name) == file else None


def new_name(stem: str) -> str:
    """Return a name for something that is being written, new each time, with its sign."""
    own = f"{stem}-{secrets.token_hex(6)}"
    return f"{own}-{_sign(own)}"


def made_as(name: str) -> str | None:
    """Return the stem of a name that `new_name` gave, or that its file has while it is written; None for others."""
    found = re.fullmatch(r"\.?((?P<stem>[0-9a-z]+)-[0-9a-f]{12})-(?P<sign>[0-9a-f]{8})(-[0-9a-f]{12})?", name)
    return found["stem"] if found and _sign(found[1]) == found["sign"] else None


def _sign(*parts: str) -> str:
    """Return eight hexadecimal digits that nobody else puts into a name by chance; alike in every version."""
    return hashlib.sha256("\0".join(("seatmesh serve", *parts)).encode()).hexdigest()[:8]
