"""A kept seat as tasks take it: plain values, so that it goes to a worker on any machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class KeptSeat:
    """A kept seat as tasks take it: its id, its order as it was posted, and its seat file."""

    seat: str
    order: dict[str, Any]
    seat_file: bytes
