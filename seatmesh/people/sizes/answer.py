"""Would more sizes serve better? Seats are shaped and chosen on half of the people, and judged on the other half.

Who chose a set by some people finds it better for them than it is: so no share that is told comes from those.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from seatmesh.arrays import Floats, Ints
from seatmesh.design.orders.order import Order
from seatmesh.errors import NotSolvedError, ValueRefusedError
from seatmesh.files.names import folder_name
from seatmesh.formats.seat_file import write_seat
from seatmesh.people.counted.share import Share, Sums, share_of
from seatmesh.people.criteria import scores_of
from seatmesh.people.drawn import draw_part, joined, part_sizes
from seatmesh.people.engine.kept_parts import KeptParts, kept_parts
from seatmesh.people.engine.part_work import PartWork
from seatmesh.people.engine.run import PartWorkers, Threads, run_missing
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.sizes.candidates import MOST_SIZES, Candidate, candidates
from seatmesh.people.sizes.choose import Fare, Rule, best_rule, best_set

RULE_BY = ("stature_mm", "mass_kg")
"""What a guest knows of himself."""
FEWEST, MOST = 40, 100_000
"""People with whom sizes are chosen and judged: how each fares on each seat is in memory."""
Tell = Callable[[str, int, int], None]


@dataclass(frozen=True)
class SizeSet:
    """The best set of k seats.

    Attributes
    ----------
    seats
        Their places among the candidates, in the order of the rule.
    best
        Share served where everybody takes the best seat of the set.
    by_rule
        Share served where everybody follows the rule.
    gain, gain_error
        Of `by_rule` over that of the set before, and its standard error; None for the first.
    worst_times
        Mean peak over one's own best of the worst-off tenth, by the rule.
    """

    seats: tuple[int, ...]
    rule: Rule
    best: Share
    by_rule: Share
    gain: float | None
    gain_error: float | None
    worst_times: float


@dataclass(frozen=True)
class SizesFound:
    """All that is known of sizes for a public; `own` is what the seat asked about serves of the same people."""

    candidates: tuple[Candidate, ...]
    sets: tuple[SizeSet, ...]
    own: Share
    own_worst_times: float
    chosen_on: int
    judged_on: int


def sizes_for(
    question: PeopleQuestion,
    order: Order,
    most: int,
    *,
    wish_for_worst: float = 0.0,
    workers: PartWorkers | None = None,
    keep: Path | None = None,
    tell: Tell = lambda words, done, all_: None,
) -> SizesFound:
    """Return the best sets of 1 to `most` seats for a question's public, in the wood and by the wishes of an order.

    People are seated on each seat as `seatmesh.people.study.ask` seats them: `workers` do it, and `keep` is a folder
    for finished parts, a folder in it for each seat.

    Raises
    ------
    ValueRefusedError
        A number of sizes, of people, or a wish out of range.
    NotSolvedError
        No seat could be shaped.
    FileRefusedError
        `keep` holds something else, or cannot be written.
    """
    if not 1 <= most <= MOST_SIZES:
        raise ValueRefusedError("sizes", most, f"allowed are 1 to {MOST_SIZES}", "ask for fewer")
    if not FEWEST <= question.count <= MOST:
        raise ValueRefusedError(
            "count", question.count, f"for sizes {FEWEST} to {MOST:,} are allowed", "such as 400"
        )
    if not (math.isfinite(wish_for_worst) and 0.0 <= wish_for_worst <= 1.0):
        raise ValueRefusedError(
            "wish for the worst", wish_for_worst, "allowed are 0 to 1", "0 counts shares alone"
        )
    sizes = part_sizes(question.count)
    people = joined([draw_part(question.public, question.seed, i, n) for i, n in enumerate(sizes)])
    first, second = np.arange(0, len(people), 2), np.arange(1, len(people), 2)
    found = candidates(
        order, people.some(first), most, lambda done, n: tell(f"shaping size {done + 1} of {n}", done, n)
    )
    if not found:
        raise NotSolvedError(
            "no seat could be shaped for any part of this public; choose other wishes or more wood"
        )
    seats = [one.seat for one in found] + [question.at_a_height]
    with nullcontext(keep) if keep else TemporaryDirectory() as folder:
        works = [PartWork(seat, question.public, question.seed) for seat in seats]
        kept = [kept_parts(Path(folder) / f"size-{work.digest[:16]}", work, sizes) for work in works]
        for place, (work, parts) in enumerate(zip(works, kept, strict=True)):
            tell(f"seating people on seat {place + 1} of {len(seats)}", place, len(seats))
            run_missing(workers or Threads(), work, parts, lambda done, people: None)
        fared = [_fared(parts, question) for parts in kept]
    served, times = (np.stack(columns, axis=1) for columns in zip(*fared, strict=True))
    fare = Fare(people.builds.weights, served[:, :-1], times[:, :-1])
    known = {name: people.column(name) for name in RULE_BY}
    sets = _sets(fare, known, (first, second), most, wish_for_worst)
    own = _share(people.builds.weights[second], served[second, -1])
    own_times = fare.some(second).worst_times(times[second, -1])
    return SizesFound(tuple(found), sets, own, own_times, len(first), len(second))


def _fared(parts: KeptParts, question: PeopleQuestion) -> tuple[Floats, Floats]:
    """Return each person's chance to be served by a seat, and the peak on it over one's own best, shapes (n,)."""
    served, times = [], []
    for table in parts.tables():
        served.append(scores_of(table, question.asked).prod(axis=1))
        times.append(np.nan_to_num(table.of("peak_over_own_best"), nan=np.inf))
    return np.concatenate(served), np.concatenate(times)


def _sets(
    fare: Fare, known: dict[str, Floats], halves: tuple[Ints, Ints], most: int, wish_for_worst: float
) -> tuple[SizeSet, ...]:
    first, second = halves
    chosen_by, judged = fare.some(first), fare.some(second)
    sets: list[SizeSet] = []
    before: Floats | None = None
    for k in range(1, min(most, fare.served.shape[1]) + 1):
        chosen = best_set(chosen_by, k, wish_for_worst)
        rule = best_rule(chosen_by, chosen, {name: values[first] for name, values in known.items()})
        taken = rule.taken(known[rule.measure][second]) if rule.measure else np.full(len(second), chosen[0])
        rows = np.arange(len(second))
        by_rule = judged.served[rows, taken]
        gain, error = (None, None) if before is None else _gain(judged.weights, by_rule - before)
        sets.append(
            SizeSet(
                rule.seats, rule, _share(judged.weights, judged.served[:, chosen].max(axis=1)),
                _share(judged.weights, by_rule), gain, error, judged.worst_times(judged.times[rows, taken]),
            )
        )  # fmt: skip
        before = by_rule
    return tuple(sets)


def _share(w: Floats, x: Floats) -> Share:
    return share_of(
        Sums(
            *(
                float(one)
                for one in (w.sum(), (w**2).sum(), (w * x).sum(), (w**2 * x).sum(), (w**2 * x**2).sum())
            )
        )
    )


def _gain(w: Floats, difference: Floats) -> tuple[float, float]:
    """Return a weighted mean difference between the same people on two sets, and its standard error."""
    mean = float((w * difference).sum() / w.sum())
    return mean, float(np.sqrt((w**2 * (difference - mean) ** 2).sum()) / w.sum())


def write_sizes(sizes: SizesFound, folder: Path) -> list[str]:
    """Write a seat file for each seat of a set, named by whom it was shaped for; return the names, in order.

    Raises
    ------
    FileRefusedError
        The folder or a file cannot be written.
    """
    chosen = dict.fromkeys(place for one in sizes.sets for place in one.seats)
    names = []
    for one in (sizes.candidates[place] for place in chosen):
        names.append(f"{folder_name(one.words)}.json")
        write_seat(one.seat, folder / names[-1])
    return names


def sizes_report(sizes: SizesFound) -> dict[str, Any]:
    """Return all as plain values."""
    return {
        "chosen_on": sizes.chosen_on,
        "judged_on": sizes.judged_on,
        "asked_seat": {**sizes.own.facts(), "worst_tenth_peak_over_own_best": _finite(sizes.own_worst_times)},
        "sets": [
            {
                "sizes": len(one.seats),
                "seats": [_facts(sizes.candidates[i]) for i in one.seats],
                "rule": {"measure": one.rule.measure or None, "bounds": list(one.rule.bounds)},
                "by_rule": one.by_rule.facts(),
                "best": one.best.facts(),
                "gain": one.gain,
                "gain_standard_error": one.gain_error,
                "worst_tenth_peak_over_own_best": _finite(one.worst_times),
            }
            for one in sizes.sets
        ],
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _facts(one: Candidate) -> dict[str, Any]:
    seat = one.seat
    return {
        "shaped_for": one.words,
        "front_height_mm": seat.chair.front_height_mm,
        "width_mm": seat.blank.width_mm,
        "depth_mm": seat.blank.depth_mm,
    }
