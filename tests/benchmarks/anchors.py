"""What the machine itself takes for the least that a task asks for: bare NumPy and LAPACK, and the bandwidth of memory.

Nothing of seatmesh is run here. A ratio to such an anchor says how much is left to win on this machine, whatever else
it does meanwhile.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from scipy.linalg.lapack import dpbtrf, dtbtrs


def best_ms(run: Callable[[], object], times: int = 30) -> float:
    """Return the least of several processor times, ms."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        run()
        spent.append(time.process_time() - start)
    return 1000.0 * min(spent)


def law_ms(cells: int, balls: int = 6) -> float:
    """Return the time of what the tissue's law asks for: of each ball a root, a ratio and a power of e, of each cell a
    logarithm and two powers."""
    many, few = np.random.default_rng(1).uniform(0.5, 1.0, (2, balls, cells)), np.full(cells, 0.7)
    out, one = np.empty_like(many[0]), np.empty_like(few)

    def run() -> None:
        np.sqrt(many[0], out=out)
        np.divide(many[0], many[1], out=out)
        np.exp(many[0], out=out)
        np.log(few, out=one)
        np.power(few, 0.485, out=one)
        np.power(few, 0.825, out=one)

    return best_ms(run)


def fields_ms(cells: int) -> float:
    """Return the time of what skin and bones ask for: of each of two sit bones eighteen ratios and a root, of three
    limbs of bone a root each, of five solids of flesh two roots and a power of e."""
    some = np.random.default_rng(2).uniform(0.5, 1.0, (2, cells))
    out = np.empty(cells)

    def run() -> None:
        for _ in range(2 * 18):
            np.divide(some[0], some[1], out=out)
        for _ in range(2 + 3 + 2 * 5):
            np.sqrt(some[0], out=out)
        for _ in range(5):
            np.exp(some[0], out=out)

    return best_ms(run)


def programme_ms(unknowns: int, band: int, bounds: int) -> float:
    """Return the time of a quadratic programme whose answer is known: one factor, and it on all the bounds met."""
    matrix = np.zeros((band, unknowns))
    matrix[0], matrix[1:] = 10.0 * band, 0.1
    columns = np.asfortranarray(np.random.default_rng(3).normal(size=(unknowns, bounds)))

    def run() -> None:
        factor, _ = dpbtrf(matrix, lower=1)
        dtbtrs(factor, columns, uplo="L", trans="N")

    return best_ms(run)


def read_ms(numbers: int) -> float:
    """Return the time that memory takes to hand over so many doubles once, none of them in the processor's own."""
    whole = np.ones(40_000_000)
    return best_ms(whole.sum, 5) * numbers / whole.size
