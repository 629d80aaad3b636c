"""Marks that do not fit: which end of the tape to recheck; and how far left and right differ."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.figure.marked_places import Side
from seatmesh.marks.mark import KINDS, Mark
from seatmesh.marks.parameters import MarkReadings
from seatmesh.units import format_length

QUESTIONED = 2.0
"""A reading this many standard errors off what all others say of it is questioned; of good ones 1 in 22 is."""


@dataclass(frozen=True)
class Question:
    """A reading that does not fit.

    Attributes
    ----------
    number
        Place of the mark among those given, from 1.
    tape_from
        Which end of the tape to recheck: "centre line" or "rear edge".
    read_mm, expected_mm
        Distance from that end: as read, and as all other readings and the body say.
    standard_error_mm
        Of their difference.
    left_out
        Whether it is so far off that the correction does without it.
    """

    number: int
    name: str
    side: Side
    tape_from: str
    read_mm: float
    expected_mm: float
    standard_error_mm: float
    left_out: bool

    @property
    def surprise(self) -> float:
        """By how many standard errors it is off."""
        return (self.read_mm - self.expected_mm) / self.standard_error_mm

    def text(self, units: str = "mm") -> str:
        """Return the question in a line, lengths in "mm" or "in"."""
        read, expected, error = (
            format_length(length, units, decimals=0)
            for length in (self.read_mm, self.expected_mm, self.standard_error_mm)
        )
        which = self.name if self.side == "middle" else f"{self.name}, {self.side}"
        done = "; left out of the correction" if self.left_out else ""
        return (
            f"mark {self.number} ({which}): {read} from the {self.tape_from}, where {expected} (give or take {error})"
            f" is expected; recheck the tape from the {self.tape_from}{done}"
        )


@dataclass(frozen=True)
class Uneven:
    """How far one pair of marks differs between the sides.

    Attributes
    ----------
    tape_from
        "centre line" or "rear edge".
    right_minus_left_mm
        Distance on the right less that on the left.
    explained_mm
        How much of it the sitter's place, turn and splay make up.
    standard_error_mm
        Of the difference of two such readings.
    """

    name: str
    tape_from: str
    right_minus_left_mm: float
    explained_mm: float
    standard_error_mm: float


def questions_of(
    marks: Sequence[Mark], readings: MarkReadings, off: Floats, surprise: Floats, kept: Bools
) -> tuple[Question, ...]:
    """Return the readings that are questioned, worst first.

    `off` are the readings less what the fit makes of them, over their standard errors; `surprise` the same against
    what all *other* readings say. With h the leverage of a kept one, surprise = off / sqrt(1 - h), the error of that
    difference is 1 / sqrt(1 - h) and the difference itself off / (1 - h); of one left out, off and sqrt(1 + h).
    """
    out = []
    for i in np.argsort(-np.abs(surprise)):
        if abs(surprise[i]) <= QUESTIONED:
            break
        mark = marks[int(readings.mark[i])]
        ratio = float(surprise[i] / off[i])
        apart = float(off[i]) * (ratio**2 if kept[i] else 1.0) * float(readings.errors[i])
        error = float(readings.errors[i]) * (ratio if kept[i] else 1.0 / ratio)
        outward = -1.0 if mark.side == "left" and not readings.along[i] else 1.0
        read = outward * float(readings.values[i])
        out.append(
            Question(
                number=int(readings.mark[i]) + 1,
                name=mark.name,
                side=mark.side,
                tape_from=_tape(bool(readings.along[i])),
                read_mm=read,
                expected_mm=read - outward * apart,
                standard_error_mm=error,
                left_out=not bool(kept[i]),
            )
        )
    return tuple(out)


def unevenness(marks: Sequence[Mark], readings: MarkReadings, expected: Floats) -> tuple[Uneven, ...]:
    """Return how far left and right differ, for each pair of marks whose distances can be compared.

    Thigh lines cannot: a mark lies anywhere on them; their difference is that of the splays. Of several marks of one
    name on a side, the mean counts. `expected` is what the fit makes of each reading, mm.
    """
    out = []
    for name, kind in KINDS.items():
        if "left" not in kind.sides or kind.along is None:
            continue
        for along in (False, True):
            pair = [_rows(marks, readings, name, side, along) for side in ("left", "right")]
            if not all(len(rows) for rows in pair):
                continue
            left, right = pair
            outward = 1.0 if along else -1.0
            out.append(
                Uneven(
                    name,
                    _tape(along),
                    float(readings.values[right].mean() - outward * readings.values[left].mean()),
                    float(expected[right].mean() - outward * expected[left].mean()),
                    math.hypot(*(float(np.linalg.norm(readings.errors[rows])) / len(rows) for rows in pair)),
                )
            )
    return tuple(out)


def _rows(marks: Sequence[Mark], readings: MarkReadings, name: str, side: str, along: bool) -> list[int]:
    return [
        row
        for row, i in enumerate(readings.mark.tolist())
        if marks[i].name == name and marks[i].side == side and bool(readings.along[row]) == along
    ]


def _tape(along: bool) -> str:
    return "rear edge" if along else "centre line"
