"""Placings: each time the bar is set down, over a row or a column of crossings, it sits in a way of its own.

A gauge sheet numbers them in its column `placing`. Which way the bar lay follows from the places that one number has
in common. Where nothing is stated, each row of each file is taken for one placing: then it does not count as set down
anew when a crossing stands there twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats, Ints
from seatmesh.errors import FileRefusedError
from seatmesh.gauge.bar.rod_gauge import LIES, Lie
from seatmesh.gauge.readings.readings_file import Row

ON_LINE_MM = 1.0
"""Crossings of one placing lie on a line within this."""


@dataclass(frozen=True)
class Placings:
    """How n readings are shared among p placings of the bar.

    Attributes
    ----------
    of
        Placing of each reading, shape (n,).
    along_mm
        Place of each reading along its bar, from the bar's middle: to the sitter's right or to the front, shape (n,).
    at_mm
        Where each bar lay, shape (p,): y of a row, x of a column.
    across
        Whether each bar lay across, shape (p,).
    stated
        Whether all readings with a mate on their line state their placing, so that the lie is known.
    middle_mm
        Where the middle of a bar along the seat lies: y.
    """

    of: Ints
    along_mm: Floats
    at_mm: Floats
    across: Bools
    stated: bool
    middle_mm: float

    def apart_mm(self, which: Ints) -> Floats:
        """Return how far readings lie from each other, shape (k, k)."""
        across = self.across[self.of[which]]
        at, along = self.at_mm[self.of[which]], self.along_mm[which]
        x, y = np.where(across, along, at), np.where(across, at, along + self.middle_mm)
        return np.asarray(np.hypot(x[:, None] - x, y[:, None] - y))

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.at_mm)


def placings_of(
    rows: Sequence[Row], depth_mm: float, lie: Lie | None = None, where: str = "readings"
) -> Placings:
    """Return the placings of rows; `depth_mm` is the blank's, `lie` how an unnumbered bar lay (None: across).

    Raises
    ------
    FileRefusedError
        Crossings of one number lie on no row and no column, or not on one as stated by `lie`; with the line.
    """
    x, y = (np.array([getattr(row, name) for row in rows], dtype=float) for name in ("x_mm", "y_mm"))
    numbered = np.array([row.placing is not None for row in rows], dtype=bool)
    usual = lie or _usual_lie(rows, x, y) or "across"
    lies = _lies(rows, x, y, lie, usual, where)
    keys: dict[tuple[object, ...], int] = {}
    of = np.zeros(len(rows), dtype=np.int64)
    at: list[float] = []
    across: list[bool] = []
    for k, row in enumerate(rows):
        this = lies.get((row.source, row.placing, row.echo), usual)
        place = float(y[k] if this == "across" else x[k])
        key = (row.source, row.placing, row.echo, None if row.placing is not None else round(place))
        if key not in keys:
            keys[key] = len(at)
            at.append(place)
            across.append(this == "across")
        of[k] = keys[key]
    lay_across = np.array(across, dtype=bool)
    along = np.where(lay_across[of], x, y - 0.5 * depth_mm) if len(rows) else np.zeros(0)
    stated = bool(lie is not None or numbered.all())
    return Placings(of, along, np.array(at), lay_across, stated, 0.5 * depth_mm)


def _lies(
    rows: Sequence[Row], x: Floats, y: Floats, lie: Lie | None, usual: Lie, where: str
) -> dict[tuple[int, int | None, bool], Lie]:
    """Return how the bar of each number lay: along the line that its crossings share."""
    members: dict[tuple[int, int | None, bool], list[int]] = {}
    for k, row in enumerate(rows):
        if row.placing is not None:
            members.setdefault((row.source, row.placing, row.echo), []).append(k)
    out: dict[tuple[int, int | None, bool], Lie] = {}
    for key, group in members.items():
        in_row, in_column = np.ptp(y[group]) <= ON_LINE_MM, np.ptp(x[group]) <= ON_LINE_MM
        allowed = [one for one, so in zip(LIES, (in_row, in_column), strict=True) if so]
        if not allowed or (lie is not None and lie not in allowed):
            lines = ", ".join(str(rows[k].line) for k in group[:6])
            asked = "no row and no column" if not allowed else f"no one line of a bar that lies {lie}"
            raise FileRefusedError(
                f"{where}, lines {lines}: placing {key[1]} stands at crossings on {asked}; one number is for one "
                "setting down of the bar: correct the numbers, or leave the column empty."
            )
        out[key] = usual if usual in allowed else allowed[0]
    return out


def _usual_lie(rows: Sequence[Row], x: Floats, y: Floats) -> Lie | None:
    """Return how most numbered bars lay, None where no number tells."""
    seen: dict[tuple[int, int], list[int]] = {}
    for k, row in enumerate(rows):
        if row.placing is not None:
            seen.setdefault((row.source, row.placing), []).append(k)
    votes = 0
    for group in seen.values():
        if len(group) > 1:
            votes += int(np.ptp(y[group]) <= ON_LINE_MM) - int(np.ptp(x[group]) <= ON_LINE_MM)
    return None if votes == 0 else "across" if votes > 0 else "along"
