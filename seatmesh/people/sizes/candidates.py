"""Seats that a set of sizes is chosen from: each shaped for a stretch of the public, from the shorter to the taller.

A stretch is all people, a half, a third or a quarter of them by stature; or a half by mass, since broad people are not
tall ones. Its seat is shared by four people who stand for it, as an order with four sitters is. Blank and wishes are
the maker's; the front edge is as high as most of the stretch can put their feet down at, and the blank no deeper than
their knee-backs allow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.design.orders.order import Order, OrderedSitter
from seatmesh.design.shape import shape_seat
from seatmesh.errors import SeatmeshError
from seatmesh.people.drawn import People
from seatmesh.seating.place import usual_back_mm
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank

MOST_SIZES = 4
REACHED_BY = 0.1
"""Share of a stretch for whom the front edge may stand too high, or the seat be too deep; own judgement."""
FEET_GIVE_MM = 20.0
"""How far the front edge may stand above the shod knee-back for feet still to carry their part."""
KNEE_CLEARANCE_MM = 50.0
"""What is left for the knee-backs (D2)."""
LEAST_DEPTH_MM = 360.0
STEP_MM = 5.0
"""Heights and depths are rounded down to this."""
STANDING_FOR = ((0.25, 0.25), (0.25, 0.75), (0.75, 0.25), (0.75, 0.75))
"""Where the four sitters stand in their stretch: by stature, then among those by mass."""


@dataclass(frozen=True)
class Candidate:
    """A seat that might be one of the sizes, and for whom it was shaped."""

    words: str
    seat: Seat


@dataclass(frozen=True)
class Stretch:
    """A part of the public between two quantiles of one measure."""

    measure: str
    low: float
    high: float

    @property
    def words(self) -> str:
        """Which part it is."""
        if (self.low, self.high) == (0.0, 1.0):
            return "all"
        least, most = ("shortest", "tallest") if self.measure == "stature_mm" else ("lightest", "heaviest")
        parts = round(1.0 / (self.high - self.low))
        place = round(self.low * parts) + 1
        name = {2: "half", 3: "third", 4: "quarter"}[parts]
        if place == 1:
            return f"{least} {name}"
        if place == parts:
            return f"{most} {name}"
        return "middle third" if parts == 3 else f"{('second', 'third')[place - 2]} quarter by stature"


def stretches(most: int) -> list[Stretch]:
    """Return the parts of the public that seats are shaped for, where up to `most` sizes are asked for."""
    by_stature = [Stretch("stature_mm", i / k, (i + 1) / k) for k in range(1, most + 1) for i in range(k)]
    by_mass = [Stretch("mass_kg", i / 2, (i + 1) / 2) for i in range(2)] if most > 1 else []
    return by_stature + by_mass


def candidates(
    order: Order, people: People, most: int, tell: Callable[[int, int], None] = lambda done, all_: None
) -> list[Candidate]:
    """Return a seat for each stretch of the people; a stretch for which none can be shaped is left out."""
    found = []
    parts = stretches(most)
    for done, part in enumerate(parts):
        tell(done, len(parts))
        who = _within(people, part)
        try:
            found.append(Candidate(part.words, shape_seat(_order_for(order, people, who, part.words))))
        except SeatmeshError:
            continue
    return found


def _within(people: People, part: Stretch) -> Ints:
    """Return who belongs to a stretch; weights count."""
    value, weights = people.column(part.measure), people.builds.weights
    order = np.argsort(value, kind="stable")
    below = np.cumsum(weights[order]) / weights.sum()
    return np.sort(order[(below > part.low) & (below <= part.high + 1e-12)])


def _order_for(order: Order, people: People, who: Ints, words: str) -> Order:
    sitters = tuple(OrderedSitter(people.body(i)) for i in sitters_for(people, who))
    blank = _blank(order.blank, people, who)
    chair = replace(order.chair, front_height_mm=_height(people, who, order.chair.shoe_mm))
    return replace(
        order,
        title=f"{order.title}, {words}",
        sitters=sitters,
        blank=blank,
        chair=chair,
        log=(),
        boards=(),
        file=None,
    )


def sitters_for(people: People, who: Ints) -> list[int]:
    """Return four people who stand for a stretch: shorter and taller ones, lighter and heavier among them."""
    stature, mass = people.column("stature_mm"), people.column("mass_kg")
    by_stature = who[np.argsort(stature[who], kind="stable")]
    chosen = []
    for tall, heavy in STANDING_FOR:
        half = by_stature[: len(who) // 2] if tall < 0.5 else by_stature[len(who) // 2 :]
        by_mass = half[np.argsort(mass[half], kind="stable")]
        chosen.append(int(by_mass[int(heavy * (len(half) - 1))]))
    return list(dict.fromkeys(chosen))


def _quantile(values: Floats) -> float:
    return float(np.quantile(values, REACHED_BY))


def _height(people: People, who: Ints, shoe_mm: float) -> float:
    reach = _quantile(people.column("popliteal_height_mm")[who]) + shoe_mm + FEET_GIVE_MM
    return float(np.floor(reach / STEP_MM) * STEP_MM)


def _blank(blank: Blank, people: People, who: Ints) -> Blank:
    if blank.joints or blank.own_outline_mm:
        return blank
    room = (
        usual_back_mm(blank)
        + _quantile(people.column("buttock_popliteal_length_mm")[who])
        - KNEE_CLEARANCE_MM
    )
    depth = max(np.floor(room / STEP_MM) * STEP_MM, LEAST_DEPTH_MM)
    return blank if depth >= blank.depth_mm else replace(blank, depth_mm=float(depth))
