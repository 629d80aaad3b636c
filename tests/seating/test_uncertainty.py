"""Intervals and the measure to take next: closed forms on made-up figures, and brute force on real ones."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from seatmesh import InputError, NotSolvedError, Seat, estimate_body, flat_seat
from seatmesh.body.body import Z90, Body, Measure
from seatmesh.body.figure.posture import posture_named
from seatmesh.body.figure.seated import seat_bodies
from seatmesh.body.many_bodies import ManyBodies
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.draw import DRAWN, draw_bodies, joints_of
from seatmesh.body.survey.sit_bone_tissue import TISSUE
from seatmesh.fit.hollow import LEG_HOLLOW_TURN
from seatmesh.fit.wished.target import impression
from seatmesh.seating.place import places_of
from seatmesh.seating.sit import press
from seatmesh.seating.sit_many import sit_many
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sureness import uncertainty
from seatmesh.seating.sureness.uncertainty import (
    FIGURES,
    Uncertainty,
    figures_of_draws,
    uncertainty_of,
    uncertainty_report,
)
from seatmesh.tissue import TISSUE as TISSUE_LAW
from seatmesh.tissue import Backing

FLAT = flat_seat()
MAN = estimate_body("male", 1760.0, 78.0)
HIP = "hip_breadth_sitting_mm"
FEW = 40


@pytest.fixture(scope="module")
def usual() -> Uncertainty:
    """Return what is said of a man of whom only stature and mass are known, on the flat."""
    return uncertainty_of(MAN, FLAT, samples=FEW)


def known_exactly(body: Body) -> Body:
    return replace(
        body,
        measures={
            name: replace(one, standard_error=0.0, origin="given") for name, one in body.measures.items()
        },
    )


def taken(body: Body, name: str) -> Body:
    """Return the body once a measure is taken, and the tape says what was expected."""
    given = {key: one for key, one in body.measures.items() if one.origin != "estimated"}
    return estimate_body(body.sex, **{**given, name: body.value(name)})


def even_widths(said: Uncertainty) -> np.ndarray:
    """Return widths on the scales on which the figures spread evenly."""
    low, high = np.array([said.intervals[name] for name in FIGURES]).T
    return np.array([low[0] ** (-1 / 3) - high[0] ** (-1 / 3), np.log(high[1] / low[1]), high[2] - low[2]])


def made_up(bodies: Sequence[Body], _seat: Seat, chances: np.ndarray, **_how: object) -> np.ndarray:
    """Figures that are linear, on their own scales, in what is drawn."""
    hip, bones = (np.array([one.value(name) for one in bodies]) for name in (HIP, "sit_bone_spacing_mm"))
    peak = 0.30 - 0.0002 * (hip - 390.0) - 0.004 * chances[:, 0]
    area = 6.6 + 0.003 * (hip - 390.0) + 0.001 * bones
    deepest = 150.0 + 0.5 * (bones - 110.0) + 9.0 * chances[:, 1]
    return np.column_stack([peak**-3.0, np.exp(area), deepest])


def figures_of_draw(
    true: Body, chance: Sequence[float] = (0.0, 0.0, 0.0, 0.0, 0.0), cell_mm: float = 8.0
) -> np.ndarray:
    """Figures of one drawn sitter, upright on the flat blank."""
    return figures_of_draws(
        [true], FLAT, np.array([chance]), load_n=None, posture="upright", cell_mm=cell_mm
    )[0]


def deepest_y_mm(true: Body, posture: str = "upright", moved: tuple[float, float] = (0.0, 0.0)) -> float:
    """Where a seat fitted to one exactly known body would be deepest."""
    on_flat = sit_many([true], FLAT, posture=posture, at_mm=moved)
    many, way = ManyBodies.of([true]), posture_named(posture)
    seated = seat_bodies(many, way)
    x, y = places_of(many, seated, FLAT.blank)
    at = x + way.shift_mm + moved[0], y + moved[1]
    return float(uncertainty.deepest_y_mm(seated, at, on_flat, np.ones(1))[0])


def test_intervals_and_what_narrows_them_agree_with_the_closed_form(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uncertainty, "figures_of_draws", made_up)
    (joint,) = joints_of(MAN)
    at = [DRAWN.index(HIP), DRAWN.index("sit_bone_spacing_mm")]
    hip_var, bones_var = joint.covariance[at, at]
    hip, bones = joint.mean[at]
    slopes = np.array([[0.0002, 0.0, 0.004, 0.0], [0.003, 0.001, 0.0, 0.0], [0.0, 0.5, 0.0, 9.0]])
    parts = slopes**2 * np.array([hip_var, bones_var, 1.0, 1.0])
    spread = Z90 * np.sqrt(parts.sum(axis=1))
    middle = [
        0.30 - 0.0002 * (hip - 390.0),
        6.6 + 0.003 * (hip - 390.0) + 0.001 * bones,
        150.0 + 0.5 * (bones - 110.0),
    ]
    said = uncertainty_of(MAN, FLAT)
    expected = [
        ((middle[0] + spread[0]) ** -3.0, (middle[0] - spread[0]) ** -3.0),
        tuple(np.exp([middle[1] - spread[1], middle[1] + spread[1]])),
        (middle[2] - spread[2], middle[2] + spread[2]),
    ]
    for name, ends in zip(FIGURES, expected, strict=True):
        assert said.intervals[name] == pytest.approx(ends, rel=1e-6)
    assert said.measure_next == HIP
    net = hip_var / (hip_var + 6.0**2)
    assert said.narrows_share == pytest.approx((net * parts[:, 0] / parts.sum(axis=1)).mean(), rel=1e-6)


def test_the_measure_to_take_next_is_that_of_brute_force(usual: Uncertainty) -> None:
    gained = {}
    for name in (HIP, "thigh_circumference_mm", "sit_bone_spacing_mm"):
        after = uncertainty_of(taken(MAN, name), FLAT, samples=FEW)
        gained[name] = np.mean(1.0 - (even_widths(after) / even_widths(usual)) ** 2)
    assert usual.measure_next == max(gained, key=lambda name: gained[name]) == HIP
    assert usual.narrows_share == pytest.approx(gained[HIP], abs=0.04)


def test_a_measured_hip_breadth_narrows_every_interval() -> None:
    unstated = estimate_body(None, 1700.0, 72.0)
    said = [uncertainty_of(one, FLAT, samples=FEW) for one in (unstated, taken(unstated, HIP))]
    before, after = (even_widths(one) for one in said)
    assert np.all(after < 0.92 * before)
    assert 1.0 - np.mean((after / before) ** 2) == pytest.approx(said[0].narrows_share, abs=0.08)


def test_nothing_is_left_to_take_where_all_is_taken() -> None:
    aged = estimate_body("male", MAN.value("stature_mm"), MAN.value("mass_kg"), age_years=30)
    said = uncertainty_of(known_exactly(aged), FLAT, samples=FEW)
    assert (said.measure_next, said.narrows_share) == (None, 0.0)


def test_the_place_is_uncertain_along_and_across() -> None:
    true = known_exactly(MAN)
    ahead, right = (
        figures_of_draw(true, chance) for chance in ((0.0, 1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0, 0.0))
    )
    # 6 mm of sitting down, 8 % of the buttocks' reach behind the sit bones, 0.32 of hip breadth (B11).
    along = np.hypot(6.0, 0.08 * 0.32 * MAN.value(HIP))
    assert ahead[2] == pytest.approx(deepest_y_mm(true, moved=(0.0, float(along))), abs=1e-6)
    pressed = lay_over(true, FLAT, at_mm=(5.0, 0.0), spacing_mm=8.0)
    assert right[0] == pytest.approx(press(pressed, FLAT).figures.peak_kpa, rel=1e-9)


def test_stiffness_goes_by_the_exponential_of_its_spread() -> None:
    true = known_exactly(MAN)
    drawn = figures_of_draw(true, (1.0, 0.0, 0.0, 0.0, 0.0))
    stiffer = replace(TISSUE_LAW, modulus_mpa=TISSUE_LAW.modulus_mpa * np.exp(0.27))
    pressed = press(lay_over(true, FLAT, spacing_mm=8.0), FLAT, law=stiffer).figures
    assert drawn[0] == pytest.approx(pressed.peak_kpa, rel=1e-6)
    usual = press(lay_over(true, FLAT, spacing_mm=8.0), FLAT).figures
    assert drawn[1] == pytest.approx(pressed.contact_area_cm2, rel=1e-9)
    assert drawn[1] < 0.97 * usual.contact_area_cm2


def test_the_coarse_grid_says_what_the_usual_one_says() -> None:
    ratios = []
    for true in draw_bodies(MAN, 8, 5):
        coarse, usual = (figures_of_draw(true, cell_mm=cell) for cell in (8.0, 4.0))
        ratios.append(coarse / usual)
    assert np.mean(ratios, axis=0) == pytest.approx([0.98, 1.0, 1.0], abs=0.015)
    # The thinnest tissue makes the sharpest peaks, and stiffens the most.
    assert np.abs(np.array(ratios) - 1.0).max() < 0.11


@pytest.mark.parametrize("posture", ["upright", "legs apart"])
def test_the_deepest_place_is_that_of_the_fit(posture: str) -> None:
    assert uncertainty.LEG_HOLLOW_TURN == LEG_HOLLOW_TURN
    for true in draw_bodies(MAN, 4, 8):
        sitter = lay_over(true, FLAT, posture)
        on_flat = press(sitter, FLAT)
        turned = replace(on_flat, pose=replace(on_flat.pose, pitch=on_flat.pose.pitch + LEG_HOLLOW_TURN))
        reach = np.arange(-60.0, 60.0, 1.0)
        seen = impression(sitter, turned, np.arange(-110.0, 115.0, 5.0), sitter.at_mm[1] + reach)
        assert deepest_y_mm(true, posture) == pytest.approx(seen.lowest_y_mm, abs=2.0)
        assert abs(seen.lowest_y_mm - sitter.at_mm[1]) < 20.0


def test_the_place_does_not_depend_on_the_seat_but_the_pressure_does(
    usual: Uncertainty, carved_seat: Seat
) -> None:
    flat, carved = usual.intervals, uncertainty_of(MAN, carved_seat, samples=FEW).intervals
    assert carved["deepest_y_mm"] == pytest.approx(flat["deepest_y_mm"], abs=1e-6)
    assert carved["peak_kpa"][1] < flat["peak_kpa"][1]
    assert carved["contact_area_cm2"][0] > flat["contact_area_cm2"][0]


def test_same_seed_same_intervals(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uncertainty, "figures_of_draws", made_up)
    first, again, other = (uncertainty_of(MAN, FLAT, samples=FEW, seed=seed) for seed in (1, 1, 2))
    assert first == again
    assert first != other


def test_another_seed_says_nearly_the_same(usual: Uncertainty) -> None:
    other = uncertainty_of(MAN, FLAT, samples=FEW, seed=2)
    assert even_widths(other) == pytest.approx(even_widths(usual), rel=0.06)


def test_failed_balances_are_counted(usual: Uncertainty) -> None:
    said = uncertainty_of(MAN, FLAT, load_n=1700.0, samples=FEW)
    assert 0 < said.failed < FEW / 2
    assert said.samples == FEW
    assert usual.failed == 0
    with pytest.raises(NotSolvedError, match=r"of 40 possible sitters balance.*use a smaller load"):
        uncertainty_of(MAN, FLAT, load_n=4000.0, samples=FEW)


def test_the_report_is_plain_and_has_the_keys_of_the_reference(usual: Uncertainty) -> None:
    report = json.loads(json.dumps(uncertainty_report(usual)))
    assert list(report["interval_90"]) == ["peak_kpa", "contact_area_cm2", "deepest_y_mm"]
    assert all(low < high for low, high in report["interval_90"].values())
    assert report["measure_next"] in MEASURES
    assert (report["interval_samples"], report["interval_failed"]) == (FEW, 0)
    expected = figures_of_draw(known_exactly(MAN))
    for value, (low, high) in zip(expected, report["interval_90"].values(), strict=True):
        assert low < value < high


def test_tissue_that_is_known_narrows_the_peak(usual: Uncertainty) -> None:
    thickness = Measure(MAN.value(TISSUE), 1.0, "given")
    known = replace(MAN, measures={**MAN.measures, TISSUE: thickness})
    after = uncertainty_of(known, FLAT, samples=FEW)
    assert even_widths(after)[0] < 0.9 * even_widths(usual)[0]


@pytest.mark.parametrize("load", [0.0, -1.0, float("nan"), float("inf"), 1e9])
def test_refused_loads(load: float) -> None:
    with pytest.raises(InputError, match="load_n"):
        uncertainty_of(MAN, FLAT, load_n=load)


def test_refused_samples_seeds_and_postures() -> None:
    with pytest.raises(InputError, match="allowed are 38"):
        uncertainty_of(MAN, FLAT, samples=8)
    with pytest.raises(InputError, match="seed"):
        uncertainty_of(MAN, FLAT, seed=-1)
    with pytest.raises(InputError, match="upright"):
        uncertainty_of(MAN, FLAT, posture="uprigth", samples=FEW)


def test_all_drawn_measures_are_those_of_the_table() -> None:
    assert set(DRAWN) == set(MEASURES)


def test_a_drawn_sitter_is_pressed_evenly_by_the_mean_pressure(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    class Bed:
        def __init__(self, law: object, backing: Backing) -> None:
            self.count = len(backing.radius[0])

        def overlap_at(self, mpa: np.ndarray) -> np.ndarray:
            asked.append(mpa)
            return np.zeros(self.count)

    on_flat = press(lay_over(MAN, FLAT, spacing_mm=8.0), FLAT)
    monkeypatch.setattr(uncertainty, "TissueBed", Bed)
    deepest_y_mm(MAN)
    touched = on_flat.wood * (on_flat.pressure_kpa > 0.0)
    mean_kpa = float((on_flat.pressure_kpa * touched).sum() / touched.sum())
    assert asked[0] == pytest.approx(mean_kpa / 1000.0, rel=1e-5)
