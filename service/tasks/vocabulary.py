"""The vocabulary of orders, sheets, pictures, and of people not yet met."""

from __future__ import annotations

from seatmesh.design.vocabulary import vocabulary
from seatmesh.people.told.question_words import question_words

from .plain import json_bytes


def told() -> bytes:
    """Return the vocabulary as JSON."""
    return json_bytes({**vocabulary(), "people": question_words()})
