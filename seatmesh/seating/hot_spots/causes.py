"""Why a place presses hot, in the trade's words, from where it lies on the seat and on the body."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import RegularGridInterpolator

from seatmesh.arrays import Floats
from seatmesh.body.figure.seated import PARTS
from seatmesh.front_roll import roll_length_mm
from seatmesh.seating.hot_spots.spots import Spot
from seatmesh.seating.sitter import Sitter
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat

SIT_BONE_REACH_MM = 30.0
"""A peak this near to the tip of a sit bone is the bone's: half of the length of its underside (B12)."""
TAILBONE_REACH_MM = 25.0
TAILBONE_COVER_MM = 30.0
"""Where more tissue than this covers the tailbone, the buttocks press, not the bone."""
FRONT_EDGE_MM = 40.0
"""How far behind the front edge, or the start of its roll, a thigh still bears on the edge."""
EDGE_MM = 25.0
"""How near an edge of the hollow is to a place that bears on it, and the deck line to a place at the deck's edge."""
EDGE_DROP_MM = 2.0
"""What lies deeper by this within `EDGE_MM` makes an edge of wood that is itself no deeper."""
RIDGE_MM = 3.0
"""Least height of a pommel above the hollows beside it; a third of it up its flank a thigh bears on it."""
TROUGH_WITHIN_MM = 160.0
TIGHT = 1.5
"""A hollow is too tight where it is rounder than the body by this factor: a fitted one is up to 1.4 times."""
WALL_SLOPE = 0.1
DOWNHILL_MM = (10.0, 20.0, 30.0)
CHORD_MM = 15.0
"""Half of the chord over which roundness is taken."""


@dataclass(frozen=True)
class _SpotPlace:
    """A spot with the seat and the body round it."""

    spot: Spot
    sitter: Sitter
    seat: Seat
    sitting: Sitting

    def depth(self, across: ArrayLike, along: ArrayLike) -> Floats:
        """Return the seat's depth at distances from the spot."""
        return self.seat.depth_mm(self.spot.x_mm + np.asarray(across), self.spot.y_mm + np.asarray(along))

    def skin(self, across: Floats, along: Floats) -> Floats:
        """Return the height of the unpressed skin, in the pose of balance, at distances from the spot."""
        grid = (self.sitting.y_mm, self.sitting.x_mm)
        field = RegularGridInterpolator(grid, self.sitting.skin_mm, bounds_error=False, fill_value=None)
        return np.asarray(field(np.stack([self.spot.y_mm + along, self.spot.x_mm + across], axis=-1)))

    @property
    def cell(self) -> int:
        """The grid cell that the spot lies in."""
        row = int(np.argmin(np.abs(self.sitting.y_mm - self.spot.y_mm)))
        column = int(np.argmin(np.abs(self.sitting.x_mm - self.spot.x_mm)))
        return row * len(self.sitting.x_mm) + column

    @property
    def part(self) -> str:
        """What the skin there belongs to, one of `PARTS`."""
        return PARTS[int(self.sitter.fields.part[self.cell])]

    @property
    def behind_roll_mm(self) -> float:
        """How far the spot is behind the front edge, or the start of its roll; negative on the roll."""
        roll_mm = roll_length_mm(self.seat.front_roll_mm)
        return self.seat.blank.depth_mm - roll_mm - self.spot.y_mm

    @property
    def on_body(self) -> tuple[float, float]:
        """The spot in the frame of the body."""
        return self.spot.x_mm - self.sitter.at_mm[0], self.spot.y_mm - self.sitter.at_mm[1]


def cause_of(spot: Spot, sitter: Sitter, seat: Seat, sitting: Sitting) -> str:
    """Return why a spot of a sitting presses hot: one of `CAUSES`.

    What the wood does is named before what the body does, save for the tailbone, which no wood should press.
    """
    place = _SpotPlace(spot, sitter, seat, sitting)
    named = (name for name, holds in _TESTS.items() if holds(place))
    return next(named, "thigh" if _is_thigh(place) else "buttock")


