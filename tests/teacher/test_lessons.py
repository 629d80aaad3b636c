"""What the elements taught, as the table keeps it: directions that were measured on people, and bands of theirs."""

from __future__ import annotations

import csv
from collections import defaultdict

import pytest
from lessons import TABLE
from press_bodies import BODIES

Row = dict[str, str]


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    """Return the rows of the usual flesh."""
    with TABLE.open(encoding="utf-8") as table:
        return [row for row in csv.DictReader(table) if row["flesh"] == "usual"]


@pytest.fixture(scope="module")
def upright(rows: list[Row]) -> dict[str, dict[str, Row]]:
    """Return the rows of upright bodies by body and seat."""
    found: dict[str, dict[str, Row]] = defaultdict(dict)
    for row in rows:
        if row["posture"] == "upright":
            found[row["body"]][row["seat"]] = row
    return found


def test_there_are_bodies_and_seats_enough_to_teach(upright: dict[str, dict[str, Row]]) -> None:
    assert len(upright) >= 6
    assert all({"flat", "deep", "fitted"} <= set(seats) for seats in upright.values() if len(seats) > 1)


def test_a_shaped_seat_gives_more_area_and_less_pressure(upright: dict[str, dict[str, Row]]) -> None:
    """S10 (Work 2020;66:161-171), the direction: flat, 10 mm, 18 mm, fitted, each better than the one before."""
    for seats in upright.values():
        known = [seats[name] for name in ("flat", "shallow", "deep", "fitted") if name in seats]
        peaks = [float(row["peak_kpa"]) for row in known]
        areas = [float(row["area_cm2"]) for row in known]
        assert peaks == sorted(peaks, reverse=True)
        assert areas == sorted(areas)


def test_figures_on_the_flat_lie_where_people_s_do(upright: dict[str, dict[str, Row]]) -> None:
    """S7: peaks of 20 to 100 kPa; S3 and S4: means of 6.5 and 7.5 kPa, spread 1.7; B6: tissue left 0.35 to 0.65.

    The rows know hardly anybody of a BMI above 35: such bodies are left out.
    """
    usual = [one.name for one in BODIES if one.mass_kg / (one.stature_mm / 1000.0) ** 2 <= 35.0]
    known = [upright[name]["flat"] for name in usual if "flat" in upright.get(name, {})]
    assert len(known) >= 10
    for flat in known:
        assert 20.0 <= float(flat["peak_kpa"]) <= 100.0
        assert 4.8 <= float(flat["mean_kpa"]) <= 9.2
        assert 0.35 <= float(flat["tissue_left_mm"]) / float(flat["tissue_free_mm"]) <= 0.65


def test_the_hot_spot_is_under_the_sit_bone_on_the_flat(upright: dict[str, dict[str, Row]]) -> None:
    for seats in upright.values():
        assert abs(float(seats["flat"]["peak_y_mm"])) < 20.0
