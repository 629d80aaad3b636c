"""Do marks find the sitter again? True sitters sit down on a blank; their marks are read with 3 mm of error.

The marks are made here from plain trigonometry, without the code that the correction uses. What a sitter's measures are
said to be beforehand is what a tape and the survey say.
"""

from __future__ import annotations

import sys

import numpy as np
import pytest

from seatmesh.body.body import Body
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.population import VARIABLES, load_population
from seatmesh.body.survey.sit_bones import SIT_BONES
from seatmesh.marks.correction import Correction, correct
from seatmesh.marks.mark import Mark
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import contains

BLANK = Blank(width_mm=560.0, depth_mm=460.0, deck_mm=50.0)
TAPES = 0.3
"""Share of makers who take any one measure beside stature and mass."""
ASKED = ("sit_bone_spacing_mm", "splay_deg", "splay_left_deg", "splay_right_deg", "along_mm", "across_mm")
Points = list[tuple[str, str, float, float]]


def true_sitter(rng: np.random.Generator) -> dict[str, float]:
    """Return measures from the survey, and habits and proportions as far apart as people are said to be."""
    sex = ("female", "male")[rng.integers(2)]
    population = load_population()[sex]
    drawn = rng.multivariate_normal(population.mean, population.covariance)
    true = dict(zip(VARIABLES, drawn.tolist(), strict=True))
    true["mass_kg"] = float(np.exp(true["mass_kg"]))
    # Nobody's, and no print's, is said to be below 70 mm.
    true["sit_bone_spacing_mm"] = max(rng.normal(SIT_BONES[sex].mean_mm, SIT_BONES[sex].sd_mm), 84.0)
    splays = np.full(2, -90.0)
    while not -9.0 < splays.mean() < 45.0:  # -10 to 45 is what anybody is said to have
        splays = rng.normal(rng.normal(6.0, 6.0), 3.0, 2)
    true |= {"splay_left_deg": float(splays[0]), "splay_right_deg": float(splays[1])}
    true |= {
        "across_mm": rng.normal(0.0, 5.0),
        "forward_mm": rng.normal(0.0, 6.0),
        "turn_deg": rng.normal(0.0, 2.0),
    }
    true |= {
        "buttock_behind_share": 0.32 * (1.0 + rng.normal(0.0, 0.08)),
        "touching_share": rng.normal(0.65, 0.08),
    }
    behind = true["buttock_behind_share"] * true["hip_breadth_sitting_mm"]
    true["along_mm"] = 35.0 + behind + true["forward_mm"]  # 15 mm over a deck of 50
    true["splay_deg"] = 0.5 * (true["splay_left_deg"] + true["splay_right_deg"])
    true["splay_right_minus_left_deg"] = true["splay_right_deg"] - true["splay_left_deg"]
    return true | {"female": float(sex == "female")}


def as_read(true: dict[str, float], rng: np.random.Generator) -> Body:
    taken = {
        name: rng.normal(true[name], kind.tape_error)
        for name, kind in MEASURES.items()
        if name in true and (name in ("stature_mm", "mass_kg") or rng.random() < TAPES)
    }
    return estimate_body("female" if true["female"] else "male", **taken)


