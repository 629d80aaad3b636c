"""All that workers need, loaded once before they are started, so that a replaced worker is there at once."""

from __future__ import annotations

from . import carry_out, orders, photographs, seats, vocabulary
from .of_a_seat import registry

__all__ = ["carry_out", "orders", "photographs", "registry", "seats", "vocabulary"]
