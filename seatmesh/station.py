"""Where sections are taken and section cards stand: the one place that gives stations their letters.

A letter is the seat's: pictures, cards, plans and stages of one seat all take it from here, and only blank and hollow
decide, so that sitters, adjustments, a stage's share of the depth or a file without its order change no letter. A
station that a maker or a sitter places elsewhere bears its place for a name, never a letter.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from seatmesh.deepest import bare
from seatmesh.errors import ValueRefusedError
from seatmesh.surface import Seat
from seatmesh.wood.outline.shapes import contains

Runs = Literal["across", "along"]
Write = Callable[[float], str]
"""How a length in mm is written, with its unit."""

APART_MM = 20.0
"""Two lettered stations nearer to one another say the same."""
LEAST_APART_MM = 2.0
"""Two stations nearer than this could read alike in fractions of an inch."""
SAME_MM = 0.05
WHOLE_MM = {"mm": 5.0, "in": 12.7}
"""What stations lie on whole ones of: 5 mm, or half inches of a seat that speaks inches."""
INSIDE_MM = 10.0
"""A card nearer to the blank's edge than this has no wood to rest on."""
CLEAR_OF_FRONT_MM = 30.0
"""Kept clear for the front roll; the same on every seat, so that a stage without its roll has the same letters."""
FLAT_SHARE = 0.4
"""Where along an uncarved seat the second section across is taken."""
BESIDE_SHARE, THIGH_SHARE = 0.13, 0.25
"""Sit bone and middle of a thigh beside the centre line, in shares of the width; for hollows deepest in the middle."""
PLATEAU = 1e-5
"""How much of its depth a place may lack to count as deepest: a hollow that lies on its floor has no one place."""


@dataclass(frozen=True)
class Station:
    """A plane across the seat at y = `at_mm`, or along it at x = `at_mm`.

    Attributes
    ----------
    name
        What stands at both ends of its line: a letter, else its place.
    words
        What it passes through; empty where a maker chose it.
    """

    name: str
    runs: Runs
    at_mm: float
    words: str = ""

    @property
    def letter(self) -> str:
        """Its letter; empty where its name is a place."""
        return self.name if len(self.name) == 1 else ""


def stations(seat: Seat) -> tuple[Station, ...]:
    """Return the seat's own stations by letters: those across from the rear, then those along from the left."""
    deep = _deepest(seat)
    blank = seat.blank
    x, y = (0.0, FLAT_SHARE * blank.depth_mm) if deep is None else deep
    line, place = "two fifths of the way to the front edge", ""
    if deep is not None:
        before = " before adjustments" if seat.adjustments else ""
        line, place = f"through the deepest line{before}", f"through the deepest place{before}"
    front = blank.depth_mm - CLEAR_OF_FRONT_MM
    across = (
        (y, line),
        (0.5 * (blank.deck_mm + y), "ahead of the deck"),
        (y + 0.4 * (front - y), "under the thighs"),
        (y + 0.75 * (front - y), "toward the front edge"),
    )
    along = (
        (0.0, "on the centre line"),
        (x, place) if abs(x) > APART_MM else (BESIDE_SHARE * blank.width_mm, "beside the centre line"),
        (THIGH_SHARE * blank.width_mm, "along the thigh"),
    )
    half, whole = 0.5 * blank.width_mm - INSIDE_MM, WHOLE_MM[seat.units]
    rows = [
        Station("", "across", *one) for one in _spread(across, INSIDE_MM, blank.depth_mm - INSIDE_MM, whole)
    ]
    rows += [Station("", "along", *one) for one in _spread(along, -half, half, whole)]
    return tuple(replace(one, name=chr(ord("A") + number)) for number, one in enumerate(rows))


def stations_at(
    seat: Seat, across_mm: Sequence[float] | None, along_mm: Sequence[float] | None, write: Write
) -> tuple[Station, ...]:
    """Return the stations at a maker's own places, in order; None takes the seat's own of that kind.

    A place where a lettered station stands gets that letter, every other one its place for a name.

    Raises
    ------
    ValueRefusedError
        Two places are less than 2 mm apart: their names could read alike.
    """
    return (
        *_at(seat, "across", "stations_mm", across_mm, write),
        *_at(seat, "along", "along_mm", along_mm, write),
    )


def _at(seat: Seat, runs: Runs, key: str, wished_mm: Sequence[float] | None, write: Write) -> list[Station]:
    lettered = [one for one in stations(seat) if one.runs == runs]
    if wished_mm is None:
        return lettered
    places = sorted(set(wished_mm))
    for before, after in pairwise(places):
        if after - before < LEAST_APART_MM:
            raise ValueRefusedError(
                key,
                f"{before:g} and {after:g} mm",
                f"two cards stand {LEAST_APART_MM:g} mm apart or more",
                "leave one of them out",
            )
    return [
        next((one for one in lettered if abs(one.at_mm - at) <= SAME_MM), _by_place(runs, at, write))
        for at in places
    ]


def station_words(station: Station, write: Write) -> str:
    """Return where a station stands: from which edge, or to which side of the centre line."""
    if station.runs == "across":
        return f"{write(station.at_mm)} from the rear edge"
    if station.at_mm == 0.0:
        return "on the centre line"
    return f"{write(abs(station.at_mm))} to the sitter's {'right' if station.at_mm > 0.0 else 'left'}"


def _by_place(runs: Runs, at_mm: float, write: Write) -> Station:
    if runs == "across":
        return Station(f"y {write(at_mm)}", runs, at_mm)
    side = "" if at_mm == 0.0 else " R" if at_mm > 0.0 else " L"
    return Station(f"x {write(abs(at_mm))}{side}", runs, at_mm)


def _deepest(seat: Seat) -> tuple[float, float] | None:
    """Return x and y of the middle of the hollow's deepest ground, on its deeper side; None without a hollow."""
    if seat.hollow is None:
        return None
    blank = seat.blank
    half = np.floor(0.5 * blank.width_mm)
    x, y = np.arange(-half, half + 1.0), np.arange(0.0, blank.depth_mm - INSIDE_MM)
    depth = bare(replace(seat, adjustments=())).depth_mm(x[None, :], y[:, None])
    depth = np.where(contains(blank.polygon_mm(), x[None, :], y[:, None]), depth, 0.0)
    most = float(depth.max())
    if most <= 0.0:
        return None
    right, left = (float(depth[:, x * side >= 0.0].max()) for side in (1.0, -1.0))
    # Of two sides alike but for the last bits the right one is taken on any machine.
    side = 1.0 if right >= left - PLATEAU * most else -1.0
    rows, columns = np.nonzero((depth >= (1.0 - PLATEAU) * most) & (side * x >= 0.0))
    middle = float(x[columns].mean()), float(y[rows].mean())
    near = np.abs(depth[np.searchsorted(y, middle[1]), np.searchsorted(x, middle[0])] - most) < 0.01 * most
    return middle if near else (float(x[columns[0]]), float(y[rows[0]]))


def _spread(
    wished: Sequence[tuple[float, str]], low: float, high: float, whole_mm: float
) -> list[tuple[float, str]]:
    """Return places on whole `whole_mm` inside the wood, none too near to one wished for before it; in order."""
    out: list[tuple[float, str]] = []
    for one, words in wished:
        at = round(whole_mm * round(float(np.clip(one, low, high)) / whole_mm), 6)
        if all(abs(at - other) >= APART_MM for other, _ in out):
            out.append((at, words))
    return sorted(out)