def true_points(true: dict[str, float], rng: np.random.Generator) -> Points:
    """Return where the sitter really touches down: x right and y forward of the middle between the sit bones."""
    hip = true["hip_breadth_sitting_mm"]
    height, girth = 0.5 * true["thigh_clearance_mm"], true["thigh_circumference_mm"] / (2.0 * np.pi)
    width, knee_width = (
        np.sqrt(2.0 * girth**2 - height**2),
        true["lower_thigh_circumference_mm"] / (2.0 * np.pi),
    )
    width = max(width, height)
    axis_x = max(0.5 * hip - width, 0.5 * width)
    long = true["buttock_popliteal_length_mm"] - true["buttock_behind_share"] * hip - 15.0
    points = [("end of the spine", "middle", rng.normal(0.0, 3.0), rng.normal(-65.0, 8.0))]
    for side, sign in (("left", -1.0), ("right", 1.0)):
        splay = np.radians(true[f"splay_{side}_deg"])
        ahead, out = long * np.cos(splay), long * np.sin(splay)
        points.append(("hip end", side, sign * (0.5 * hip + rng.normal(0.0, 3.0)), rng.normal(0.0, 15.0)))
        points.append(("sit bone", side, sign * 0.5 * true["sit_bone_spacing_mm"], 0.0))
        points.append(("knee-back line", side, sign * (axis_x + out), 15.0 + ahead))
        for y in (80.0, 160.0, 240.0):
            share = (y - 15.0) / ahead
            half = true["touching_share"] * (width + share * (knee_width - width))
            points.append(("inner thigh line", side, sign * max(axis_x + share * out - half, 2.0), y))
            points.append(("outer thigh line", side, sign * (axis_x + share * out + half), y))
    return points


def marks_read(true: dict[str, float], rng: np.random.Generator, noise_mm: float = 3.0) -> list[Mark]:
    """Return the marks on the blank, as read; those that miss it cannot be made."""
    turn = np.radians(true["turn_deg"])
    marks = []
    for name, side, x, y in true_points(true, rng):
        on_x = true["across_mm"] + x * np.cos(turn) + y * np.sin(turn) + rng.normal(0.0, noise_mm)
        on_y = true["along_mm"] + y * np.cos(turn) - x * np.sin(turn) + rng.normal(0.0, noise_mm)
        knee = name == "knee-back line" and on_y > 0.5 * BLANK.depth_mm and abs(on_x) <= 0.5 * BLANK.width_mm
        if knee or contains(BLANK.polygon_mm(), np.array(on_x), np.array(on_y)):
            marks.append(Mark(name, side, float(on_x), float(on_y)))  # type: ignore[arg-type]
    return marks


def trials(number: int, seed: int) -> tuple[dict[str, np.ndarray], list[Correction]]:
    """Return by how many of its standard errors each estimate is off the truth, and the corrections."""
    rng = np.random.default_rng(seed)
    off: dict[str, list[float]] = {}
    corrections = []
    for _ in range(number):
        true = true_sitter(rng)
        body, marks = as_read(true, rng), marks_read(true, rng)
        found = correct(body, marks, BLANK)
        corrections.append(found)
        for name, one in found.estimates.items():
            off.setdefault(name, []).append((one.value - true[name]) / one.standard_error)
    return {name: np.array(values) for name, values in off.items()}, corrections


@pytest.mark.slow
def test_each_parameter_lies_within_two_standard_errors_in_92_to_98_percent_of_500_trials() -> None:
    off, corrections = trials(500, 41)
    asked = np.mean([len(one.questions) for one in corrections])
    lines = ["", f"500 sitters; {asked:.2f} readings questioned in each"]
    for name, values in off.items():
        after = np.median([one.estimates[name].standard_error for one in corrections])
        before = np.median([one.estimates[name].before_error for one in corrections])
        lines.append(
            f"{name:32} within 2 standard errors {np.mean(np.abs(values) <= 2.0):.1%}, all {values.mean():+.2f} +/- "
            f"{values.std():.2f}; median standard error {after:.3g}, {before:.3g} before"
        )
    sys.stdout.write("\n".join([*lines, ""]))
    for name, values in off.items():
        assert 0.92 <= np.mean(np.abs(values) <= 2.0) <= 0.98, name
        assert abs(values.mean()) < 0.2, name


def test_fewer_trials_are_neither_too_sure_nor_too_shy() -> None:
    off, _ = trials(40, 7)
    asked = np.stack([off[name] for name in ASKED])
    assert 0.85 < np.sqrt(np.mean(asked**2)) < 1.15
    assert np.all(np.sqrt(np.mean(asked**2, axis=1)) < 1.35)
    assert np.all(np.abs(asked.mean(axis=1)) < 0.5)
