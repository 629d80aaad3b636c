"""Do 90 % intervals hold 90 % of the survey's people? `python tests/verification/survey_coverage.py [MEASURES.csv]`.

People are estimated from sex, stature, mass and age by figures that were derived without them: five parts, each left
out once. They are counted by fifth of body mass index, by age band and by measure. A second table leaves the age out,
as a maker may. Last it is counted who is told to take a reading again when every measure is given as it is.
"""

from __future__ import annotations

import itertools
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from seatmesh.body.body import Sex
from seatmesh.body.people_words import body_mass_index
from seatmesh.body.survey import derive
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.body.survey.population import AGE, MASS, REST, SEXES, STATURE, VARIABLES, population_from_table

ROWS = Path(__file__).resolve().parents[3] / "shared" / "data" / "ansur2" / "measures.csv"
PARTS = 5
AGES = (17.0, 25.0, 30.0, 35.0, 45.0, 59.0)
WITHOUT_AGE = ("stature_mm", "mass_kg")
People = Mapping[Sex, np.ndarray]


@dataclass(frozen=True)
class Tried:
    """All people with what became of their estimates.

    Attributes
    ----------
    people
        Shape (n, 10) in the order of `VARIABLES`.
    inside
        Whether each of the seven estimated measures lay in its interval, shape (n, 7).
    fifth
        Fifth of body mass index within the sex, 0 to 4.
    """

    people: np.ndarray
    inside: np.ndarray
    fifth: np.ndarray

    def by_fifth(self) -> dict[str, np.ndarray]:
        """Return who is of which fifth of body mass index."""
        return {f"fifth {i + 1} of BMI": self.fifth == i for i in range(5)}

    def by_age(self) -> dict[str, np.ndarray]:
        """Return who is of which age."""
        age = self.people[:, AGE]
        return {
            f"{low:.0f} to {high - 1:.0f} years": (low <= age) & (age < high)
            for low, high in itertools.pairwise(AGES)
        }

    def share(self, who: np.ndarray) -> float:
        """Return the percentage of all estimates of some people that lay in their intervals."""
        return float(100.0 * self.inside[who].mean())


def left_out_in_turn(people: People, taken: Sequence[str] = derive.TAKEN, seed: int = 13) -> dict[Sex, Tried]:
    """Return everybody, each estimated by the figures of the four parts without them."""
    rng = np.random.default_rng(seed)
    parts = {sex: rng.permutation(len(people[sex])) % PARTS for sex in SEXES}
    inside = {sex: np.zeros((len(people[sex]), len(REST)), dtype=bool) for sex in SEXES}
    for part in range(PARTS):
        sexes = {
            sex: derive.figures(people[sex], people[sex][parts[sex] != part], people[sex][parts[sex] == part])
            for sex in SEXES
        }
        population = population_from_table({"sexes": sexes})
        for sex in SEXES:
            left_out = parts[sex] == part
            inside[sex][left_out] = derive.inside(population, sex, people[sex][left_out], taken)
    return {sex: Tried(people[sex], inside[sex], fifths(people[sex])) for sex in SEXES}


def fifths(people: np.ndarray) -> np.ndarray:
    """Return the fifth of body mass index of each of the people of one sex."""
    bmi = body_mass_index(people[:, STATURE], people[:, MASS])
    return np.searchsorted(np.quantile(bmi, [0.2, 0.4, 0.6, 0.8]), bmi)


def told_again(people: People, at_least: float, most: int = 400) -> dict[Sex, tuple[int, int]]:
    """Return how many of the people of such a BMI are told to take a reading again, and of how many."""
    out = {}
    for sex in SEXES:
        bmi = body_mass_index(people[sex][:, STATURE], people[sex][:, MASS])
        heavy = people[sex][bmi >= at_least][:most]
        bodies = (
            estimate_body(sex, **dict(zip(VARIABLES, person.tolist(), strict=True))) for person in heavy
        )
        out[sex] = (sum(any("take it again" in note for note in body.notes) for body in bodies), len(heavy))
    return out


def table(tried: Mapping[Sex, Tried]) -> str:
    """Return the percentages, all measures together and one by one, a row for each group of people."""
    names = [VARIABLES[i].removesuffix("_mm").replace("circumference", "girth")[:18] for i in REST]
    lines = [f"{'inside, %':28}{'people':>8}{'all':>7}  " + " ".join(f"{name:>18}" for name in names)]
    for sex, one in tried.items():
        for group, who in {**one.by_fifth(), **one.by_age()}.items():
            each = " ".join(f"{100.0 * share:18.1f}" for share in one.inside[who].mean(axis=0))
            lines.append(f"{sex + ', ' + group:28}{who.sum():8d}{one.share(who):7.1f}  {each}")
    return "\n".join(lines)


def main(arguments: Sequence[str]) -> int:
    people = derive.read_rows(Path(arguments[0]) if arguments else ROWS)
    text = "With the age given:\n" + table(left_out_in_turn(people))
    text += "\n\nWithout it:\n" + table(left_out_in_turn(people, WITHOUT_AGE)) + "\n"
    for bmi in (20.0, 30.0, 35.0):
        told = ", ".join(f"{again} of {of} {sex}" for sex, (again, of) in told_again(people, bmi).items())
        text += f"\nTold to take a reading again, BMI of {bmi:g} and more, all measures given: {told}"
    sys.stdout.write(text + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
