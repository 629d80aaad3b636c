"""Make the body files that come with the tool: ``python -m seatmesh.body.make_bodies [DIR]``.

A string quartet of four clearly different builds, and women and men at the 5th, 50th and 95th percentile. All
are invented or taken from the survey's percentiles; none is a person.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from seatmesh.body.body import Habit, Sex
from seatmesh.body.body_file import bodies_folder, body_toml
from seatmesh.body.survey.population import load_population
from seatmesh.errors import FileRefusedError, InputError


@dataclass(frozen=True)
class Player:
    """An invented player, known by instrument only.

    Attributes
    ----------
    instrument, build
        What the player is called, and what the file says of the build.
    sex, stature_mm, mass_kg
        Invented.
    taped
        Measures to write as if taped, mm: each within a standard error of what stature and mass lead one to
        expect, so that a person of that build may well have it.
    habit
        How the player sits, None for the usual way.
    """

    instrument: str
    build: str
    sex: Sex
    stature_mm: int
    mass_kg: float
    taped: Mapping[str, int] = field(default_factory=dict)
    habit: Habit | None = None


QUARTET = (
    Player(
        "violin 1", "a slight, short woman", "female", 1545, 49.0,
        {"hip_breadth_sitting_mm": 339, "popliteal_height_mm": 367},
    ),
    Player(
        "violin 2", "a tall, lean man", "male", 1905, 74.0,
        {"buttock_popliteal_length_mm": 556, "popliteal_height_mm": 492, "hip_breadth_sitting_mm": 349},
    ),
    Player(
        "viola", "a broad, heavy man", "male", 1760, 112.0,
        {"hip_breadth_sitting_mm": 439, "thigh_circumference_mm": 735, "popliteal_height_mm": 416},
    ),
    Player(
        "cello", "a woman of middle build who sits forward with thighs apart", "female", 1660, 64.0,
        {"hip_breadth_sitting_mm": 395, "buttock_popliteal_length_mm": 484},
        Habit(splay_deg=14.0, pelvis_tilt_deg=0.0, forward_mm=25.0),
    ),
)  # fmt: skip

PERCENTILES = (5, 50, 95)
_MADE = "Made by python -m seatmesh.body.make_bodies."


def player_file(player: Player) -> str:
    """Return the body file of a player."""
    comment = (f"{player.instrument}: {player.build}.", f"All measures are invented. {_MADE}")
    measures = {"stature_mm": player.stature_mm, "mass_kg": player.mass_kg, **player.taped}
    return body_toml(player.instrument, player.sex, measures, player.habit, comment)


def percentile_file(sex: Sex, percentile: int) -> str:
    """Return the body file of one percentile of both stature and body mass in the survey."""
    population = load_population()[sex]
    who = "woman" if sex == "female" else "man"
    comment = (
        f"A {who} at the {percentile}th percentile of the survey in both stature and body mass;",
        "the rest is estimated from them. No person is at one percentile in everything:",
        f"use it to try a seat's limits, not as a sitter. {_MADE}",
    )
    measures = {
        "stature_mm": round(population.quantile("stature_mm", percentile / 100)),
        "mass_kg": round(population.quantile("mass_kg", percentile / 100), 1),
    }
    return body_toml(f"{who}, {percentile}th percentile", sex, measures, comment=comment)


def body_files() -> dict[str, str]:
    """Return every file by its name."""
    files = {f"{player.instrument.replace(' ', '-')}.toml": player_file(player) for player in QUARTET}
    sexes: tuple[tuple[Sex, str], ...] = (("female", "woman"), ("male", "man"))
    for sex, who in sexes:
        files |= {
            f"{who}-p{percentile:02d}.toml": percentile_file(sex, percentile) for percentile in PERCENTILES
        }
    return files


def main(arguments: Sequence[str] | None = None) -> int:
    """Write the files to a folder, by default the one that comes with the tool."""
    parser = argparse.ArgumentParser(
        prog="python -m seatmesh.body.make_bodies", description="Make the body files."
    )
    parser.add_argument("folder", type=Path, nargs="?", default=None, help="where to write (default: bodies)")
    given = parser.parse_args(arguments)
    try:
        folder = given.folder or bodies_folder()
        _write(folder)
    except InputError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    sys.stderr.write(f"{len(body_files())} body files in {folder}\n")
    return 0


def _write(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in body_files().items():
            (folder / name).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise FileRefusedError(f"body files cannot be written to '{folder}': {error}.") from error


if __name__ == "__main__":
    sys.exit(main())
