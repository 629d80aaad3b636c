"""Plain values and words that need no design: what every command says of a seat and of how it came about."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from seatmesh.solution import Ending

DIGITS = 6
"""Significant digits of figures in reports: more than they are worth, few enough to be the same everywhere."""
SOME_ORDER = "ORDER.toml"
"""Stands for the order file where a seat file was given, which does not say what order it was made from."""


def rounded(value: Any) -> Any:
    """Return plain values with every float rounded to `DIGITS` significant digits."""
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(one) for one in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value


def ending_report(ending: Ending | None) -> dict[str, Any] | None:
    """Return how the search for a hollow ended; None where nothing was searched for."""
    if ending is None:
        return None
    said: dict[str, Any] = rounded({**asdict(ending), "converged": ending.converged, "words": ending.words})
    return said


def ending_notes(ending: Ending | None, whose: str = "this seat") -> list[str]:
    """Say so where the search for a hollow did not settle."""
    return [] if ending is None or ending.converged else [f"{whose}: {ending.words}"]
