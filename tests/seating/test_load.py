"""The load on the seat against Winter's and de Leva's segments (L1 to L4), feet (S11) and statics."""

from dataclasses import replace

import numpy as np
import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.figure.seated import seat_body
from seatmesh.chair import Chair
from seatmesh.seating.figures_in_words import knee_clearance_of, notes
from seatmesh.seating.load import GRAVITY, feet_share, front_height_mm, seat_load
from seatmesh.seating.sitter import lay_over
from seatmesh.surface import Seat

UPRIGHT = POSTURES["upright"]
LEVEL = Chair(rake_deg=0.0)
BODY = read_body(bodies_folder() / "violin-2.toml")
SEATED = seat_body(BODY, UPRIGHT)


def at_front_edge(above_mm, rake_deg=0.0):
    height = SEATED.anatomy.popliteal_height + 25.0 + above_mm
    return Chair(front_height_mm=height, rake_deg=rake_deg)


def test_share_of_weight_on_the_seat_is_published():
    weight = BODY.value("mass_kg") * GRAVITY
    for above in (-60.0, -30.0, 0.0):
        share = seat_load(SEATED, UPRIGHT, at_front_edge(above)).force_n / weight
        assert 0.77 <= share <= 0.89  # L4


def test_feet_carry_legs_and_feet_when_the_thighs_lie_on_the_seat():
    # L1: 2 x (0.0465 + 0.0145); S11: about 13 % of body weight.
    assert feet_share(SEATED, at_front_edge(0.0)) == pytest.approx(0.122)
    assert feet_share(SEATED, LEVEL) == pytest.approx(0.13, abs=0.02)
    # De Leva's men (L3): 2 x (0.0433 + 0.0137) = 0.114.
    assert feet_share(SEATED, at_front_edge(0.0)) == pytest.approx(0.114, abs=0.01)


def test_more_goes_to_the_feet_on_a_low_seat_and_none_on_a_high_one():
    shares = [feet_share(SEATED, at_front_edge(above)) for above in (-80.0, -30.0, 0.0, 25.0, 60.0)]
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] == 0.0


def test_load_point_follows_from_moments():
    load = seat_load(SEATED, UPRIGHT, at_front_edge(0.0))
    knee = SEATED.knee_back_y + 40.0
    thigh = SEATED.hip[1] + 0.433 * (knee - SEATED.hip[1])  # L2
    assert load.y_mm == pytest.approx((0.678 * SEATED.hip[1] + 0.2 * thigh) / 0.878)
    assert load.x_mm == 0.0


def test_hanging_legs_move_the_load_forward_and_leaning_too():
    usual = seat_load(SEATED, UPRIGHT, at_front_edge(0.0)).y_mm
    assert seat_load(SEATED, UPRIGHT, at_front_edge(60.0)).y_mm > usual + 30
    assert seat_load(SEATED, POSTURES["leaning forward"], at_front_edge(0.0)).y_mm > usual + 30


def test_rake_moves_the_load_to_the_rear_and_takes_the_cosine():
    level, raked = (seat_load(SEATED, UPRIGHT, at_front_edge(0.0, rake)) for rake in (0.0, 5.0))
    assert raked.y_mm < level.y_mm - 5
    assert raked.force_n == pytest.approx(level.force_n * np.cos(np.radians(5.0)))


def test_crossing_a_leg_moves_the_load_to_the_other_side():
    right = POSTURES["right leg crossed"]
    assert seat_load(seat_body(BODY, right), right, LEVEL).x_mm < -5
    left = POSTURES["left leg crossed"]
    assert seat_load(seat_body(BODY, left), left, LEVEL).x_mm > 5


def test_front_height_defaults_to_lower_leg_and_shoe():
    assert front_height_mm(SEATED, Chair(shoe_mm=30.0)) == pytest.approx(
        SEATED.anatomy.popliteal_height + 20.0
    )
    assert front_height_mm(SEATED, replace(LEVEL, front_height_mm=432.0)) == 432.0


def test_feet_are_lightened_and_laden_by_straight_lines():
    """None of it hangs at the knee-back's height; all of it 50 mm above; thighs too from 60 mm below (L1, L2)."""
    legs, thighs = 0.122, 0.122 + 0.2 * 0.433
    for above, share in (
        (25.0, legs / 2),
        (48.0, legs / 25),
        (-30.0, (legs + thighs) / 2),
        (-58.0, thighs - 0.0866 / 30),
    ):
        assert feet_share(SEATED, at_front_edge(above)) == pytest.approx(share)


def test_how_far_thighs_may_stand_out_is_said_in_words():
    """5 cm from front edge to knee-back are usual; 16 cm are hardly borne; common practice."""
    seat = Seat()
    sitter = lay_over(BODY, seat)
    clear = knee_clearance_of(sitter, seat)
    for wanted, words in (
        (-1.0, "too deep"),
        (49.5, "or more is usual"),
        (50.5, ""),
        (159.0, ""),
        (161.0, "hardly borne"),
    ):
        longer = replace(sitter, at_mm=(sitter.at_mm[0], sitter.at_mm[1] + wanted - clear))
        assert knee_clearance_of(longer, seat) == pytest.approx(wanted)
        said = " ".join(notes(longer, seat))
        assert (words in said) if words else ("usual" not in said and "borne" not in said)
