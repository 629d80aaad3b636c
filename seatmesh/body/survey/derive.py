"""Derive `population.json` from the survey's rows: ``python -m seatmesh.body.survey.derive MEASURES.csv [--check]``.

Four fifths of each sex, drawn with a fixed seed, give means and covariance; the fifth left out shows how well
the 90 % intervals hold that `estimate_body` makes from sex, stature, mass and age. Logarithms of the other
measures were tried and cover no better (90.6 against 90.7 % on average over 30 draws), so only the mass has
one. Rows stay where they are: only figures are written, with six significant digits, so that the bytes do not
hang on the machine.
"""

from __future__ import annotations

import argparse
import csv
import json
import random
import re
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from seatmesh.arrays import Bools, Floats
from seatmesh.body.body import Measure, Sex
from seatmesh.body.measures import MEASURES, SURVEYED
from seatmesh.body.survey.estimate import estimate_from
from seatmesh.body.survey.population import (
    AGE,
    FRAME,
    MASS,
    REST,
    SEXES,
    STATURE,
    VARIABLES,
    YEARS_OF_SPREAD,
    Population,
    population_from_table,
)
from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, ValueRefusedError

SOURCE = (
    "2012 Anthropometric Survey of U.S. Army Personnel, public release: Gordon et al. 2014, "
    "NATICK/TR-15/007. Soldiers aged 17 to 58, leaner than the public."
)
UNITS = "mm; years; kg, its natural logarithm in mean and covariance"
SEED = 2012
FITTED_SHARE = 0.8
LEAST_BMI_SHARE = 0.02
"""Leaner people than this share of the survey scatter no less than those at its end."""
SCORING_STEPS = 30
TAKEN = ("stature_mm", "mass_kg", "age_years")
DIGITS = 6
_ROW_OF_FIGURES = re.compile(r"\[[^\[\]{}]*\]")
TARGET = Path(__file__).with_name("population.json")


def read_rows(path: Path) -> dict[Sex, Floats]:
    """Return the survey's people by sex, shape (people, 10) in the order of `VARIABLES`; mm, kg and years."""
    columns = [str(kind.survey_column) for kind in SURVEYED]
    scales = np.array([kind.survey_scale for kind in SURVEYED])
    rows: dict[Sex, list[list[float]]] = {sex: [] for sex in SEXES}
    try:
        with path.open(newline="", encoding="utf-8") as file:
            reader = csv.DictReader(file)
            for column in ("sex", *columns):
                if column not in (reader.fieldnames or ()):
                    raise MissingKeyError(column, str(path), "give the survey's table with its column names")
            for row in reader:
                rows[_sex_of(row["sex"])].append([float(row[column]) for column in columns])
    except (OSError, ValueError, TypeError, csv.Error) as error:
        raise FileRefusedError(f"survey table '{path}' cannot be read: {error}.") from error
    return {sex: np.array(people) * scales for sex, people in rows.items()}


def _sex_of(text: str) -> Sex:
    if text == "male":
        return "male"
    if text == "female":
        return "female"
    raise ValueRefusedError("sex", text, "allowed are male and female", "correct the survey's table")


def draw(people: Floats) -> tuple[Floats, Floats]:
    """Return the people to fit and those left out, drawn with the fixed seed."""
    generator = random.Random(SEED)
    keys = [generator.random() for _ in people]
    order = np.argsort(keys, kind="stable")
    fitted = round(FITTED_SHARE * len(people))
    return people[np.sort(order[:fitted])], people[np.sort(order[fitted:])]


def derive(people: Mapping[Sex, Floats]) -> dict[str, Any]:
    """Return the table of `population.json` from all rows by sex."""
    drawn = {sex: draw(people[sex]) for sex in SEXES}
    sexes = {sex: figures(people[sex], *drawn[sex]) for sex in SEXES}
    table = {"source": SOURCE, "seed": SEED, "units": UNITS}
    population = population_from_table({**table, "sexes": sexes})
    for sex in SEXES:
        covered = coverage(population, sex, drawn[sex][1])
        sexes[sex]["coverage_90_percent"] = {name: round(percent, 1) for name, percent in covered.items()}
    return {**table, "sexes": sexes}


