"""A layup as one line of text and back, for a process that draws it."""

from __future__ import annotations

import json
from dataclasses import asdict

from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.species import Species


def layup_text(layup: Layup) -> str:
    """Return a layup as JSON."""
    return json.dumps(asdict(layup))


def layup_from_text(text: str) -> Layup:
    """Return the layup that `layup_text` wrote."""
    whole = json.loads(text)
    boards = []
    for one in whole.pop("boards"):
        wood = one.pop("species")
        species = Species(**{**wood, "notes": tuple(wood["notes"])})
        signs = tuple(one.pop("signs"))
        boards.append(Board(**{**one, "assumed": tuple(one["assumed"])}, species=species, signs=signs))
    return Layup(boards=tuple(boards), **whole)
