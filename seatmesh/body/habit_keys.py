"""Keys of the table [habit] of a body file: how the person likes to sit."""

from __future__ import annotations

from seatmesh.body.body import Habit
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.number import Number
from seatmesh.files.keys.table import KeyTable, made_of

LOOK_AGAIN = "look again at how the person sits"
HABIT = KeyTable(
    name="habit",
    meaning="how the person likes to sit",
    make=made_of(Habit),
    fields=Habit,
    keys=(
        Key(
            "splay_deg",
            "Thighs apart",
            "how far each thigh points outward from straight ahead",
            Number(-10.0, 45.0, "deg", todo=LOOK_AGAIN),
            asked="first",
        ),
        Key(
            "forward_mm",
            "Sits forward",
            "ahead of where most sit; a minus is farther back",
            Number(-80.0, 150.0, "mm", todo=LOOK_AGAIN),
            asked="first",
        ),
        Key(
            "pelvis_tilt_deg",
            "Pelvis rolls back",
            "from upright; a minus is rolled forward",
            Number(-20.0, 45.0, "deg", todo=LOOK_AGAIN),
            asked="first",
        ),
        Key(
            "across_mm",
            "Sits to the right",
            "to the sitter's right of the centre line; a minus is to the left",
            Number(-60.0, 60.0, "mm", todo=LOOK_AGAIN),
        ),
    ),
)
HABIT_RANGES = {key.name: key.kind for key in HABIT.keys if isinstance(key.kind, Number)}
"""Plausible for a person on a chair (our own judgement); thighs together point a little inward."""
