"""What a solver hands back: a value together with its verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


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
    """

    value: T
    verdict: str
    iterations: int
    residual: float

    @property
    def converged(self) -> bool:
        """Whether the value is an answer."""
        return self.verdict == "converged"
