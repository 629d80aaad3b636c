"""Orders for the wood: its keys, and contradictions that name both and what would work."""

import re
from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, InputError, Wishes, read_order
from seatmesh.design.orders.joint_checks import check_sitter
from seatmesh.design.orders.order import find_body, order_from_table

SITTER = '[[sitter]]\nbody = "cello"\n'


def order(tmp_path, text):
    path = tmp_path / "chair.toml"
    path.write_text(SITTER + text, encoding="utf-8")
    return read_order(path)


def test_every_key_of_the_wood_is_read(tmp_path):
    made = order(
        tmp_path,
        """
[blank]
outline = "waisted"
round_over_mm = 6
under_bevel_width_mm = "1 3/4 in"
under_bevel_height_mm = 12
boards = 3
glue_joint = "loose tongue"
glue_joint_depth_mm = 30
glue_joint_thickness_mm = 6
deck_bow_mm = 25
gutter_depth_mm = 3
gutter_width_mm = 8
[[joint]]
kind = "leg mortise"
x_mm = 170
y_mm = 360
diameter_mm = 28
angle_deg = 12
keep_mm = 30
[[joint]]
kind = "polygon"
points_mm = [[150, 60], [200, 60], [200, 90]]
side = "one"
""",
    ).blank
    assert made.outline == "waisted"
    assert made.under_bevel_width_mm == pytest.approx(44.45)
    assert made.glue_lines() == pytest.approx((-80.0, 80.0))
    assert made.deck_line == "bowed"
    assert [joint.kind for joint in made.joints] == ["leg mortise", "polygon"]
    assert made.joints[0].side == "both"
    assert made.joints[1].points_mm[2] == (200.0, 90.0)


