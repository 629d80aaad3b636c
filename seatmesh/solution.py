"""What a solver hands back: a value together with its verdict."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")

CONVERGED = "converged"


@dataclass(frozen=True)
class Ending:
    """How a solver ended, for whoever has only its answer.

    Attributes
    ----------
    verdict, iterations, residual
        As in `Solution`; the residual is None where the solver never had one.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, estimate_body, shape_seat
    >>> ending = shape_seat(Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),))).ending
    >>> ending.converged, ending.verdict
    (True, 'converged')
    """

    verdict: str
    iterations: int
    residual: float | None

    @property
    def converged(self) -> bool:
        """Whether the solver found what it looked for."""
        return self.verdict == CONVERGED

    @property
    def words(self) -> str:
        """How it ended, in a plain clause."""
        left = "" if self.residual is None else f"; residual {self.residual:.0e}"
        how = "settled" if self.converged else self.verdict
        return f"{how} (steps: {self.iterations}{left})"


@dataclass(frozen=True)
class Solution(Generic[T]):
    """A value, and how far it can be trusted.

    Attributes
    ----------
    value
        The answer, or the last iterate where ``converged`` is false.
    verdict
        ``"converged"`` or, in a few plain words, why there is no answer and what to do about it.
    iterations
        Steps taken.
    residual
        Dimensionless: what is out of balance over the scale of the problem.

    Examples
    --------
    >>> from seatmesh import Solution
    >>> Solution(value=12.0, verdict="it ran out of steps; give it more", iterations=80, residual=0.1).converged
    False
    """

    value: T
    verdict: str
    iterations: int
    residual: float

    @property
    def converged(self) -> bool:
        """Whether the value is an answer."""
        return self.verdict == CONVERGED

    @property
    def ending(self) -> Ending:
        """How the solver ended, without its value."""
        residual = float(self.residual) if math.isfinite(self.residual) else None
        return Ending(self.verdict, self.iterations, residual)
