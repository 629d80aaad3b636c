"""What can be asked about people, as plain values: what a form needs to ask it."""

from __future__ import annotations

from typing import Any

from seatmesh.people.criteria import CRITERIA, Asked
from seatmesh.people.public import TABLES
from seatmesh.people.question import USUAL_FRONT_HEIGHT_MM


def question_words() -> dict[str, Any]:
    """Return publics by name, and each criterion with its words, unit, range and usual bound (None: left out)."""
    usual = Asked()
    return {
        "publics": [{"name": name, "words": public.in_words} for name, public in TABLES.items()],
        "criteria": [
            {
                "name": one.name,
                "words": one.words,
                "unit": one.unit,
                "lowest": one.allowed[0],
                "highest": one.allowed[1],
                "usual": getattr(usual, one.name),
                "source": one.source,
            }
            for one in CRITERIA
        ],
        "front_height_mm": USUAL_FRONT_HEIGHT_MM,
    }
