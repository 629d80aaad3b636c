"""Choosing k of several seats for people: every set of k is tried, and who takes which follows from one measure.

What a person is worth to a set is the chance to be served by the best seat in it. A wish for the worst counts beside
that: how many times their own best the peaks of the worst-off tenth are.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, permutations

import numpy as np

from seatmesh.arrays import Floats, Ints

WORST = 0.1
CUTS = 19
"""Places between people, by a measure, at which the next size may begin: every twentieth of them."""


@dataclass(frozen=True)
class Fare:
    """How each person fares on each seat.

    Attributes
    ----------
    weights
        Shape (n,).
    served
        Chance to be served, shape (n, seats).
    times
        Peak over one's own best, shape (n, seats); infinite without balance.
    """

    weights: Floats
    served: Floats
    times: Floats

    def some(self, who: Ints) -> Fare:
        """Return the same of some of the people."""
        return Fare(self.weights[who], self.served[who], self.times[who])

    def worst_times(self, times: Floats) -> float:
        """Return the mean over the worst-off tenth of people of their peak over their own best."""
        order = np.argsort(-times, kind="stable")
        before = np.concatenate([[0.0], np.cumsum(self.weights[order])[:-1]])
        taken = np.clip(WORST * self.weights.sum() - before, 0.0, self.weights[order])
        held = np.where(taken > 0.0, times[order], 0.0)
        return float(taken @ held / taken.sum())


def best_set(fare: Fare, k: int, wish_for_worst: float = 0.0) -> tuple[int, ...]:
    """Return the k seats that serve most people, each on the best of them.

    `wish_for_worst` takes so much of the share away for each time that the worst-off tenth's peaks lie above their own
    best. Of sets alike the first counts.
    """
    seats = range(fare.served.shape[1])
    return max(combinations(seats, min(k, len(seats))), key=lambda one: _worth(fare, one, wish_for_worst))


def _worth(fare: Fare, chosen: tuple[int, ...], wish_for_worst: float) -> float:
    served = fare.served[:, chosen].max(axis=1)
    worth = float(fare.weights @ served / fare.weights.sum())
    if wish_for_worst > 0.0:
        worth -= wish_for_worst * (fare.worst_times(fare.times[:, chosen].min(axis=1)) - 1.0)
    return worth


@dataclass(frozen=True)
class Rule:
    """Who takes which seat.

    Attributes
    ----------
    measure
        What is asked of a person; empty where there is one seat.
    bounds
        Where the next seat begins, ascending; one fewer than seats.
    seats
        From those with least of the measure to those with most.
    """

    measure: str
    bounds: tuple[float, ...]
    seats: tuple[int, ...]

    def taken(self, values: Floats) -> Ints:
        """Return the seat that each person takes, shape (n,)."""
        return np.array(self.seats)[np.searchsorted(np.array(self.bounds), values, side="right")]


def best_rule(fare: Fare, chosen: tuple[int, ...], measures: dict[str, Floats]) -> Rule:
    """Return the rule by one measure under which a set serves most people; every order of the seats is tried."""
    if len(chosen) == 1:
        return Rule("", (), chosen)
    best: tuple[float, Rule] | None = None
    for name, values in measures.items():
        bounds = np.unique(np.quantile(values, np.arange(1, CUTS + 1) / (CUTS + 1)).round())
        place = np.searchsorted(bounds, values, side="right")
        # What each seat would serve of the people between two neighbouring bounds.
        worth = np.zeros((len(bounds) + 1, fare.served.shape[1]))
        np.add.at(worth, place, fare.weights[:, None] * fare.served)
        below = np.concatenate([np.zeros((1, worth.shape[1])), np.cumsum(worth, axis=0)])
        for order in permutations(chosen):
            value, cuts = _best_cuts(below[:, order])
            if best is None or value > best[0] + 1e-12:
                best = value, Rule(name, tuple(float(bounds[i - 1]) for i in cuts), order)
    assert best is not None
    return best[1]


def _best_cuts(below: Floats) -> tuple[float, tuple[int, ...]]:
    """Return the greatest sum over stretches, and where they part; `below` sums what lies before a place, by seat."""
    places, seats = below.shape
    # value[j]: the best of the first seats over the first j stretches; each seat gets one stretch at least.
    value = below[:, 0].copy()
    value[0] = -np.inf
    back: list[Ints] = []
    for seat in range(1, seats):
        gained = value[:, None] + below[None, :, seat] - below[:, None, seat]
        gained[np.tril_indices(places)] = -np.inf
        back.append(gained.argmax(axis=0))
        value = gained.max(axis=0)
    cuts = [places - 1]
    for came_from in reversed(back):
        cuts.append(int(came_from[cuts[-1]]))
    return float(value[-1]), tuple(reversed(cuts[1:]))