def _is_thigh(place: _SpotPlace) -> bool:
    return "thigh" in place.part


def _is_tailbone(place: _SpotPlace) -> bool:
    x, y = place.on_body
    tip_x, tip_y, _ = place.sitter.seated.tailbone_tip
    covered = float(place.sitter.fields.tissue[place.cell])
    near = float(np.hypot(x - tip_x, y - tip_y)) <= TAILBONE_REACH_MM
    return near and place.part == "tailbone" and covered <= TAILBONE_COVER_MM


def _is_sit_bone(place: _SpotPlace) -> bool:
    x, y = place.on_body
    return float(np.hypot(abs(x) - place.sitter.seated.anatomy.sit_bone_x, y)) <= SIT_BONE_REACH_MM


def _is_front_edge(place: _SpotPlace) -> bool:
    return _is_thigh(place) and place.behind_roll_mm <= FRONT_EDGE_MM


def _is_deck_edge(place: _SpotPlace) -> bool:
    return (
        _is_edge(place)
        and float(place.seat.blank.ahead_of_deck_mm(place.spot.x_mm, place.spot.y_mm)) <= EDGE_MM
    )


def _is_pommel(place: _SpotPlace) -> bool:
    """Tell whether a thigh bears on the flank or the top of a ridge along the centre line."""
    if not _is_thigh(place):
        return False
    out = np.arange(0.0, TROUGH_WITHIN_MM + 1.0, 4.0)
    side = 1.0 if place.spot.x_mm >= 0.0 else -1.0
    depth = place.seat.depth_mm(side * out, place.spot.y_mm)
    trough = float(depth.max())
    here = float(place.depth(0.0, 0.0))
    inside = abs(place.spot.x_mm) < out[int(np.argmax(depth))]
    return inside and trough - float(depth[0]) >= RIDGE_MM and trough - here >= RIDGE_MM / 3.0


def _is_edge(place: _SpotPlace) -> bool:
    """Tell whether the wood there is hardly carved and falls away into the hollow beside it."""
    turn = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    # The front roll falls away too, but into no hollow.
    along = np.minimum(EDGE_MM * np.sin(turn), place.behind_roll_mm)
    here = float(place.depth(0.0, 0.0))
    fall = float(place.depth(EDGE_MM * np.cos(turn), along).max()) - here
    return here <= EDGE_DROP_MM <= fall


def _is_tight(place: _SpotPlace) -> bool:
    """Tell whether the spot is on a wall from which the body, less round than the hollow, spans what lies below."""
    slope = np.array(
        [
            float(place.depth(CHORD_MM, 0.0) - place.depth(-CHORD_MM, 0.0)),
            float(place.depth(0.0, CHORD_MM) - place.depth(0.0, -CHORD_MM)),
        ]
    ) / (2.0 * CHORD_MM)
    steepness = float(np.hypot(*slope))
    if steepness < WALL_SLOPE:
        return False
    across, along = slope / steepness
    away = np.asarray(DOWNHILL_MM)[:, None] + CHORD_MM * np.array([-1.0, 0.0, 1.0])
    wood, body = -place.depth(across * away, along * away), place.skin(across * away, along * away)
    wood_round, body_round = (float(np.diff(z, 2, axis=1).mean()) / CHORD_MM**2 for z in (wood, body))
    return wood_round > TIGHT * max(body_round, 0.0)


_TESTS: Mapping[str, Callable[[_SpotPlace], bool]] = {
    "tailbone": _is_tailbone,
    "pommel": _is_pommel,
    "thigh on front edge": _is_front_edge,
    "deck edge": _is_deck_edge,
    "rim": _is_edge,
    "too tight a hollow": _is_tight,
    "sit bone": _is_sit_bone,
}
CAUSES = (*_TESTS, "thigh", "buttock")
"""What a hot spot may come of, the first that holds being named."""
