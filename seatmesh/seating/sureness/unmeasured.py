"""What the quantities that nobody measured do to the peak: each is moved by about as much as it may well be off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.body.body import Body
from seatmesh.body.measures import MEASURES
from seatmesh.seating.grid import SPACING_MM
from seatmesh.seating.sit_many import sit_many
from seatmesh.seating.sureness.uncertainty import CELL_MM, STIFFNESS_SPREAD
from seatmesh.surface import Seat

STIFFNESS = "flesh_stiffness_percent"
STIFFNESS_TITLE = "stiffness of the flesh"
MATTERS = 0.02
"""Share of the peak above which the usual, finer grid is pressed."""
HANDY = 5.0
"""Steps are whole multiples of it, mm or percent: the one nearest to the standard error, at least one."""


@dataclass(frozen=True)
class Unmeasured:
    """One quantity of a sitter that was not measured.

    Attributes
    ----------
    name, title
        Its key in a body file and what a maker calls it; the stiffness of the flesh has a key in reports only.
    value, standard_error
        What is taken for it, in the unit that `name` ends in.
    step
        By how much it was moved.
    more_kpa, less_kpa
        By how much the peak rises where there is one step more of it, and one step less; None without a balance.
    """

    name: str
    title: str
    value: float
    standard_error: float
    step: float
    more_kpa: float | None
    less_kpa: float | None

    @property
    def weight_kpa(self) -> float:
        """Return how much it moves the peak either way, on average."""
        moved = [abs(one) for one in (self.more_kpa, self.less_kpa) if one is not None]
        return sum(moved) / len(moved) if moved else float("inf")


def unmeasured_of(
    body: Body, seat: Seat, *, load_n: float | None = None, posture: str = "upright"
) -> tuple[Unmeasured, ...]:
    """Return what was not measured of a body, what moves the peak on a seat most first.

    Each is moved by itself, up and down, and the body is pressed again with the running law. What the body estimates
    from one another is not moved along. What hardly moves the peak is told from a coarse grid. Empty where the body
    itself finds no balance.
    """
    peak_kpa, rough = _told(body, _open_quantities(body), seat, load_n, posture, CELL_MM)
    if not math.isfinite(peak_kpa):
        return ()
    matter = [one for one in rough if one.weight_kpa >= MATTERS * peak_kpa]
    fine = (
        {one.name: one for one in _told(body, matter, seat, load_n, posture, SPACING_MM)[1]} if matter else {}
    )
    return tuple(sorted((fine.get(one.name, one) for one in rough), key=lambda one: -one.weight_kpa))


def _told(
    body: Body,
    quantities: Sequence[Unmeasured],
    seat: Seat,
    load_n: float | None,
    posture: str,
    spacing_mm: float,
) -> tuple[float, list[Unmeasured]]:
    """Return the peak as the body is, not a number without a balance, and what a step more and less of each does."""
    moved = [_moved(body, one, sign * one.step) for one in quantities for sign in (1.0, -1.0)]
    bodies, stiffness = zip((body, 1.0), *moved, strict=True)
    pressed = sit_many(
        bodies,
        seat,
        load_n=load_n,
        posture=posture,
        spacing_mm=spacing_mm,
        stiffness=np.array(stiffness),
        threads=1,
    )
    peaks: list[float] = pressed.peak_kpa.tolist()
    rises = [peak - peaks[0] if math.isfinite(peak) else None for peak in peaks[1:]]
    return peaks[0], [
        replace(one, more_kpa=more, less_kpa=less)
        for one, more, less in zip(quantities, rises[::2], rises[1::2], strict=True)
    ]


def _open_quantities(body: Body) -> list[Unmeasured]:
    """Return all that was not measured, with steps, and no effects yet."""
    known = [
        (name, MEASURES[name].title, one.value, one.standard_error)
        for name, one in body.measures.items()
        if one.origin == "estimated"
    ]
    known.append((STIFFNESS, STIFFNESS_TITLE, 100.0, 100.0 * STIFFNESS_SPREAD))
    steps = [(one, _step(*one)) for one in known]
    return [Unmeasured(*one, step, None, None) for one, step in steps if step >= HANDY]


def _step(name: str, _title: str, value: float, error: float) -> float:
    """Return the handy step nearest to the standard error that leaves a plausible value on both sides."""
    step = max(HANDY * round(error / HANDY), HANDY)
    if name == STIFFNESS:
        return step
    kind = MEASURES[name]
    room = min(kind.highest - value, value - kind.lowest)
    return min(step, HANDY * math.floor(room / HANDY))


def _moved(body: Body, one: Unmeasured, step: float) -> tuple[Body, float]:
    """Return the body with a step more of a quantity, and how stiff its flesh is then over the usual."""
    if one.name == STIFFNESS:
        return body, 1.0 + step / 100.0
    measure = replace(body.measures[one.name], value=one.value + step)
    return replace(body, measures={**body.measures, one.name: measure}), 1.0