def figures(people: Floats, fitted: Floats, left_out: Floats) -> dict[str, Any]:
    """Return one sex's part of the table, but for the coverage, from those fitted; the ranges are of all people."""
    normal = fitted.copy()
    normal[:, MASS] = np.log(normal[:, MASS])
    mean, covariance = normal.mean(axis=0), np.cov(normal, rowvar=False)
    ln_bmi = normal[:, MASS] - 2.0 * np.log(normal[:, STATURE] / 1000.0)
    older = (normal[:, AGE] - mean[AGE]) / YEARS_OF_SPREAD
    causes = np.column_stack([ln_bmi - ln_bmi.mean(), older])
    frame = covariance[np.ix_(FRAME, FRAME)]
    slopes = np.linalg.solve(frame, covariance[np.ix_(FRAME, REST)])
    off = normal[:, REST] - mean[REST] - (normal[:, FRAME] - mean[FRAME]) @ slopes
    powers = np.array([scatter_powers(causes, column) for column in off.T])
    even = np.cov(off / np.exp(causes @ powers.T), rowvar=False)
    covariance[np.ix_(REST, REST)] = slopes.T @ frame @ slopes + even
    return {
        "fitted": len(fitted),
        "left_out": len(left_out),
        "range": {
            name: [round(float(low), 1), round(float(high), 1)]
            for name, low, high in zip(VARIABLES, people.min(axis=0), people.max(axis=0), strict=True)
        },
        "mean": {name: _rounded(value) for name, value in zip(VARIABLES, mean, strict=True)},
        "middle_ln_bmi": _rounded(float(ln_bmi.mean())),
        "least_ln_bmi": _rounded(float(np.quantile(ln_bmi, LEAST_BMI_SHARE))),
        "scatter_by_ln_bmi": _by_name(powers[:, 0]),
        "scatter_by_ten_years": _by_name(powers[:, 1]),
        "covariance_lower_triangle": [
            [_rounded(value) for value in row[: i + 1]] for i, row in enumerate(covariance)
        ],
    }


def scatter_powers(causes: Floats, off: Floats) -> Floats:
    """Return q, shape (k,), with which residuals, shape (n,), scatter in proportion to exp(causes @ q).

    The greatest likelihood of normal residuals with ln variance linear in the causes, by Fisher's scoring (Harvey 1976,
    Econometrica 44:461): each step regresses off^2 / variance - 1 on the causes.
    """
    design = np.column_stack([np.ones(len(off)), causes])
    log_variance = np.zeros(design.shape[1])
    log_variance[0] = np.log(np.mean(off**2))
    for _ in range(SCORING_STEPS):
        excess = off**2 / np.exp(design @ log_variance) - 1.0
        log_variance = log_variance + np.linalg.lstsq(design, excess, rcond=None)[0]
    return np.asarray(0.5 * log_variance[1:])


def _by_name(powers: Floats) -> dict[str, float]:
    return {VARIABLES[i]: _rounded(float(power)) for i, power in zip(REST, powers, strict=True)}


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def coverage(population: Mapping[Sex, Population], sex: Sex | None, people: Floats) -> dict[str, float]:
    """Return, per estimated measure, the percentage of people inside the 90 % interval from `TAKEN`.

    The intervals are those that a maker gets: with the usual errors of what was taken.
    """
    shares = inside(population, sex, people, TAKEN).mean(axis=0)
    return {VARIABLES[i]: float(100.0 * share) for i, share in zip(REST, shares, strict=True)}


def inside(
    population: Mapping[Sex, Population], sex: Sex | None, people: Floats, taken: Sequence[str]
) -> Bools:
    """Return whether each of `REST` of each of the people, shape (n, 7), lies in its interval from what was taken."""
    out = np.zeros((len(people), len(REST)), dtype=bool)
    for row, person in zip(out, people, strict=True):
        known = {
            name: Measure(float(person[VARIABLES.index(name)]), MEASURES[name].tape_error, "measured")
            for name in taken
        }
        measures = estimate_from(population, sex, known).measures
        ends = [(measures[VARIABLES[i]].low_90, measures[VARIABLES[i]].high_90) for i in REST]
        row[:] = [low <= person[i] <= high for i, (low, high) in zip(REST, ends, strict=True)]
    return out


def written(table: Mapping[str, Any]) -> str:
    """Return the table as JSON, each row of figures on a line of its own."""
    text = json.dumps(table, indent=1, ensure_ascii=False)
    return (
        _ROW_OF_FIGURES.sub(
            lambda row: re.sub(r"\s+", " ", row[0]).replace("[ ", "[").replace(" ]", "]"), text
        )
        + "\n"
    )


def coverage_text(covered: Mapping[Sex, Mapping[str, float]]) -> str:
    """Return a small table of the percentages, one line a measure."""
    head = f"{'inside the 90 % interval, %':32}" + "".join(f"{sex:>8}" for sex in covered)
    lines = [
        f"{VARIABLES[i]:32}" + "".join(f"{covered[sex][VARIABLES[i]]:8.1f}" for sex in covered) for i in REST
    ]
    return "\n".join([head, *lines]) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Write `population.json`; with ``--check`` only show how the committed one covers those left out."""
    parser = argparse.ArgumentParser(
        prog="python -m seatmesh.body.survey.derive",
        description="Derive population.json from the survey's rows.",
    )
    parser.add_argument("measures", type=Path, help="the survey's table (CSV)")
    parser.add_argument(
        "--check", action="store_true", help="write nothing; show the coverage of the people left out"
    )
    parser.add_argument("--to", type=Path, default=TARGET, help="where to write (default: beside this file)")
    given = parser.parse_args(arguments)
    try:
        people = read_rows(given.measures)
        if not given.check:
            _write(given.to, written(derive(people)))
    except InputError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    population = population_from_table(json.loads(given.to.read_text(encoding="utf-8")))
    covered = {sex: coverage(population, sex, draw(people[sex])[1]) for sex in SEXES}
    sys.stdout.write(coverage_text(covered))
    return 0


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise FileRefusedError(f"survey figures cannot be written to '{path}': {error}.") from error


if __name__ == "__main__":
    sys.exit(main())
