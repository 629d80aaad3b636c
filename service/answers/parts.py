"""Parts of a file: one range of bytes (RFC 9110, 14.1.2, 14.2, 13.1.5); of several the whole is sent instead."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fastapi import Request

from ..refusal import ProblemError

RANGE = re.compile(r"bytes=\s*(\d*)-(\d*)\s*", re.IGNORECASE | re.ASCII)
DIGITS = 18
"""Digits that are read of a place in a file; one with more lies beyond every file."""


@dataclass(frozen=True)
class Part:
    """Bytes of a file of `size` bytes, from `first` on."""

    first: int
    length: int
    size: int

    @property
    def header(self) -> str:
        """What Content-Range says."""
        return f"bytes {self.first}-{self.first + self.length - 1}/{self.size}"


def part_asked_for(request: Request, tag: str, size: int) -> Part | None:
    """Return the part that a request asks for, None for the whole.

    Raises
    ------
    ProblemError
        416 for a part beyond the end.
    """
    given = request.headers.getlist("range")
    if len(given) != 1 or request.method != "GET" or request.scope.get("seatmesh.head"):
        return None
    found = RANGE.fullmatch(given[0].strip())
    # A date cannot match: files carry a tag and no date.
    if found is None or request.headers.get("if-range", tag).strip() != tag:
        return None
    first, last = _place(found[1]), _place(found[2])
    if first is None:
        if last is None:
            return None
        first, last = max(size - last, 0) if last else size, size - 1
    elif last is not None and last < first:
        return None
    if first >= size:
        raise ProblemError(
            416,
            "There is no such part",
            f"Range = {given[0][:60]!r}: the file has {size} bytes, the first is 0; ask for bytes that it has",
            {"Content-Range": f"bytes */{size}", "Accept-Ranges": "bytes"},
        )
    end = size if last is None else min(last + 1, size)
    return Part(first, end - first, size)


def _place(digits: str) -> int | None:
    if not digits:
        return None
    return int(digits) if len(digits) <= DIGITS else 10**DIGITS
