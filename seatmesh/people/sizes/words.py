"""What is said of sizes, in words for a maker."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from seatmesh.people.told.words import percent
from seatmesh.units import wrapped

WIDTH = 96
SURE = 2.0
"""Standard errors from which a gain counts as one."""
OF = {"stature_mm": ("stature", "mm"), "mass_kg": ("mass", "kg")}


def sizes_text(report: dict[str, Any]) -> str:
    """Return the table of gains, and the rule of each set."""
    lines = [
        f"Sizes, chosen on {report['chosen_on']} people and judged on {report['judged_on']} others "
        "(± one standard error of the drawing)",
        f"{'sizes':>7}{'served by the rule':>22}{'each on the best':>20}{'gain':>16}{'worst tenth':>14}",
        f"{'asked':>7}{_share(report['asked_seat']):>22}{'':>20}{'':>16}{'':>14}",
    ]
    for one in report["sets"]:
        gain = (
            "-"
            if one["gain"] is None
            else f"{100 * one['gain']:+.1f} ± {100 * one['gain_standard_error']:.1f}"
        )
        worst = one["worst_tenth_peak_over_own_best"]
        lines.append(
            f"{one['sizes']:>7}{_share(one['by_rule']):>22}{_share(one['best']):>20}{gain:>16}"
            f"{'-' if worst is None else f'{worst:.2f} x own':>14}"
        )
    lines += [
        "",
        *(line for one in report["sets"] for line in wrapped(_rule(one), WIDTH, first="  ", then="    ")),
    ]
    return "\n".join([*lines, "", *wrapped(verdict(report), WIDTH)])


def _share(facts: dict[str, Any]) -> str:
    return percent(facts["share"], facts["standard_error"])


def _rule(one: dict[str, Any]) -> str:
    """Return who takes which seat of a set."""
    seats = [_seat(seat) for seat in one["seats"]]
    if len(seats) == 1:
        return f"One: everybody takes {seats[0]}."
    word, unit = OF[one["rule"]["measure"]]
    bounds = [f"{bound:.0f} {unit}" for bound in one["rule"]["bounds"]]
    who = [
        f"below {bounds[0]}",
        *(f"{a} to {b}" for a, b in pairwise(bounds)),
        f"from {bounds[-1]}",
    ]
    parts = "; ".join(f"{who_one}: {seat}" for who_one, seat in zip(who, seats, strict=True))
    return f"{len(seats)}, by {word}: {parts}."


def _seat(seat: dict[str, Any]) -> str:
    return (
        f"the seat for {_whom(seat['shaped_for'])} ({seat['width_mm']:.0f} x {seat['depth_mm']:.0f} mm, front edge "
        f"{seat['front_height_mm']:.0f} mm high)"
    )


def verdict(report: dict[str, Any]) -> str:
    """Return up to how many sizes each further one is surely worth something."""
    worth = 1
    for one in report["sets"][1:]:
        if one["gain"] <= SURE * one["gain_standard_error"]:
            break
        worth = one["sizes"]
    tried = report["sets"][-1]["sizes"]
    if tried == 1:
        return "Only one size was asked for."
    if worth == 1:
        return "A second size gains no more than chance in drawing people might; draw more people, or make one size."
    last = report["sets"][worth - 1]
    return (
        f"Up to {worth} sizes each further one serves more people than chance in drawing explains; the last gains "
        f"{100 * last['gain']:.1f} points."
        + ("" if worth == tried else " What the next would gain is within chance.")
    )


def _whom(stretch: str) -> str:
    """Return whom a seat was shaped for, as a sentence takes it."""
    return stretch if stretch == "all" else f"the {stretch}"
