"""How a person may sit: both ends of what a body file may say of it, common practice at the bench.

Thighs touch or cross a little (-10 degrees) up to astride (45); a pelvis rolls from well forward (-20) to slumped (45);
a sitter perches up to 150 mm forward of where most sit or 80 mm behind it, and up to 60 mm to either side.
"""

import pytest

from seatmesh.body.body_file import body_from_table
from seatmesh.body.measures import MEASURES
from seatmesh.errors import ValueRefusedError

LIMITS = {
    "splay_deg": (-10.0, 45.0),
    "pelvis_tilt_deg": (-20.0, 45.0),
    "forward_mm": (-80.0, 150.0),
    "across_mm": (-60.0, 60.0),
}


def read(key, value):
    table = {"stature_mm": 1650, "mass_kg": 62, "habit": {key: value}}
    return getattr(body_from_table(table, "body file 'a.toml'", "a").habit, key)


@pytest.mark.parametrize("key", LIMITS)
def test_what_is_said_of_a_habit_is_taken_up_to_its_limits(key):
    low, high = LIMITS[key]
    assert [read(key, one) for one in (low, high)] == [low, high]
    for beyond in (low - 0.1, high + 0.1):
        with pytest.raises(ValueRefusedError, match=key):
            read(key, beyond)


def test_thighs_of_whom_nothing_is_said_splay_by_six_degrees():
    """Common practice, from memory: hip-wide knees. Pelvis and place are the usual ones."""
    habit = body_from_table({"stature_mm": 1650, "mass_kg": 62}, "body file 'a.toml'", "a").habit
    assert (habit.splay_deg, habit.pelvis_tilt_deg, habit.forward_mm, habit.across_mm) == (6.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize("name", ["mass_kg", "hip_breadth_sitting_mm"])
def test_a_reading_scatters_by_no_more_than_all_people_differ(name):
    kind = MEASURES[name]
    widest = kind.highest - kind.lowest

    def taken(error):
        table = {"stature_mm": 1650, "mass_kg": 62, name: 380 if name != "mass_kg" else 62}
        body = body_from_table({**table, "standard_errors": {name: error}}, "body file 'a.toml'", "a")
        return body.measures[name].standard_error

    assert taken(widest) == widest
    with pytest.raises(ValueRefusedError, match=f"allowed are 0 to {widest:g}"):
        taken(1.01 * widest)
