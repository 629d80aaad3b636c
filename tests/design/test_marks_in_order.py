"""Marks in an order: they correct body and place, each goes to its sitter, and what is unclear is refused by name."""

import numpy as np
import pytest

from seatmesh import InputError
from seatmesh.design.orders.order import find_body, order_from_table
from seatmesh.seating.place import places

BLANK = {"width_mm": 480, "depth_mm": 400}


def read(sitters, marks, **more):
    table = {"sitter": [{"body": name} for name in sitters], "mark": marks, "blank": BLANK, **more}
    return order_from_table(table, "order", "seat")


def mark(name, side, x, y, **more):
    return {"name": name, "side": side, "x_mm": x, "y_mm": y, **more}


def moved_marks(across, along):
    """Marks of violin 1's own sit bones and hips, as if the whole sitter sat elsewhere; read all but exactly."""
    out = []
    from seatmesh.wood.blank import Blank

    for place in places(find_body("violin-1", None), Blank(**{k: float(v) for k, v in BLANK.items()})):
        if place.name in ("sit bone", "hip end", "inner thigh line", "outer thigh line"):
            x, y = np.mean(place.points_mm, axis=0)
            x = x + across
            out.append(mark(place.name, place.side, float(x), float(y + along), standard_error_mm=0.05))
    return out


def test_a_sitter_who_sat_elsewhere_is_put_there():
    before = read(["violin-1"], []).sitters[0]
    after = read(["violin-1"], moved_marks(4.0, 7.0)).sitters[0]
    assert before.correction is None
    assert after.body.habit.across_mm == pytest.approx(4.0, abs=0.2)
    # Hips say little of how far forward: it is the sit bones' place that has moved by 7 mm.
    assert after.correction.estimates["along_mm"].value - after.correction.estimates["along_mm"].before == (
        pytest.approx(7.0, abs=0.2)
    )
    assert after.body.value("sit_bone_spacing_mm") == pytest.approx(
        before.body.value("sit_bone_spacing_mm"), abs=0.5
    )


def test_each_mark_goes_to_its_sitter_and_is_asked_about_by_its_own_number():
    marks = [
        mark("sit bone", "left", 61, 143, sitter="violin 1"),
        mark("sit bone", "right", 61, 143, sitter="violin 1"),
        mark("sit bone", "left", 64, 155, sitter="viola"),
        mark("hip end", "right", 235, 150, sitter="viola"),
    ]
    first, second = read(["violin-1", "viola"], marks).sitters
    assert [number for number, _ in first.marks] == [1, 2]
    assert [number for number, _ in second.marks] == [3, 4]
    assert first.questions("mm") == []
    asked = second.questions("mm")
    assert asked[0].startswith("viola: mark 4 (hip end, right): 235 mm from the centre line")
    assert all(words.startswith(("viola: mark 3 (", "viola: mark 4 (")) for words in asked)


def test_marks_narrow_the_bands_on_the_plan():
    sitter = read(["violin-1"], moved_marks(4.0, 7.0)).sitters[0]
    blank = read(["violin-1"], []).blank
    wide = {(one.name, one.side): one.band_y_mm for one in places(sitter.body, blank)}
    for one in places(sitter.body, blank, sitter.along_error_mm):
        assert one.band_y_mm < 0.95 * wide[one.name, one.side]
    bone = next(one for one in places(sitter.body, blank, 2.0) if one.name == "sit bone")
    # 90 % of a normal distribution lie within 1.645 standard errors.
    assert bone.band_y_mm == pytest.approx(3.29, abs=0.01)


def test_a_wish_for_splay_outdoes_habit_and_marks():
    made = read(["violin-1"], moved_marks(0.0, 0.0), wishes={"thigh_splay_deg": 17})
    assert made.sitters[0].body.habit.splay_deg == 17.0


@pytest.mark.parametrize(
    ("sitters", "marks", "word"),
    [
        (["violin-1", "viola"], [mark("sit bone", "left", 60, 150)], "say whose mark it is: violin 1, viola"),
        (
            ["violin-1"],
            [mark("sit bone", "left", 60, 150, sitter="viloa")],
            "sitter = 'viloa': allowed are violin 1; choose one of them",
        ),
        (["viola", "viola"], [mark("sit bone", "left", 60, 150, sitter="viola")], "2 sitters have that name"),
        (
            ["violin-1"],
            [mark("sit bone", "left", 300, 150)],
            r"'sit bone' left = \(-300, 150\) mm: it lies outside",
        ),
        (["violin-1"], [mark("sit bone", None, 60, 150)], "'side' is missing"),
        (["violin-1"], 3, "write \\[\\[mark\\]\\] for each"),
        (["violin-1"], [mark("sit bone", "left", 60, 150)] * 101, "at most 100"),
    ],
)
def test_refused_by_name(sitters, marks, word):
    if isinstance(marks, list):
        marks = [{key: value for key, value in one.items() if value is not None} for one in marks]
    with pytest.raises(InputError, match=word):
        read(sitters, marks)


def test_thigh_lines_are_held_against_those_of_the_same_sitter_only():
    marks = [
        mark("inner thigh line", "left", 140, 300, sitter="viola"),
        mark("outer thigh line", "left", 120, 300, sitter="violin 1"),
    ]
    read(["violin-1", "viola"], marks)
    marks[1]["sitter"] = "viola"
    with pytest.raises(InputError, match="swap their names"):
        read(["violin-1", "viola"], marks)
