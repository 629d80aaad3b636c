"""Many bodies at once are each what one body alone is, and no cell that touches is left out of a balance."""

from dataclasses import fields, replace

import numpy as np
import pytest

from seatmesh import Seat, ValueRefusedError, estimate_body, flat_seat
from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.figure.seated import PARTS, seat_bodies, seat_body
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.contact import Layer, balance
from seatmesh.seating import laid as laid_module
from seatmesh.seating.cells import cells_of
from seatmesh.seating.grid import grid_of
from seatmesh.seating.settle import load_of
from seatmesh.seating.sit import press
from seatmesh.seating.sit_many import sit_many, sit_stream
from seatmesh.seating.sitter import lay_over
from seatmesh.tissue import TISSUE, TissueBed

BODIES = [
    estimate_body(sex, stature, mass)
    for sex, stature, mass in (
        ("male", 1930.0, 110.0), ("female", 1510.0, 47.0), ("male", 1740.0, 69.0), ("female", 1640.0, 88.0)
    )
]  # fmt: skip
FLAT = flat_seat()


def one_by_one(bodies, seat, posture="upright", at_mm=(0.0, 0.0)):
    return [press(lay_over(body, seat, posture, at_mm, spacing_mm=8.0), seat) for body in bodies]


def same(many, singles):
    for k, one in enumerate(singles):
        assert many.verdicts[k] == one.verdict
        assert many.heave_mm[k] == pytest.approx(one.pose.heave_mm, abs=1e-8)
        assert np.radians(many.pitch_deg[k]) == pytest.approx(one.pose.pitch, abs=1e-8)
        assert np.radians(many.roll_deg[k]) == pytest.approx(one.pose.roll, abs=1e-8)
        for name in (
            "load_n", "peak_kpa", "peak_gradient_kpa_per_cm", "contact_area_cm2", "area_above_0_67_kpa_cm2",
            "mean_kpa", "hottest_8_percent_share", "tissue_left_ratio", "knee_clearance_mm",
            "tailbone_clearance_mm", "feet_share",
        ):  # fmt: skip
            assert getattr(many, name)[k] == pytest.approx(one.figures[name], rel=1e-7, abs=1e-8), name
        assert many.load_share[k] == pytest.approx([one.figures.load_share[part] for part in PARTS], abs=1e-8)


@pytest.mark.parametrize("posture", ["upright", "slouched", "right leg crossed", "shifted left"])
def test_many_bodies_are_each_what_one_alone_is(carved_seat: Seat, posture: str) -> None:
    for seat in (FLAT, carved_seat):
        same(sit_many(BODIES, seat, posture=posture), one_by_one(BODIES, seat, posture))


def test_on_an_uneven_seat_and_off_the_middle_too(uneven_seat: Seat) -> None:
    aside = replace(BODIES[0], habit=replace(BODIES[0].habit, across_mm=-9.0))
    bodies = [BODIES[1], aside, BODIES[3]]
    same(sit_many(bodies, uneven_seat), one_by_one(bodies, uneven_seat))
    same(sit_many(bodies, FLAT, at_mm=(7.0, -12.0)), one_by_one(bodies, FLAT, at_mm=(7.0, -12.0)))


def test_a_stream_gives_the_same_in_batches_and_takes_no_more_than_it_needs() -> None:
    taken = []

    def endless():
        k = 0
        while True:
            taken.append(k)
            yield BODIES[k % len(BODIES)]
            k += 1

    stream = sit_stream(endless(), FLAT, batch=3)
    first, second = next(stream), next(stream)
    assert len(taken) == 6
    whole = sit_many([BODIES[k % len(BODIES)] for k in range(6)], FLAT)
    assert np.concatenate([first.peak_kpa, second.peak_kpa]) == pytest.approx(whole.peak_kpa, rel=1e-9)


def test_one_that_finds_no_balance_says_why_and_spoils_no_other() -> None:
    many = sit_many(BODIES, FLAT, at_mm=np.array([[0.0, 0.0], [0.0, 900.0], [0.0, 0.0], [0.0, 0.0]]))
    assert many.converged.tolist() == [True, False, True, True]
    assert many.verdicts[1] == one_by_one(BODIES[1:2], FLAT, at_mm=(0.0, 900.0))[0].verdict
    assert np.isnan(many.peak_kpa[1])
    assert np.isnan(many.load_share[1]).all()
    assert np.isfinite(many.load_n).all()
    same(sit_many(BODIES[2:3], FLAT), one_by_one(BODIES[2:3], FLAT))


def test_none_at_all_gives_arrays_of_nothing_and_wrong_shapes_are_refused() -> None:
    assert sit_many([], FLAT).load_share.shape == (0, 5)
    with pytest.raises(ValueRefusedError, match="load_n"):
        sit_many(BODIES, FLAT, load_n=np.array([500.0, 600.0]))
    with pytest.raises(ValueRefusedError, match="finite"):
        sit_many(BODIES, FLAT, at_mm=(np.nan, 0.0))


