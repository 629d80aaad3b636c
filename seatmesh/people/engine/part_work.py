"""The work of one part: draw its people, sit them down, return their rows. The same bytes wherever it is done."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

import seatmesh
from seatmesh.arrays import Floats
from seatmesh.formats.seat_file import seat_digest
from seatmesh.people.drawn import PART_SIZE, draw_part
from seatmesh.people.engine.freed_memory import keep_freed_memory
from seatmesh.people.own_best import DESIGNED, OWN_ERROR
from seatmesh.people.press import CELL_MM
from seatmesh.people.public import Public
from seatmesh.people.table import COLUMNS, table_of
from seatmesh.surface import Seat


@dataclass(frozen=True)
class PartWork:
    """What decides the rows of every part."""

    seat: Seat
    public: Public
    seed: int

    def __call__(self, part: int, size: int) -> Floats:
        """Return the rows of a part, shape (size, columns)."""
        keep_freed_memory()
        # A part is pressed whole, and cut then: a person is the same to the bit however many are asked for.
        return table_of(draw_part(self.public, self.seed, part), self.seat).rows[:size]

    def made_from(self) -> dict[str, Any]:
        """Return all that decides the rows, as plain values; equal where the rows are."""
        return {
            "seat": seat_digest(self.seat),
            "public": {**self.public.facts(), "words": ""},
            "seed": self.seed,
            "part_size": PART_SIZE,
            "cell_mm": CELL_MM,
            "columns": list(COLUMNS),
            "own_best": [DESIGNED, OWN_ERROR],
            "version": seatmesh.__version__,
        }

    @property
    def digest(self) -> str:
        """Hash of all that decides the rows."""
        return hashlib.sha256(json.dumps(self.made_from(), sort_keys=True).encode()).hexdigest()
