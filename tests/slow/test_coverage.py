"""Do 90 % intervals hold 90 % of sitters? True sitters are made from the population, read with a tape, and pressed.

The truth is made without the code that draws possible sitters, and pressed on the usual, finer grid; where a fitted
seat would be deepest is taken from the fit's own impression of the body. Its flesh is of a kind that the running law
does not know: one of six that elements were pressed with, each with the constants that `tests/teacher/teach_law.py
--flesh` finds for it, and off those elements by as much as a law is.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace

import numpy as np
import pytest

from seatmesh.body.body import Z90, Body, Measure
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.population import AGE, FRAME, MASS, REST, STATURE, VARIABLES, load_population
from seatmesh.body.survey.sit_bone_tissue import TISSUE, TISSUE_BAND_MM, expected_tissue_mm, tissue_error_mm
from seatmesh.body.survey.sit_bones import SIT_BONES, SPACING
from seatmesh.body.survey.underside import (
    FLATNESS,
    FLATNESS_ERROR_PERCENT,
    USUAL_PERCENT,
)
from seatmesh.fit.hollow import LEG_HOLLOW_TURN
from seatmesh.fit.wished.target import impression
from seatmesh.seating.place import PART_ERROR, PLACE_ERROR_MM
from seatmesh.seating.sit import press
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sureness.model_error import LAW_AREA, LAW_PEAK
from seatmesh.seating.sureness.uncertainty import (
    FIGURES,
    SIDE_ERROR_MM,
    STIFFNESS_SPREAD,
    Uncertainty,
    uncertainty_of,
)
from seatmesh.surface import Seat, flat_seat
from seatmesh.tissue import TISSUE as LAW

STATES_SEX = 0.7
TAPES = 0.3
"""Share of makers who state the sex, and who take any one measure beside stature and mass."""


FLESH = (
    LAW,
    replace(LAW, modulus_mpa=0.007126, lift=0.3846, stiffening=4.495, power=2.041),
    replace(LAW, modulus_mpa=0.005167, lift=0.5735, stiffening=2.71, power=1.517),
    replace(LAW, modulus_mpa=0.006897, lift=0.4404, stiffening=7.476, power=2.018),
    replace(LAW, modulus_mpa=0.006068, lift=0.4656, stiffening=3.64, power=1.771),
    replace(LAW, modulus_mpa=0.007002, lift=0.4992, stiffening=4.067, power=1.824),
)
"""Usual, soft, mild, sliding at the hips, half fat, firm: `--flesh` of each in turn."""


@dataclass(frozen=True)
class Trial:
    """What came true of one sitter, shape (3,), and what was said beforehand."""

    truth: np.ndarray
    said: Uncertainty

    @property
    def inside(self) -> np.ndarray:
        ends = np.array([self.said.intervals[name] for name in FIGURES])
        return (ends[:, 0] <= self.truth) & (self.truth <= ends[:, 1])

    @property
    def off(self) -> np.ndarray:
        """By how many of its standard errors each truth lies above what was said, on scales that spread evenly."""
        low, high = even_scales(np.array([self.said.intervals[name] for name in FIGURES]).T)
        return (even_scales(self.truth) - (low + high) / 2.0) / ((high - low) / (2.0 * Z90))


def even_scales(figures: np.ndarray) -> np.ndarray:
    peak, area, deepest = np.moveaxis(figures, -1, 0)
    return np.stack([-(peak ** (-1.0 / 3.0)), np.log(area), deepest], axis=-1)


def true_body(rng: np.random.Generator) -> Body:
    sex = ("female", "male")[rng.integers(2)]
    population = load_population()[sex]
    drawn = rng.multivariate_normal(population.mean, population.covariance)
    # The scatter about what stature, mass and age lead one to expect is stretched by the build, measure by measure.
    frame = population.covariance[np.ix_(FRAME, FRAME)]
    slopes = np.linalg.solve(frame, population.covariance[np.ix_(FRAME, REST)])
    expected = population.mean[REST] + (drawn[FRAME] - population.mean[FRAME]) @ slopes
    heavier = drawn[MASS] - 2.0 * np.log(drawn[STATURE] / 1000.0)
    heavier = max(heavier, population.least_ln_bmi) - population.middle_ln_bmi
    older = (np.clip(drawn[AGE], 17.0, 58.0) - population.mean[AGE]) / 10.0
    stretch = np.exp(population.bmi_power * heavier + population.age_rise * older)
    drawn[REST] = expected + (drawn[REST] - expected) * stretch
    values = dict(zip(VARIABLES, drawn.tolist(), strict=True))
    values["mass_kg"] = float(np.exp(values["mass_kg"]))
    values["age_years"] = float(np.clip(values["age_years"], 17.0, 58.0))
    values[SPACING] = rng.normal(SIT_BONES[sex].mean_mm, SIT_BONES[sex].sd_mm)
    build = sex, values["stature_mm"], values["mass_kg"]
    values[TISSUE] = within(
        TISSUE_BAND_MM, rng, float(expected_tissue_mm(*build)), float(tissue_error_mm(*build))
    )
    values[FLATNESS] = within(
        (MEASURES[FLATNESS].lowest, MEASURES[FLATNESS].highest), rng, USUAL_PERCENT, FLATNESS_ERROR_PERCENT
    )
    return Body("truth", sex, {name: Measure(float(value), 0.0, "given") for name, value in values.items()})


def within(band: tuple[float, float], rng: np.random.Generator, middle: float, spread: float) -> float:
    while True:
        value = float(rng.normal(middle, spread))
        if band[0] <= value <= band[1]:
            return value


def as_read(true: Body, rng: np.random.Generator) -> Body:
    """Return the body that a maker makes of a sitter: some measures, each read with the error of a tape."""
    taken = {
        name: rng.normal(true.value(name), kind.tape_error)
        for name, kind in MEASURES.items()
        if name in ("stature_mm", "mass_kg") or (kind.by_hand and rng.random() < TAPES)
    }
    return estimate_body(true.sex if rng.random() < STATES_SEX else None, **taken)


def truth(true: Body, seat: Seat, rng: np.random.Generator) -> np.ndarray | None:
    """Return the figures of the true sitter, None where there is no balance."""
    kind = FLESH[rng.integers(len(FLESH))]
    law = replace(kind, modulus_mpa=kind.modulus_mpa * np.exp(rng.normal(0.0, STIFFNESS_SPREAD)))
    behind = 0.32 * true.value("hip_breadth_sitting_mm")  # B11
    at = (
        rng.normal(0.0, SIDE_ERROR_MM),
        rng.normal(0.0, PLACE_ERROR_MM) + behind * rng.normal(0.0, PART_ERROR),
    )
    sitter = lay_over(true, seat, at_mm=at)
    on_flat = press(sitter, Seat(seat.blank, seat.chair), law=law)
    on_seat = press(sitter, seat, law=law)
    if not (on_flat.converged and on_seat.converged):
        return None
    turned = replace(on_flat, pose=replace(on_flat.pose, pitch=on_flat.pose.pitch + LEG_HOLLOW_TURN))
    reach = np.arange(-82.0, 82.0, 2.0)
    seen = impression(sitter, turned, np.arange(-110.0, 115.0, 5.0), sitter.at_mm[1] + reach)
    off = np.exp([rng.normal(0.0, LAW_PEAK), rng.normal(0.0, LAW_AREA)])
    figures = on_seat.figures
    return np.array([figures.peak_kpa * off[0], figures.contact_area_cm2 * off[1], seen.lowest_y_mm])


def trials(number: int, seed: int, seats: tuple[Seat, ...], **how: int) -> list[Trial]:
    """Return that many trials, on each seat in turn; sitters whose truth finds no balance are left out."""
    rng = np.random.default_rng(seed)
    out = []
    for i in range(number):
        seat, true = seats[i % len(seats)], true_body(rng)
        came, known = truth(true, seat, rng), as_read(true, rng)
        if came is not None:
            out.append(Trial(came, uncertainty_of(known, seat, **how)))
    return out


@pytest.mark.slow
def test_intervals_hold_their_share_of_300_sitters(carved_seat: Seat) -> None:
    made = trials(300, 2026, (flat_seat(), carved_seat))
    inside = np.array([trial.inside for trial in made])
    off = np.array([trial.off for trial in made])
    failed = sum(trial.said.failed for trial in made)
    lines = [f"\n{len(made)} of 300 true sitters balance; {failed} of their drawn ones do not"]
    lines += [
        f"{name:18} inside {inside[:, i].mean():.1%}, all {off[:, i].mean():+.2f} +/- {off[:, i].std():.2f} "
        f"standard errors off, on the flat {inside[::2, i].mean():.1%}, carved {inside[1::2, i].mean():.1%}"
        for i, name in enumerate(FIGURES)
    ]
    sys.stdout.write("\n".join(lines) + "\n")
    assert len(made) >= 295
    assert np.all(inside.mean(axis=0) >= 0.85)
    assert np.all(inside.mean(axis=0) <= 0.95)
    # What lies outside does so on both sides: the middle is right as well as the width.
    assert np.all(np.abs(off.mean(axis=0)) < 0.25)


def test_intervals_are_neither_too_narrow_nor_too_wide() -> None:
    """Few sitters show by how far they are off what a mere count of those inside would not."""
    made = trials(16, 7, (flat_seat(),), samples=40)
    off = np.array([trial.off for trial in made])
    inside = np.mean([trial.inside for trial in made])
    assert 0.8 <= inside < 1.0
    assert 0.75 < np.sqrt(np.mean(off**2)) < 1.25