def test_a_force_that_is_given_presses_instead_of_the_own_weight() -> None:
    many = sit_many(BODIES, FLAT, load_n=np.array([400.0, 500.0, 600.0, 700.0]))
    assert many.load_n.tolist() == [400.0, 500.0, 600.0, 700.0]
    assert many.peak_kpa[0] == pytest.approx(
        press(lay_over(BODIES[0], FLAT, spacing_mm=8.0), FLAT, 400.0).figures.peak_kpa, rel=1e-8
    )


def test_stiffer_flesh_presses_as_a_law_with_that_modulus_says() -> None:
    """Each body alone, pressed by a law of its own."""
    factors = np.array([0.7, 1.0, 1.4])
    bodies = BODIES[: len(factors)]
    many = sit_many(bodies, FLAT, stiffness=factors)
    for number, (body, factor) in enumerate(zip(bodies, factors, strict=True)):
        law = replace(TISSUE, modulus_mpa=factor * TISSUE.modulus_mpa)
        alone = sit_many([body], FLAT, law=law)
        for name in (
            "peak_kpa",
            "contact_area_cm2",
            "heave_mm",
            "load_n",
            "tissue_left_ratio",
            "rim_load_share",
        ):
            assert getattr(many, name)[number] == pytest.approx(getattr(alone, name)[0], rel=1e-8), name
    with pytest.raises(ValueRefusedError, match=r"stiffness.*above 0"):
        sit_many(bodies, FLAT, stiffness=0.0)


@pytest.mark.parametrize("posture", list(POSTURES))
@pytest.mark.parametrize("foreseen_mm", [2.0, -8.0])
def test_cells_left_out_touch_nowhere(
    carved_seat: Seat, posture: str, foreseen_mm: float, monkeypatch
) -> None:
    """Against a balance on all cells of the whole grid; with cells that touch not foreseen they are taken in after."""
    monkeypatch.setattr(laid_module, "FORESEEN_MM", foreseen_mm)
    sitter = lay_over(BODIES[0], carved_seat, posture, spacing_mm=8.0)
    found = press(sitter, carved_seat)
    grid = sitter.grid
    depth = carved_seat.depth_mm(grid.x_mm[None, :], grid.y_mm[:, None]).ravel()
    bed = TissueBed(TISSUE, sitter.fields.backing)
    area = grid.cell_area_mm2 * grid.wood.ravel()
    layer = Layer(*sitter.cells_mm, sitter.fields.skin + depth, area, bed)
    load = load_of(sitter.laid(half=False).load, 0)
    whole = balance(layer, load).value
    assert found.pose.heave_mm == pytest.approx(whole.heave_mm, abs=1e-7)
    assert found.pose.pitch == pytest.approx(whole.pitch, abs=1e-9)
    assert found.pose.roll == pytest.approx(whole.roll, abs=1e-9)
    pressure = bed.response(whole.sink_mm(*sitter.cells_mm) - layer.gap_mm)[0] * (area > 0) * 1000.0
    assert found.pressure_kpa.ravel() == pytest.approx(pressure, abs=1e-5)


@pytest.mark.parametrize("width_mm", [480.0, 484.0, 428.0])
def test_half_of_the_cells_stands_for_all(width_mm: float) -> None:
    grid = grid_of(replace(FLAT.blank, width_mm=width_mm), 8.0)
    whole, half = cells_of(grid, even=False), cells_of(grid, even=True)
    assert half.area_mm2.sum() == pytest.approx(whole.area_mm2.sum())
    values = np.abs(grid.x_mm)[None, :] + 3.0 * grid.y_mm[:, None]
    on_wood = np.where(grid.wood > 0.0, values, 0.0)
    assert np.array_equal(half.spread(values.ravel()[half.at]), on_wood)
    assert half.coarse_mm2.sum() == pytest.approx(whole.area_mm2.sum())


def test_bodies_seated_as_one_have_each_ones_lengths() -> None:
    x, y = np.array([20.0, -60.0, 130.0]), np.array([0.0, 90.0, 200.0])
    for posture in POSTURES.values():
        together = seat_bodies(ManyBodies.of(BODIES), posture).skin(x, y)
        alone = [seat_body(body, posture).skin(x, y) for body in BODIES]
        assert together == pytest.approx(np.array(alone), abs=1e-10)


def test_threads_change_no_bit():
    bodies = [estimate_body("male", 1600.0 + 7.0 * k, 55.0 + 1.5 * k) for k in range(40)]
    alone, together = (sit_many(bodies, FLAT, threads=count) for count in (1, 3))
    assert alone.verdicts == together.verdicts
    for one in fields(alone):
        if one.name != "verdicts":
            assert np.array_equal(getattr(alone, one.name), getattr(together, one.name)), one.name


@pytest.mark.parametrize("threads", [0, -2])
def test_no_threads_are_refused(threads):
    with pytest.raises(ValueRefusedError, match="threads"):
        sit_many(BODIES, FLAT, threads=threads)
