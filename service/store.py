"""Seats that were shaped, by the hash of their order; the least used make room for new ones."""

from __future__ import annotations

import hashlib
import json
import threading
from collections import OrderedDict
from typing import Any

from seatmesh.design.order import order_from_table
from seatmesh.design.shape import Design, design

MOST_SEATS = 64


class UnknownSeatError(Exception):
    """No seat has that id, or it made room for others."""


class SeatStore:
    """Designs in memory, at most `MOST_SEATS` of them."""

    def __init__(self) -> None:
        self._designs: OrderedDict[str, Design] = OrderedDict()
        self._lock = threading.Lock()

    def shape(self, table: dict[str, Any]) -> tuple[str, Design]:
        """Return id and design of an order; the same order has the same id and is shaped once."""
        order = order_from_table(table, "order", "seat")
        key = hashlib.sha256(json.dumps(table, sort_keys=True).encode()).hexdigest()[:16]
        with self._lock:
            known = self._designs.get(key)
        made = known or design(order)
        with self._lock:
            self._designs[key] = made
            self._designs.move_to_end(key)
            while len(self._designs) > MOST_SEATS:
                self._designs.popitem(last=False)
        return key, made

    def get(self, key: str) -> Design:
        """Return the design with an id."""
        with self._lock:
            if key not in self._designs:
                raise UnknownSeatError("no seat has this id; post its order to /seats again")
            self._designs.move_to_end(key)
            return self._designs[key]
