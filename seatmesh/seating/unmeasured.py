"""What the quantities that nobody measured do to the peak: each is moved by about as much as it may well be off."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seatmesh.body.body import Body, Measure
from seatmesh.body.measures import MEASURES
from seatmesh.contact import Pose
from seatmesh.seating.settle import settle
from seatmesh.seating.sitter import lay_over
from seatmesh.seating.uncertainty import STIFFNESS_SPREAD, stiffer_flesh
from seatmesh.surface import Seat
from seatmesh.tissue import TISSUE, TissueLaw

STIFFNESS = "flesh_stiffness_percent"
STIFFNESS_TITLE = "stiffness of the flesh"
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
    def unit(self) -> str:
        """Return the end of the name."""
        return self.name.rpartition("_")[2]

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
    from one another is not moved along. Empty where the body itself finds no balance.
    """
    base = settle(lay_over(body, seat, posture), seat, load_n)
    if not base.solution.converged:
        return ()
    start = base.solution.value

    def rise(other: Body, law: TissueLaw = TISSUE) -> float | None:
        peak = _peak_kpa(other, seat, load_n, posture, law, start)
        return None if peak is None else peak - base.peak_kpa

    found = []
    for name, one in body.measures.items():
        if one.origin == "estimated":
            step = _handy(one.standard_error)
            more, less = (rise(_moved(body, name, one, sign * step)) for sign in (1.0, -1.0))
            found.append(
                Unmeasured(name, MEASURES[name].title, one.value, one.standard_error, step, more, less)
            )
    step = _handy(100.0 * STIFFNESS_SPREAD)
    more, less = (rise(body, stiffer_flesh(1.0 + sign * step / 100.0)) for sign in (1.0, -1.0))
    found.append(Unmeasured(STIFFNESS, STIFFNESS_TITLE, 100.0, 100.0 * STIFFNESS_SPREAD, step, more, less))
    return tuple(sorted(found, key=lambda one: -one.weight_kpa))


def _handy(error: float) -> float:
    return max(HANDY * round(error / HANDY), HANDY)


def _moved(body: Body, name: str, one: Measure, step: float) -> Body:
    kind = MEASURES[name]
    value = min(max(one.value + step, kind.lowest), kind.highest)
    return replace(body, measures={**body.measures, name: replace(one, value=value)})


def _peak_kpa(
    body: Body, seat: Seat, load_n: float | None, posture: str, law: TissueLaw, start: Pose
) -> float | None:
    settled = settle(lay_over(body, seat, posture), seat, load_n, law, start)
    return settled.peak_kpa if settled.solution.converged else None
