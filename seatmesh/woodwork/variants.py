"""Ways to lay the same boards, and how evenly their rings would show on the carved surface.

The ranking takes rings alike and piths straight. The wander and the uneven years of the pictures are made up, and a
ranking that followed them would be made up too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.surface import Seat
from seatmesh.wood.boards.board import Board, turned_end_for_end, turned_over
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.plank import KERF_MM
from seatmesh.wood.boards.rings import even_rings

STEP_MM = 4.0
GLUE_MM = 3.0
"""Rings at a glue line are compared so far to either side of it."""
SLOPE_MM = 0.5
TIE = 0.01
"""Scores nearer to one another are a tie: no eye sees so little (common sense, no source)."""
Boards = tuple[Board, ...]


@dataclass(frozen=True)
class Variant:
    """A way to lay the boards, and its plain ranking.

    Attributes
    ----------
    name
        In words.
    layup
        The boards so laid.
    symmetry
        How alike left and right are about the centre line, 0 to 1: direction and spacing of the rings.
    match
        How well rings run on across the glue lines, 0 to 1; 1 of a single board.
    """

    name: str
    layup: Layup
    symmetry: float
    match: float

    @property
    def score(self) -> float:
        """Both together, each counting alike."""
        return 0.5 * (self.symmetry + self.match)


def variants(seat: Seat, layup: Layup) -> tuple[Variant, ...]:
    """Return ways to lay an order's boards, the order's own first; ways that come out alike are left out."""
    out: list[Variant] = []
    seen: set[tuple[object, ...]] = set()
    for name, way in _ways(layup).items():
        laid = replace(layup, boards=way(layup.boards))
        key = tuple(replace(one, assumed=()) for one in laid.boards)
        if key in seen:
            continue
        seen.add(key)
        out.append(Variant(name, laid, symmetry(seat, laid), match(seat, laid)))
    return tuple(out)


def ranked(some: tuple[Variant, ...]) -> tuple[Variant, ...]:
    """Return variants with the most even figure first; ties stay in the order given."""
    # Python's sort keeps the order of equals.
    return tuple(one for _, one in sorted(zip(places(some), some, strict=True), key=lambda pair: pair[0]))


def places(some: Sequence[Variant]) -> tuple[int, ...]:
    """Return the place of each variant in the ranking, from 1; ties share one, and the places after it are left out."""
    order = sorted(range(len(some)), key=lambda k: -some[k].score)
    out = [0] * len(some)
    first = 0
    for number, k in enumerate(order):
        if number and some[order[first]].score - some[k].score >= TIE:
            first = number
        out[k] = first + 1
    return tuple(out)


def place_marks(some: Sequence[Variant]) -> tuple[str, ...]:
    """Return places as they are written: those of a tie with an equals sign, as in 2=."""
    all_ = places(some)
    return tuple(f"{one}=" if all_.count(one) > 1 else f"{one}" for one in all_)


def symmetry(seat: Seat, layup: Layup) -> float:
    """Return how alike rings run left and right of the centre line on the carved surface, 0 to 1."""
    x, y = (axis.ravel() for axis in seat.blank.grid_mm(STEP_MM))
    right = x[x > 0.5 * STEP_MM]
    across, along = np.meshgrid(right, y)
    wood = seat.blank.inside_mm(across, along) > 0.0
    own, other = _pattern(seat, layup, across, along), _pattern(seat, layup, -across, along)
    # Seen in a mirror lines lean the other way.
    other = other * np.array([1.0, -1.0])
    return _alike(own[wood], other[wood])


def match(seat: Seat, layup: Layup) -> float:
    """Return how well rings run on across the glue lines, 0 to 1."""
    y = seat.blank.grid_mm(STEP_MM)[1].ravel()
    scores = []
    for line in layup.glue_lines_mm:
        inside = seat.blank.inside_mm(np.full_like(y, line), y) > 0.0
        left = _pattern(seat, layup, np.full_like(y, line - GLUE_MM), y)
        right = _pattern(seat, layup, np.full_like(y, line + GLUE_MM), y)
        scores.append(_alike(left[inside], right[inside]))
    return float(np.mean(scores)) if scores else 1.0


def _pattern(seat: Seat, layup: Layup, x: Floats, y: Floats) -> Floats:
    """Return rings as they show: rings for each mm times (cos, sin) of twice their direction, shape (..., 2).

    A line and the same line followed backward have one direction; twice the angle makes them one number.
    """

    def rings(dx: float, dy: float) -> Floats:
        u, v = x + dx, y + dy
        points = np.stack([u, v, -seat.depth_mm(u, v)], axis=-1)
        return even_rings(layup, points)

    by_x = (rings(SLOPE_MM, 0.0) - rings(-SLOPE_MM, 0.0)) / (2.0 * SLOPE_MM)
    by_y = (rings(0.0, SLOPE_MM) - rings(0.0, -SLOPE_MM)) / (2.0 * SLOPE_MM)
    steep = np.hypot(by_x, by_y)
    # Lines crowd without limit on the pith's own side: past a ring for each mm an eye sees no difference.
    shown = np.minimum(steep, 1.0)
    turn = 2.0 * np.arctan2(by_y, by_x)
    return np.stack([shown * np.cos(turn), shown * np.sin(turn)], axis=-1)


def _alike(one: Floats, other: Floats) -> float:
    apart = np.linalg.norm(one - other, axis=-1)
    size = np.linalg.norm(one, axis=-1) + np.linalg.norm(other, axis=-1)
    return float(1.0 - np.sum(apart) / np.sum(size)) if size.size and np.sum(size) > 0.0 else 1.0


def _bark(board: Board, side: str) -> Board:
    return board if board.bark == side else turned_over(board)


def _ways(layup: Layup) -> dict[str, Callable[[Boards], Boards]]:
    """Return the ways by their names."""
    ways: dict[str, Callable[[Boards], Boards]] = {
        "as ordered": lambda all_: all_,
        "bark side up": lambda all_: tuple(_bark(one, "up") for one in all_),
        "bark side down": lambda all_: tuple(_bark(one, "down") for one in all_),
    }
    if len(layup.boards) == 1:
        return ways | {"turned end for end": lambda all_: (turned_end_for_end(all_[0]),)}
    ways["bark up and down in turn"] = lambda all_: tuple(
        _bark(one, "up" if k % 2 == 0 else "down") for k, one in enumerate(all_)
    )
    ways["every other one end for end"] = lambda all_: tuple(
        turned_end_for_end(one) if k % 2 else one for k, one in enumerate(all_)
    )
    ways["boards swapped"] = lambda all_: all_[::-1]
    if len(layup.boards) == 2:
        ways["book-matched from board 1"] = lambda all_: _book(all_[0], layup.thickness_mm)
        ways["book-matched from board 2"] = lambda all_: _book(all_[1], layup.thickness_mm)[::-1]
    return ways


def _book(board: Board, thickness_mm: float) -> Boards:
    """Return a plank of twice the thickness sawn through and opened like a book, the sawn faces up.

    One half lies bark side up, the other, from nearer to the bark, turned over: their faces mirror each other, but
    not the wood beneath, which the hollow cuts into.
    """
    inner = _bark(board, "up")
    outer = replace(inner, pith_away_mm=inner.pith_away_mm + thickness_mm + KERF_MM)
    return inner, turned_over(outer)
