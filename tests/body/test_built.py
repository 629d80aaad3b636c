"""The seated body is built as the model was calibrated: none of its lengths moves without the calibration made anew.

Bones and flesh are put together here by hand from the figures of the table of sources (B4, B6, B9, B11, B12) and, where
it has none, from those that are from memory; each stands in the module with its reason.
"""

import numpy as np
import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.figure.seated import seat_body
from seatmesh.body.figure.shapes import blended_lowest

BODY = read_body(bodies_folder() / "viola.toml")
SEATED = seat_body(BODY, POSTURES["upright"])


def built(pelvis_tilt_deg=0.0):
    """Hip joint, tip of the tailbone and sacrum: a rigid pelvis rolled back about the tips of the sit bones."""
    tilt = np.radians(BODY.habit.pelvis_tilt_deg + pelvis_tilt_deg)
    c, s = np.cos(tilt), np.sin(tilt)
    places = {"hip": (15.0, 77.0), "tailbone": (-65.0, 36.0), "sacrum": (-95.0, 91.0)}
    return {name: (0.0, y * c - z * s, z * c + y * s) for name, (y, z) in places.items()}


@pytest.mark.parametrize("posture", ["upright", "slouched"])
def test_the_pelvis_is_rigid_and_where_anatomy_puts_it(posture):
    seated = seat_body(BODY, POSTURES[posture])
    at = built(POSTURES[posture].pelvis_tilt_deg)
    assert seated.hip == pytest.approx(at["hip"])
    tail = seated.bones["tailbone"]
    assert tail.start == pytest.approx(at["tailbone"])
    assert tail.end == pytest.approx(at["sacrum"])
    # The tip is round with 8 mm, the sacrum above it with 20 mm; skin lies 18 and 25 mm over them.
    assert tail.half_widths == tail.half_heights == (8.0, 20.0)
    assert seated.flesh[0].half_widths == (26.0, 45.0)
    assert seated.tailbone_tip == pytest.approx((0.0, at["tailbone"][1], at["tailbone"][2] - 8.0))


def test_sit_bones_are_as_round_as_bones():
    """B12: 15 mm of radius across and 40 mm fore and aft at the tip, a^2 / c and b^2 / c."""
    for side, sign in (("left", -1.0), ("right", 1.0)):
        bone = SEATED.bones[f"{side}_sit_bone"]
        assert bone.centre == pytest.approx((sign * 0.5 * BODY.value("sit_bone_spacing_mm"), 0.0, 25.0))
        a, b, c = bone.semi_axes
        assert c == 25.0
        assert a**2 / c == pytest.approx(15.0, rel=0.005)
        assert b**2 / c == pytest.approx(40.0, rel=0.005)


def test_a_thigh_is_as_wide_and_high_as_its_girths_say_and_its_bone_lies_in_it():
    girth, low = BODY.value("thigh_circumference_mm"), BODY.value("lower_thigh_circumference_mm")
    high = 0.5 * BODY.value("thigh_clearance_mm")
    wide = np.sqrt(2.0 * (girth / (2.0 * np.pi)) ** 2 - high**2)
    knee = low / (2.0 * np.pi)
    hip, splay = built()["hip"], np.radians(BODY.habit.splay_deg)
    back = 0.32 * BODY.value("hip_breadth_sitting_mm")
    long = BODY.value("buttock_popliteal_length_mm") - back - hip[1] - knee / 3.0
    axis = 0.5 * BODY.value("hip_breadth_sitting_mm") - wide
    floor = -SEATED.anatomy.tissue + 8.0
    flesh, bone = SEATED.flesh[2], SEATED.bones["right_thigh"]
    assert flesh.half_widths == pytest.approx((wide, knee))
    assert flesh.half_heights == pytest.approx((high, knee))
    ends = axis + long * np.sin(splay), hip[1] + long * np.cos(splay)
    assert flesh.start == pytest.approx((axis, hip[1], floor + high))
    assert flesh.end == pytest.approx((*ends, floor + knee))
    # The shaft starts below the trochanter, 0.068 of stature from the middle, and ends in the knee.
    assert bone.start == pytest.approx((0.068 * BODY.value("stature_mm"), hip[1], hip[2] - 9.0))
    assert bone.end == pytest.approx((*ends, floor + knee + 5.0))
    assert bone.half_widths == (20.0, 28.0)


def test_buttocks_reach_from_the_hip_to_the_back_and_are_55_mm_high():
    hip, bone = 0.5 * BODY.value("hip_breadth_sitting_mm"), 0.5 * BODY.value("sit_bone_spacing_mm")
    out = 0.5 * (bone + 0.5 * hip)
    right = SEATED.flesh[-1]
    assert right.centre[:2] == pytest.approx((out, -5.0))
    assert right.semi_axes == pytest.approx((hip - out, -5.0 + 0.64 * hip, 55.0))
    # Thighs and buttocks run into one another over 6 mm, and so the skin comes to lie under the bone.
    tip = np.array([bone]), np.zeros(1)
    heights = [solid.underside(*tip)[0] for solid in SEATED.flesh]
    low = min(float(one[0]) for one in heights)
    blended = low - 6.0 * np.log(sum(np.exp((low - float(one[0])) / 6.0) for one in heights))
    assert blended == pytest.approx(-SEATED.anatomy.tissue, abs=0.01)
    assert blended_lowest(heights, 6.0)[0] == pytest.approx(blended)
