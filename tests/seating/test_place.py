"""Where a sitter sits and the marks that this leaves: bands by the normal law, lines by plane geometry."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Blank, estimate_body
from seatmesh.body.body import Habit
from seatmesh.body.figure.posture import Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.seating.place import places, seat_place_mm, usual_back_mm

BODY = estimate_body("female", 1660.0, 64.0)
Z90 = 1.6449
"""Half-width of a 90 % interval in standard errors (the normal law)."""


def errors(name):
    return BODY.measures[name].standard_error


def bands(along_error_mm=None):
    return {place.name: (place.band_x_mm, place.band_y_mm) for place in places(BODY, Blank(), along_error_mm)}


def test_each_band_holds_what_is_open_of_its_mark():
    """Figures from memory, each with its reason beside it in the module; they are told to the maker as bands."""
    seated = seat_body(BODY, Posture())
    got = bands()
    # 6 mm of sitting down, and 8 % of how far the buttocks reach behind the sit bones.
    along = np.hypot(6.0, 0.08 * seated.anatomy.buttock_back)
    # A thigh's girth over two pi is its half-width; 8 mm of how broadly it rests at a half-width of 100 mm.
    across = np.hypot(errors("thigh_circumference_mm") / (2.0 * np.pi), 8.0)
    wanted = {
        "hip end": (np.hypot(0.5 * errors("hip_breadth_sitting_mm"), 3.0), along),
        "sit bone": (0.5 * errors("sit_bone_spacing_mm"), along),
        "inner thigh line": (across, along),
        "outer thigh line": (across, along),
        "knee-back line": (across, np.hypot(6.0, errors("buttock_popliteal_length_mm"))),
        "end of the spine": (3.0, np.hypot(6.0, 8.0)),
    }
    assert set(got) == set(wanted)
    for name, (x, y) in wanted.items():
        assert got[name] == pytest.approx((Z90 * x, Z90 * y), rel=1e-4), name
    told = bands(2.0)
    assert told["sit bone"][1] == pytest.approx(Z90 * 2.0, rel=1e-4), (
        "marks have told where the sit bones lie"
    )
    assert told["end of the spine"][1] == pytest.approx(Z90 * np.hypot(2.0, 8.0), rel=1e-4)


def test_thigh_lines_run_from_60_mm_ahead_of_the_hip_to_40_mm_behind_the_knee():
    body = replace(BODY, habit=Habit(splay_deg=12.0))
    blank = Blank()
    seated = seat_body(body, Posture())
    x0, y0 = seat_place_mm(body, seated, blank)
    made = {(one.name, one.side): one.points_mm for one in places(body, blank)}
    for edge, sign in (("inner", -1.0), ("outer", 1.0)):
        first, last = made[f"{edge} thigh line", "right"]
        assert first[1] - y0 == pytest.approx(seated.hip[1] + 60.0)
        assert last[1] - y0 == pytest.approx(seated.knee_back_y - 40.0)
        for x, y in (first, last):
            share = (y - y0 - seated.hip[1]) / (seated.knee_back_y - seated.hip[1])
            axis = seated.anatomy.thigh_x + share * (seated.knee_x - seated.anatomy.thigh_x)
            near, far = seated.anatomy.thigh_half_widths
            # On a flat board a thigh rests with 0.65 of its half-width.
            assert x - x0 == pytest.approx(axis + sign * 0.65 * (near + share * (far - near)))


def test_the_back_of_the_buttocks_reaches_15_mm_over_the_deck_and_stays_10_mm_on_the_wood():
    assert usual_back_mm(Blank(deck_mm=50.0)) == 35.0
    assert usual_back_mm(Blank(deck_mm=25.2)) == pytest.approx(10.2)
    assert usual_back_mm(Blank(deck_mm=24.0)) == 10.0


def test_ends_of_hips_and_sit_bones_lie_at_half_their_breadths():
    """To either side of the middle: half of the hip breadth, half of the distance of the sit bones, both in line."""
    blank = Blank()
    seated = seat_body(BODY, Posture())
    x0, y0 = seat_place_mm(BODY, seated, blank)
    made = {(one.name, one.side): one.points_mm for one in places(BODY, blank)}
    halves = {
        "hip end": 0.5 * BODY.value("hip_breadth_sitting_mm"),
        "sit bone": 0.5 * BODY.value("sit_bone_spacing_mm"),
    }
    for name, half in halves.items():
        for side, sign in (("left", -1.0), ("right", 1.0)):
            (point,) = made[name, side]
            assert point == pytest.approx((x0 + sign * half, y0), abs=1e-6), (name, side)
