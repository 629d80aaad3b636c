"""How a search ended, in answers."""

from __future__ import annotations

from .base import Answer


class EndingOut(Answer):
    """How the search for a hollow ended; `verdict` is "converged" or says why it stopped."""

    verdict: str
    converged: bool
    iterations: int
    residual: float | None
    words: str
