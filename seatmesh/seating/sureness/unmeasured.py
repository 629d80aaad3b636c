"""What the quantities that nobody measured do to the peak: each is moved by about as much as it may well be off."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from seatmesh.body.body import Body
from seatmesh.body.measures import MEASURES
from seatmesh.contact import Pose
from seatmesh.seating.grid import SPACING_MM
from seatmesh.seating.settle import Settled, settle
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.sureness.uncertainty import CELL_MM, STIFFNESS_SPREAD, stiffer_flesh
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

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
    pressing = _Pressing(seat, load_n, posture, CELL_MM)
    base = pressing.settled(body)
    if not base.solution.converged:
        return ()
    rough = [_found(one, body, pressing, base) for one in _open_quantities(body)]
    fine = replace(pressing, spacing_mm=SPACING_MM)
    true = fine.settled(body, start=base.solution.value)
    found = [
        _found(one, body, fine, true) if one.weight_kpa >= MATTERS * base.peak_kpa else one for one in rough
    ]
    return tuple(sorted(found, key=lambda one: -one.weight_kpa))


@dataclass(frozen=True)
class _Pressing:
    """How bodies are pressed on a seat."""

    seat: Seat
    load_n: float | None
    posture: str
    spacing_mm: float

    def settled(self, body: Body, law: TissueLaw = TISSUE, start: Pose | None = None) -> Settled:
        sitter = lay_over(body, self.seat, self.posture, spacing_mm=self.spacing_mm)
        return settle(sitter, self.seat, self.load_n, law, start)


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


def _found(one: Unmeasured, body: Body, pressing: _Pressing, base: Settled) -> Unmeasured:
    """Return a quantity with what one step more and one step less of it do to the peak."""
    more, less = (
        pressing.settled(*_moved(body, one, sign * one.step), base.solution.value) for sign in (1.0, -1.0)
    )
    rises = [ended.peak_kpa - base.peak_kpa if ended.solution.converged else None for ended in (more, less)]
    return replace(one, more_kpa=rises[0], less_kpa=rises[1])


def _moved(body: Body, one: Unmeasured, step: float) -> tuple[Body, TissueLaw]:
    if one.name == STIFFNESS:
        return body, stiffer_flesh(1.0 + step / 100.0)
    measure = replace(body.measures[one.name], value=one.value + step)
    return replace(body, measures={**body.measures, one.name: measure}), TISSUE
