"""A kept seat as tasks take it, plain values for a worker on any machine; and as a row of the list of seats."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class KeptSeat:
    """A kept seat as tasks take it: its id, its order as it was posted, and its seat file."""

    seat: str
    order: dict[str, Any]
    seat_file: bytes


@dataclass(frozen=True)
class SeatRow:
    """A kept seat: when it was made and last used in seconds since 1970, its bytes, whether it is pinned."""

    seat: str
    title: str
    size: int
    made: float
    used: float
    pinned: bool
