"""Numbers as lines of text, many at a time: what a loop over Python's own formatting writes, in a tenth of its time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatmesh.arrays import Floats, Ints

MOST = 1e12
"""Greater numbers have more digits than 64 bits hold beside six decimals."""

ROWS = 100_000
"""Lines put together in one go."""

Bytes = NDArray[np.uint8]


@dataclass(frozen=True)
class Column:
    """One word for each row, of different lengths.

    Attributes
    ----------
    characters
        Shape (n, w): bytes; those that are zero are no part of the word.
    """

    characters: Bytes

    def __getitem__(self, rows: Ints | slice) -> Column:
        return Column(self.characters[rows])

    def __len__(self) -> int:
        return len(self.characters)


def decimals(values: Floats, places: int) -> Column:
    """Return numbers, shape (n,), with so many decimals, rounded to even; zero has no sign."""
    if len(values) and not np.abs(values).max() < MOST:
        # Adding zero turns the -0.0 that rounding leaves into 0.0.
        text = np.array([f"{v:.{places}f}".encode() for v in (np.round(values, places) + 0.0).tolist()])
        table = text.view(np.uint8).reshape(len(text), -1)
        return Column(table)
    scaled = np.rint(values * 10.0**places).astype(np.int64)
    size = np.abs(scaled)
    whole = max(1, len(str(int(size.max(initial=0)) // 10**places)))
    digits = _digits(size, whole + places)
    characters = np.empty((len(values), whole + places + 2), np.uint8)
    characters[:, 0] = ord("-") * (scaled < 0)
    characters[:, 1 : whole + 1], characters[:, whole + 1] = digits[:, :whole], ord(".")
    characters[:, whole + 2 :] = digits[:, whole:]
    for place in range(1, whole):
        characters[:, place] *= size >= 10 ** (whole - place + places)
    return Column(characters)


def integers(values: Ints) -> Column:
    """Return whole numbers of 0 or more, shape (n,)."""
    width = len(str(int(values.max(initial=0))))
    digits = _digits(values, width)
    for place in range(width - 1):
        digits[:, place] *= values >= 10 ** (width - 1 - place)
    return Column(digits)


def joined(parts: Sequence[bytes | Column]) -> Column:
    """Return words put together, row by row, from parts that are the same in all rows and parts that are not."""
    count = next(len(part) for part in parts if isinstance(part, Column))
    shown = []
    for part in parts:
        if isinstance(part, bytes):
            row = np.frombuffer(part, np.uint8)
            shown.append(np.broadcast_to(row, (count, len(row))))
        else:
            shown.append(part.characters)
    return Column(np.hstack(shown))


def text_of(words: Column) -> bytes:
    """Return all words one after the other."""
    return words.characters.tobytes().translate(None, b"\0")


def lines_of(parts: Sequence[bytes | Column], rows: Sequence[Ints | None] = ()) -> bytes:
    """Return lines put together from parts; `rows` says for each part which of its rows a line takes, None for its own.

    A few lines at a time, so that a large mesh takes no more memory than its file.
    """
    chosen = list(rows) or [None] * len(parts)
    count = next(
        len(part) if own is None else len(own)
        for part, own in zip(parts, chosen, strict=True)
        if isinstance(part, Column)
    )
    out = []
    for start in range(0, count, ROWS):
        here = slice(start, start + ROWS)
        block = [
            part if isinstance(part, bytes) else part[here if own is None else own[here]]
            for part, own in zip(parts, chosen, strict=True)
        ]
        out.append(text_of(joined(block)))
    return b"".join(out)


def _digits(values: Ints, width: int) -> Bytes:
    """Return the digits of whole numbers, shape (n, width), as characters."""
    digits = np.empty((len(values), width), np.uint8)
    left = values
    for place in range(width - 1, -1, -1):
        higher = left // 10
        digits[:, place] = left - 10 * higher + ord("0")
        left = higher
    return digits
