"""How a person sits: one posture a name, as what it changes against sitting upright."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from seatmesh.errors import UnknownWordError


@dataclass(frozen=True)
class Posture:
    """A way of sitting, added to the sitter's own habit.

    Attributes
    ----------
    splay_deg
        Added to the splay of each thigh.
    pelvis_tilt_deg
        Added roll of the pelvis to the rear.
    lean_mm
        How far the centre of head, arms and trunk moves forward.
    shift_mm
        How far the sitter moves to the right.
    crossed
        The thigh that lies over the other one, off the seat.
    """

    splay_deg: float = 0.0
    pelvis_tilt_deg: float = 0.0
    lean_mm: float = 0.0
    shift_mm: float = 0.0
    crossed: Literal["left", "right"] | None = None


POSTURES: dict[str, Posture] = {
    "upright": Posture(),
    # The pelvis of a slouched sitter rolls back by about as much as it does from standing to sitting (B10).
    "slouched": Posture(pelvis_tilt_deg=18.0, lean_mm=-15.0),
    "leaning forward": Posture(pelvis_tilt_deg=-8.0, lean_mm=60.0),
    "shifted left": Posture(shift_mm=-20.0),
    "shifted right": Posture(shift_mm=20.0),
    "legs together": Posture(splay_deg=-6.0),
    "legs apart": Posture(splay_deg=10.0),
    "right leg crossed": Posture(splay_deg=-2.0, crossed="right"),
    "left leg crossed": Posture(splay_deg=-2.0, crossed="left"),
}
"""Postures by name; the amounts are common practice and from memory, save where a source stands beside one."""


def posture_named(name: str) -> Posture:
    """Return a posture, or refuse a name that is none, with the nearest one."""
    if name not in POSTURES:
        raise UnknownWordError(name, POSTURES, "posture")
    return POSTURES[name]
