"""What is said of sizes, in words for a maker."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from seatmesh.people.told.words import percent
from seatmesh.units import format_length, format_mass, wrapped

WIDTH = 96
SURE = 2.0
"""Standard errors from which a gain counts as one."""
OF = {"stature_mm": "stature", "mass_kg": "mass"}
NEXT = {2: "second", 3: "third", 4: "fourth"}


def sizes_text(report: dict[str, Any], units: str = "mm") -> str:
    """Return the table of gains, and the rule of each set, with lengths and masses in the seat's units."""
    lines = [
        f"Sizes, chosen on {report['chosen_on']:,} people and judged on {report['judged_on']:,} others "
        "(± one standard error of the drawing)",
        f"{'sizes':>7}{'served by the rule':>22}{'each on the best':>20}{'gain':>16}{'worst tenth':>14}",
        f"{'yours':>7}{_share(report['asked_seat']):>22}{'':>20}{'':>16}{_worst(report['asked_seat']):>14}",
    ]
    for one in report["sets"]:
        gain = "-" if one["gain"] is None else _gain(one)
        lines.append(
            f"{one['sizes']:>7}{_share(one['by_rule']):>22}{_share(one['best']):>20}{gain:>16}{_worst(one):>14}"
        )
    rules = (wrapped(_rule(one, units), WIDTH, first="  ", then="    ") for one in report["sets"])
    lines += ["", *(line for rule in rules for line in rule)]
    return "\n".join([*lines, "", *wrapped(verdict(report), WIDTH)])


def _share(facts: dict[str, Any]) -> str:
    return percent(facts["share"], facts["standard_error"])


def _worst(facts: dict[str, Any]) -> str:
    worst = facts["worst_tenth_peak_over_own_best"]
    return "-" if worst is None else f"{worst:.2f} x own"


def _gain(one: dict[str, Any]) -> str:
    return f"{100 * one['gain']:+.1f} ± {100 * one['gain_standard_error']:.1f}"


def _rule(one: dict[str, Any], units: str) -> str:
    """Return who takes which seat of a set."""
    seats = [_seat(seat, units) for seat in one["seats"]]
    if len(seats) == 1:
        return f"One: everybody takes {seats[0]}."
    measure = one["rule"]["measure"]
    bounds = [
        format_length(bound, units, 2, 0) if measure == "stature_mm" else format_mass(bound, units, 0)
        for bound in one["rule"]["bounds"]
    ]
    who = [
        f"below {bounds[0]}",
        *(f"{a} to {b}" for a, b in pairwise(bounds)),
        f"from {bounds[-1]}",
    ]
    parts = "; ".join(f"{who_one}: {seat}" for who_one, seat in zip(who, seats, strict=True))
    return f"{len(seats)}, by {OF[measure]}: {parts}."


def _seat(seat: dict[str, Any], units: str) -> str:
    width, depth, height = (
        format_length(seat[name], units, 8, 0) for name in ("width_mm", "depth_mm", "front_height_mm")
    )
    return f"the seat for {_whom(seat['shaped_for'])} ({width} wide, {depth} deep, front edge {height} high)"


def verdict(report: dict[str, Any]) -> str:
    """Return what each further size gains, and whether chance in drawing people explains as much."""
    further, one_size = report["sets"][1:], report["sets"][0]["by_rule"]["share"]
    lines = []
    if report["asked_seat"]["share"] >= one_size:
        lines.append("Your own seat serves as many as the best one size does: nothing is gained by that one.")
    if not further:
        return " ".join([*lines, "Only one size was asked for."])
    for one in further:
        sure = one["gain"] > SURE * one["gain_standard_error"]
        lines.append(
            f"A {NEXT[one['sizes']]} size gains {_gain(one)} points over {one['sizes'] - 1}: "
            + (
                "more than chance in drawing explains."
                if sure
                else "that is within chance; do not count on it."
            )
        )
    if not any(one["gain"] > SURE * one["gain_standard_error"] for one in further):
        lines.append("Draw more people, or make one size.")
    return " ".join(lines)


def _whom(stretch: str) -> str:
    """Return whom a seat was shaped for, as a sentence takes it."""
    return stretch if stretch == "all" else f"the {stretch}"
