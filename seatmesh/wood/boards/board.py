"""A board of the blank: its wood, where its pith lay, which side up and which end to the front."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Literal

from seatmesh.wood.species import USUAL, Species, species_named

Bark = Literal["up", "down"]
BARK_SIDES: tuple[Bark, ...] = ("up", "down")
Rings = Literal["flat", "rift", "quarter"]
RINGS: dict[Rings, tuple[float, float]] = {"flat": (0.0, 30.0), "rift": (30.0, 60.0), "quarter": (60.0, 90.0)}
"""Angle between the rings and the board's face at its middle, degrees: the trade's words (common practice, no
source)."""
RING_WIDTH_MM, WANDER_MM, TAPER_MM_PER_M = 3.0, 4.0, 10.0
"""Of a usual board, for its figure: width of a ring, wander of the pith, and how much thinner a tree is a
metre higher."""
Signs = tuple[int, int, int]
UNTURNED: Signs = (1, 1, 1)


@dataclass(frozen=True)
class Board:
    """A board as it lies in the blank.

    Its own frame has the origin in the middle of its width, length and thickness, u to the sitter's right, v forward
    and w up while it lies bark side up and not turned; `signs` say which way each axis points as the board lies now.

    Attributes
    ----------
    width_mm
        Across the blank.
    species
        Its wood.
    pith_aside_mm, pith_away_mm
        Where the pith is in the board's own frame half way along it: u, and how far below the middle of its thickness.
    rise_deg, aside_deg
        Slope of the grain in the board's own frame: how steeply fibres rise toward +v, and how far they turn toward +u.
    ring_width_mm, wander_mm, taper_mm_per_m
        For the figure: width of a ring, how far the pith strays from a straight line, and how much a ring's radius
        shrinks over a metre toward +v.
    rings
        The word that was given for the rings; empty where angle or pith was.
    number
        The board's own number, which its wander and its years follow; a board keeps it wherever it goes.
    signs
        See above: (1, 1, 1) as described, (-1, -1, 1) turned end for end, (-1, 1, -1) turned over, (1, -1, -1) both.
    assumed
        Keys that were not given, which usual values stand in for.

    Examples
    --------
    >>> from seatmesh import Blank, Board, Order, OrderedSitter, estimate_body, species_named
    >>> cherry = species_named("cherry")
    >>> pair = (Board(240.0, cherry, pith_aside_mm=30.0), Board(240.0, cherry, number=2))
    >>> anna = OrderedSitter(estimate_body("female", 1640, 61))
    >>> order = Order("Anna", (anna,), blank=Blank(boards=2), boards=pair)
    >>> order.layup.glue_lines_mm, pair[0].cut_word
    ((0.0,), 'flat')
    """

    width_mm: float
    species: Species = field(default_factory=lambda: species_named(USUAL))
    pith_aside_mm: float = 0.0
    pith_away_mm: float = 120.0
    rise_deg: float = 0.0
    aside_deg: float = 0.0
    ring_width_mm: float = RING_WIDTH_MM
    wander_mm: float = WANDER_MM
    taper_mm_per_m: float = TAPER_MM_PER_M
    rings: str = ""
    number: int = 1
    signs: Signs = UNTURNED
    assumed: tuple[str, ...] = ()

    @property
    def bark(self) -> Bark:
        """Which way the bark side looks."""
        return "up" if self.signs[2] > 0 else "down"

    @property
    def is_turned(self) -> bool:
        """Whether it lies end for end from how it was described."""
        return self.signs[1] < 0

    @property
    def ring_angle_deg(self) -> float:
        """Angle between rings and face at the middle of the board, 0 to 90; 0 is flat-sawn, 90 quarter-sawn."""
        return degrees(atan2(abs(self.pith_aside_mm), abs(self.pith_away_mm)))

    @property
    def pith_lies_mm(self) -> tuple[float, float]:
        """Where the pith is as the board lies: to the sitter's right of its middle, and above the middle's height."""
        return self.signs[0] * self.pith_aside_mm, -self.signs[2] * self.pith_away_mm

    @property
    def pith_distance_mm(self) -> float:
        """How far the pith is from the middle of the end grain: the radius of the ring there."""
        return hypot(self.pith_aside_mm, self.pith_away_mm)

    @property
    def fibre(self) -> tuple[float, float, float]:
        """Direction of the fibres in the blank's frame, length 1, to the front."""
        turn, rise = radians(self.aside_deg), radians(self.rise_deg)
        along = (cos(rise) * sin(turn), cos(rise) * cos(turn), sin(rise))
        x, y, z = (sign * part for sign, part in zip(self.signs, along, strict=True))
        return (x, y, z) if y >= 0.0 else (-x, -y, -z)

    @property
    def cut_word(self) -> str:
        """The trade's word for how the rings run: flat, rift or quarter."""
        return next(word for word, (_, most) in RINGS.items() if self.ring_angle_deg <= most)

    def holds_pith(self, thickness_mm: float) -> bool:
        """Whether the pith lies inside a board so thick."""
        return abs(self.pith_aside_mm) < 0.5 * self.width_mm and abs(self.pith_away_mm) < 0.5 * thickness_mm


def pith_at(ring_angle_deg: float, distance_mm: float) -> tuple[float, float]:
    """Return (aside, away) of a pith so far from the middle, where rings meet the face at an angle.

    A positive angle has the pith to the right, a negative one to the left, of a board that lies bark side up.
    """
    turn = radians(ring_angle_deg)
    return distance_mm * sin(turn), distance_mm * cos(turn)


def turned_end_for_end(board: Board) -> Board:
    """Return the board with its other end to the front, the same face up."""
    x, y, z = board.signs
    return replace(board, signs=(-x, -y, z))


def turned_over(board: Board) -> Board:
    """Return the board with its other face up, the same end to the front."""
    x, y, z = board.signs
    return replace(board, signs=(-x, y, -z))