def test_an_outline_of_ones_own_from_points_and_from_a_file(tmp_path):
    angle = np.linspace(-np.pi / 2, np.pi / 2, 13)
    points = np.column_stack([250 * np.cos(angle), 215 + 215 * np.sin(angle)]).round(2).tolist()
    made = order(tmp_path, f"[blank]\noutline_points_mm = {points}\n").blank
    assert made.width_mm == pytest.approx(500.0, abs=0.05)
    assert made.depth_mm == pytest.approx(430.0, abs=0.05)
    x, y = made.polygon_mm().T
    assert np.hypot(x / 250, (y - 215) / 215) == pytest.approx(1.0, abs=1e-3)
    path = "M 0 0 L 480 0 L 450 430 L 30 430 Z"
    (tmp_path / "own.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{path}"/></svg>')
    made = order(tmp_path, '[blank]\noutline_file = "own.svg"\n').blank
    assert made.width_mm == pytest.approx(480.0)
    assert made.polygon_mm()[1] == pytest.approx([210.0, 0.0])
    with pytest.raises(InputError, match="no files are read here"):
        order_from_table(
            {"sitter": [{"body": "cello"}], "blank": {"outline_file": "own.svg"}}, "order", "seat"
        )


EIGHT = [[0, 0], [220, 60], [60, 215], [220, 370], [100, 215], [30, 300], [0, 430]]
LEG = '[[joint]]\nkind = "leg mortise"\ndiameter_mm = 26\n'
DOWEL = '[blank]\nboards = 2\nglue_joint = "dowel"\nglue_joint_thickness_mm = 10\n'
REFUSED = {
    DOWEL + "glue_joint_depth_mm = 60\n": "glue_joint_depth_mm from 5 to 40",
    DOWEL + "glue_joint_depth_mm = 2\n": "the dowel lies within the wood, thickness_mm 45",
    "[blank]\ndeck_reach_mm = 100\n": 'deck_line is "straight"',
    "[wishes]\ndeepest_y_mm = 500\n": "deepest_y_mm = 240 or less",
    "[blank]\ndepth_mm = 400\n[wishes]\ndeepest_y_mm = 226\n": "deepest_y_mm = 225 or less",
    '[[joint]]\nkind = "leg morise"\n': "did you mean 'leg mortise'",
    LEG + "x_mm = 100\ny_mm = 300\nkeep = 3\n": "keep_mm",
    LEG + "x_mm = 100\n": "'y_mm' is missing",
    '[[joint]]\nkind = "circle"\nx_mm = 1\ny_mm = 300\n': "'diameter_mm' is missing",
    LEG + "x_mm = 300\ny_mm = 300\n": "beside the blank",
    LEG + "x_mm = 100\ny_mm = 300\nangle_deg = 80\n": "0 to 45 deg",
    '[joint]\nkind = "bar"\n': "list of tables",
    "[blank]\noutline_points_mm = [[0, 0], [1, 1]]\n": "3 to 2000 points",
    '[blank]\noutline_points_mm = [[0, 0], [200, 9], ["x", 1]]\n': "outline_points_mm",
    f"[blank]\noutline_points_mm = {EIGHT}\n": "crosses itself",
    '[blank]\noutline = "rounded"\noutline_file = "a.dxf"\n': "one of them",
    '[blank]\noutline_file = "none.dxf"\n': "there is no such file",
    '[blank]\noutline = "d-shaped"\n': "D-shaped",
    "[blank]\nboards = 2.5\n": "whole number",
    "[blank]\nglue_lines_mm = [300]\n": "between -240 and 240",
    '[blank]\nglue_joint = "dowel"\n': "glue_joint_depth_mm",
    "[blank]\nunder_bevel_width_mm = 40\n": "neither",
    "[blank]\ngutter_depth_mm = 6\n": "give gutter_depth_mm = 4, or gutter_width_mm = 12",
    '[blank]\ndeck_line = "offset"\ndeck_bow_mm = 9\n': "leave it out",
    '[blank]\ndeck_line = "bent"\n': "deck_line",
    "[blank]\ndeck_mm = 60\n[wishes]\ndeepest_y_mm = 55\n": "give more than 60, or a deck_mm below 55",
    '[blank]\noutline = "tapered to the rear"\ncorner_radius_mm = 200\n': "0.42",
}


@pytest.mark.parametrize("text", REFUSED)
def test_refused_in_one_line_that_says_what(tmp_path, text):
    with pytest.raises(InputError) as refusal:
        order(tmp_path, text)
    assert REFUSED[text] in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_a_joint_under_the_deepest_point_names_both_and_what_would_work(tmp_path):
    leg = LEG + "x_mm = {x}\ny_mm = {y}\nkeep_mm = 34\n"
    with pytest.raises(InputError, match=r"\[\[joint\]\] 1 .*depth_mm 18 is wished .* 'cello'") as refusal:
        order(tmp_path, leg.format(x=70, y=180))
    words = str(refusal.value)
    shallower = float(re.search(r"give depth_mm = ([\d.]+)", words)[1])
    x, y = (float(v) for v in re.search(r"x_mm = (\d+), y_mm = (\d+)", words).groups())
    assert shallower == pytest.approx(11.0)
    # Both that are told work; a little less far does not.
    assert order(tmp_path, leg.format(x=x, y=y)).wishes.depth_mm == 18.0
    assert order(tmp_path, leg.format(x=70, y=180) + f"[wishes]\ndepth_mm = {shallower}\n").blank.joints
    near = (70 + 0.8 * (x - 70), 180 + 0.8 * (y - 180))
    with pytest.raises(InputError, match="is wished"):
        order(tmp_path, leg.format(x=near[0], y=near[1]))


def test_a_deck_under_the_sit_bones_is_refused():
    body = find_body("violin-1", None)
    blank = Blank(width_mm=240.0, deck_mm=60.0, deck_line="bowed", deck_bow_mm=20.0)
    check_sitter(body, blank, Wishes())
    back = replace(body, habit=replace(body.habit, forward_mm=-80.0))
    check_sitter(back, blank, Wishes())
    with pytest.raises(InputError, match="deck lies under the sit bones of 'violin 1'") as refusal:
        check_sitter(back, replace(blank, deck_bow_mm=119.0), Wishes())
    # Where the sitter then sits, the deck is clear of the bones.
    farther = int(re.search(r"(\d+) mm farther back there", str(refusal.value))[1]) + 1.0
    moved = replace(body, habit=replace(body.habit, forward_mm=-80.0 + farther))
    check_sitter(moved, replace(blank, deck_bow_mm=119.0), Wishes())


def test_a_bevel_under_the_roll_names_the_nearest_pair(tmp_path):
    text = "[blank]\nunder_bevel_width_mm = 40\nunder_bevel_height_mm = {height}\n[wishes]\nfront_roll_mm = {roll}\n"
    with pytest.raises(InputError, match="floor_mm 20 stays") as refusal:
        order(tmp_path, text.format(height=20, roll=30))
    height, roll = re.search(
        r"height_mm = ([\d.]+), or front_roll_mm = ([\d.]+)", str(refusal.value)
    ).groups()
    # 45 - 20 mm less the fall of the arc, 30 (1 - cos 60 deg).
    assert float(height) == pytest.approx(10.0)
    assert float(roll) == pytest.approx(10.0)
    assert order(tmp_path, text.format(height=height, roll=30))
    assert order(tmp_path, text.format(height=20, roll=roll))


def test_a_gutter_into_a_mortise_is_refused(tmp_path):
    spindle = (
        '[[joint]]\nkind = "spindle"\nx_mm = 60\ny_mm = {y}\ndiameter_mm = 14\ndepth_mm = 25\naround_mm = 6\n'
    )
    gutter = "[blank]\ngutter_depth_mm = 3\n"
    assert order(tmp_path, gutter + spindle.format(y=30))
    with pytest.raises(InputError, match="the gutter is"):
        order(tmp_path, gutter + spindle.format(y=44))


def test_a_joint_that_is_to_keep_more_wood_than_there_is_names_both_and_either_way_out_works(tmp_path):
    leg = LEG + "x_mm = 170\ny_mm = 360\n"
    with pytest.raises(
        InputError, match=r"keep_mm = 20 with depth_mm 28: even uncut, .* 3.0 mm less"
    ) as refusal:
        order(tmp_path, leg + "depth_mm = 28\nkeep_mm = 20\n")
    outs = re.findall(r"(\w+_mm) = ([\d.]+)", str(refusal.value).rsplit("; ", maxsplit=1)[-1])
    assert [name for name, _ in outs] == ["keep_mm", "depth_mm"]
    for name, value in outs:
        given = {"depth_mm": 28, "keep_mm": 20, name: value}
        assert order(tmp_path, leg + "".join(f"{key} = {one}\n" for key, one in given.items()))
    with pytest.raises(InputError, match=r"thickness_mm 45 has 5\.0 mm less"):
        order(
            tmp_path, '[[joint]]\nkind = "circle"\nx_mm = 170\ny_mm = 360\ndiameter_mm = 26\nkeep_mm = 50\n'
        )


def test_a_joint_that_leaves_no_hollow_at_all_is_to_be_moved(tmp_path):
    with pytest.raises(InputError) as refusal:
        order(tmp_path, LEG + "x_mm = 70\ny_mm = 175\ndepth_mm = 25\n")
    assert "depth_mm = 0" not in str(refusal.value)
    assert "move the joint to" in str(refusal.value)
