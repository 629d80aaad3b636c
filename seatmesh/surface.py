"""The seat: what the carved surface is, everywhere on the blank."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from seatmesh.adjustment import Adjustment, total_depth_mm
from seatmesh.arrays import Floats
from seatmesh.chair import Chair
from seatmesh.front_roll import front_roll_depth, roll_length_mm
from seatmesh.solution import Ending
from seatmesh.spline import BicubicSpline
from seatmesh.wood.blank import Blank


@dataclass(frozen=True)
class Seat:
    """A carved seat in the frame of its blank.

    Attributes
    ----------
    blank, chair
        The wood and the chair it is for.
    hollow
        Depth of the hollow as a spline over the blank ahead of the deck line, mm; where it is negative the wood
        stays. None is an uncarved, flat seat.
    front_roll_mm
        Radius of the roll at the front edge, 0 for none.
    title
        What the maker calls it.
    units
        "mm" or "in": how pictures and sheets speak.
    adjustments
        What the maker takes or leaves beyond all that, place by place.
    ending
        How the search for this hollow ended; None where nothing was searched for. It is no part of the shape.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> float(seat.depth_mm(0.0, 200.0)), float(seat.depth_mm(0.0, 330.0))
    (10.0, 0.0)
    >>> seat.depth_mm([-50.0, 0.0, 50.0], 200.0).shape
    (3,)
    """

    blank: Blank = field(default_factory=Blank)
    chair: Chair = field(default_factory=Chair)
    hollow: BicubicSpline | None = None
    front_roll_mm: float = 0.0
    title: str = "flat seat"
    units: str = "mm"
    adjustments: tuple[Adjustment, ...] = ()
    ending: Ending | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        # A list does for a tuple, but has no hash.
        object.__setattr__(self, "adjustments", tuple(self.adjustments))

    def depth_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return the depth below the blank's top face, mm, never negative.

        `x_mm` (to the sitter's right from the centre line) and `y_mm` (forward from the rear edge) broadcast like
        NumPy arrays. On the deck it is exactly 0, and where the gutter is the deeper, it is the gutter's; beyond the
        blank's edges the nearest edge's depth is returned. The round along the top edge is no part of it.
        Adjustments take no wood from the floor and leave none above the blank's top face.
        """
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        ahead = self.blank.ahead_of_deck_mm(x, y)
        return np.where(ahead > 0.0, self.carved_at_mm(x, y, ahead), 0.0)

    def carved_depth_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return the depth as if what is carved ahead of the deck line went on behind it: on the line, from ahead."""
        x, y = np.asarray(x_mm, dtype=float), np.asarray(y_mm, dtype=float)
        ahead = self.blank.ahead_of_deck_mm(x, y) if self.blank.gutter_depth_mm > 0.0 else None
        return self.carved_at_mm(x, y, ahead)

    @property
    def roll_start_mm(self) -> float:
        """The y at which the front roll begins."""
        return self.blank.depth_mm - roll_length_mm(self.front_roll_mm)

    def wood_left_mm(self, x_mm: ArrayLike, y_mm: ArrayLike) -> Floats:
        """Return how much wood is left between the carved surface and the real underside, mm; broadcasts likewise."""
        return self.blank.wood_under_mm(x_mm, y_mm, self.depth_mm(x_mm, y_mm))

    def carved_at_mm(self, x: Floats, y: Floats, ahead: Floats | None) -> Floats:
        """Return `carved_depth_mm` at places of which it is known how far ahead of the deck line they lie.

        None is beside the gutter: on its lip that is how deep the wood beside it is carved.
        """
        depth = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        if self.hollow is not None:
            depth = np.maximum(depth, self.hollow(x, y))
        roll = front_roll_depth(self.blank.depth_mm - y, self.front_roll_mm)
        if self.adjustments:
            depth = self._adjusted(depth, roll, x, y)
        if self.blank.gutter_depth_mm > 0.0 and ahead is not None:
            depth = np.maximum(depth, self.blank.gutter_at_mm(ahead))
        return np.asarray(depth + roll)

    def _adjusted(self, hollow: Floats, roll: Floats, x: Floats, y: Floats) -> Floats:
        """Return the hollow's depth with the adjustments in it."""
        half = 0.5 * self.blank.width_mm
        held_x, held_y = np.clip(x, -half, half), np.minimum(y, self.blank.depth_mm)
        taken = total_depth_mm(self.adjustments, held_x, held_y)
        # A hollow that itself is too deep is left as it is: to lift it in silence would hide the fault.
        allowed = (
            self.blank.greatest_depth_mm
            if self.blank.is_plain
            else self.blank.allowed_depth_mm(held_x, held_y)
        )
        deepest = np.maximum(allowed - roll, hollow)
        return np.clip(hollow + taken, 0.0, deepest)


def flat_seat(blank: Blank | None = None) -> Seat:
    """Return the uncarved seat of a blank: its flat top face, front edge and all.

    Examples
    --------
    >>> from seatmesh import Blank, flat_seat
    >>> float(flat_seat(Blank(thickness_mm=40.0)).wood_left_mm(0.0, 200.0))
    40.0
    """
    return Seat(blank=blank or Blank())
