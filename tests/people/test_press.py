"""People pressed many at a time, against each of them pressed alone by the path of `seatmesh.sit`."""

import platform
from dataclasses import replace

import numpy as np
import pytest

from seatmesh import Adjustment, Seat
from seatmesh.body.survey.draw import DRAWN
from seatmesh.chair import Chair
from seatmesh.people.drawn import PART_SIZE, draw_part, joined
from seatmesh.people.engine.freed_memory import keep_freed_memory
from seatmesh.people.engine.part_work import PartWork
from seatmesh.people.press import CELL_MM, FIGURES, press_people
from seatmesh.people.public import US_ADULTS
from seatmesh.people.table import table_of
from seatmesh.seating.sit import press
from seatmesh.seating.sit_many import sit_many
from seatmesh.seating.sitter import lay_over
from seatmesh.wood.joint import Joint

HIGH = Chair(front_height_mm=430.0)
POSTS = tuple(Joint("back post", x, 30.0, diameter_mm=25.0, depth_mm=30.0) for x in (-150.0, 150.0))
ZONE = Joint("bar", 0.0, 380.0, length_mm=300.0, width_mm=40.0, keep_mm=25.0)
POSE, FIGURE = 1e-8, 1e-8
"""Both paths end where the imbalance falls below 1e-9 of the load; figures differ by a few times that at most."""


def shallow(seat, share):
    hollow = seat.hollow
    return replace(seat, hollow=replace(hollow, coefficients=share * hollow.coefficients), front_roll_mm=8.0)


SEATS = {
    "usual": lambda carve: carve(),
    "leaning, with a bowed deck and a gutter": lambda carve: replace(
        carve(deck_line="bowed", deck_bow_mm=30.0, gutter_depth_mm=4.0),
        chair=Chair(front_height_mm=440.0, rake_deg=7.0),
    ),
    "joints, and wood left over them": lambda carve: replace(
        carve(joints=(*POSTS, ZONE)), adjustments=(Adjustment(90.0, 330.0, 60.0, -4.0),)
    ),
    "D-shaped": lambda carve: carve(outline="D-shaped"),
    "a deck along the outline": lambda carve: carve(outline="tapered to the front", deck_line="offset"),
    "a shallow bowl": lambda carve: shallow(carve(), 0.25),
    "deeper on the right": lambda carve: carve(deeper_on_the_right_mm=3.0),
    "flat": lambda carve: Seat(),
    "small": lambda carve: carve(width_mm=330.0, depth_mm=300.0),
}
"""Seats as unlike as they come."""


def people_of_all_sorts():
    """Ten adults; one of them is made far too small, one too heavy for any wood, one broader than the blank."""
    people = draw_part(US_ADULTS, 2, 0, 10)
    lengths = [i for i, name in enumerate(DRAWN) if name.endswith("_mm") and "tissue" not in name]
    measures = people.measures.copy()
    measures[1, lengths] *= 0.55
    measures[1, DRAWN.index("mass_kg")] = 18.0
    measures[2, DRAWN.index("mass_kg")] = 420.0
    measures[3, DRAWN.index("hip_breadth_sitting_mm")] = 560.0
    # Whoever has legs so long, and so little behind them, leans over the front edge of a small seat.
    measures[4, DRAWN.index("buttock_popliteal_length_mm")] = 1400.0
    return replace(people, measures=measures)


def alone(body, seat):
    """Return the figures of one body as `seatmesh.sit` has them, and those of the hollow by plain sums over cells."""
    sitter = lay_over(body, seat, spacing_mm=CELL_MM)
    sitting = press(sitter, seat)
    columns = [(column >= 0.5).astype(float) for column in sitter.grid.wood.T]
    across = sum(np.interp(sitter.at_mm[1], sitter.grid.y_mm, column) for column in columns)
    known = {
        "load_n": sitter.load.force_n,
        "knee_clearance_mm": sitter.at_mm[1] + sitter.seated.knee_back_y - seat.blank.depth_mm,
        "feet_share": sitter.load.feet_share,
        "hip_margin_mm": across * sitter.grid.cell_mm[0] - body.value("hip_breadth_sitting_mm"),
    }
    if sitting.converged:
        force = sitting.pressure_kpa * sitting.wood
        carved = seat.depth_mm(sitting.x_mm[None, :], sitting.y_mm[:, None]) > 0.5
        known |= {name: sitting.figures[name] for name in FIGURES if name in sitting.figures}
        has_hollow = seat.hollow is not None
        known["rim_load_share"] = force[~carved].sum() / force.sum() if has_hollow else 0.0
    return sitting, known


@pytest.mark.parametrize("name", list(SEATS))
def test_each_of_many_is_what_one_alone_is(carve, name):
    seat = SEATS[name](carve)
    if seat.chair.front_height_mm is None:
        seat = replace(seat, chair=HIGH)
    people = people_of_all_sorts()
    pressed = press_people(people, seat)
    many = sit_many(people.bodies(), seat, spacing_mm=CELL_MM)
    # Who weighs 420 kg is pressed through on any wood, and long legs topple from a small seat.
    assert (~pressed.balanced).sum() == (3 if name == "small" else 1)
    for k, body in enumerate(people.bodies()):
        sitting, known = alone(body, seat)
        assert pressed.balanced[k] == sitting.converged
        for figure, value in zip(FIGURES, pressed.figures[k], strict=True):
            if figure in known:
                assert value == pytest.approx(known[figure], rel=FIGURE, abs=1e-12), figure
            else:
                assert np.isnan(value), figure
        if sitting.converged:
            assert many.heave_mm[k] == pytest.approx(sitting.pose.heave_mm, abs=POSE)
            assert np.radians(many.pitch_deg[k]) == pytest.approx(sitting.pose.pitch, abs=POSE)
            assert np.radians(many.roll_deg[k]) == pytest.approx(sitting.pose.roll, abs=POSE)


def test_load_lies_outside_a_hollow_and_nowhere_else(carve):
    """So that the test above compares more than noughts."""
    people = people_of_all_sorts()
    usual, flat = (
        press_people(people, SEATS[name](carve)).of("rim_load_share") for name in ("usual", "flat")
    )
    assert np.nanmin(usual) > 0.05
    assert not np.nanmax(flat)


def test_nobodys_row_hangs_on_how_people_are_handed_out(carved_seat):
    """To the bit: parts alone or joined, whole or cut short; last digits do change where a block has other people."""
    seat = replace(carved_seat, chair=HIGH)
    work = PartWork(seat, US_ADULTS, 4)
    parts = [work(part, PART_SIZE) for part in (0, 1)]
    together = joined([draw_part(US_ADULTS, 4, part) for part in (0, 1)])
    assert table_of(together, seat).rows.tobytes() == np.concatenate(parts).tobytes()
    assert work(1, 7).tobytes() == parts[1][:7].tobytes()
    others = press_people(together.some(np.arange(50, 150)), seat).figures[:50]
    whole = press_people(together, seat).figures[50:100]
    assert others == pytest.approx(whole, rel=FIGURE, abs=1e-12, nan_ok=True)


def test_where_the_c_library_is_gnus_freed_memory_is_kept():
    assert keep_freed_memory() == (platform.libc_ver()[0] == "glibc")
