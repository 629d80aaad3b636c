"""Keys at the top of an order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key, KeyKind, Schema
from seatmesh.files.keys.table import KeyTable, made_of
from seatmesh.files.keys.words import Text, WordKind
from seatmesh.units import ALLOWED_UNITS, USUAL_UNITS, real_number, shown

LONGEST_TITLE = 60
MOST_STAGES = 6
LEAST_SHARE, MOST_SHARE = 0.05, 0.95
"""Of the depth, at a stage: with less there is nothing to sit in, with more the seat is finished."""
LEAST_APART = 0.01
TODO = "write stages = [0.5, 0.8]"


class Top(NamedTuple):
    """What stands at the top of an order; no title where none was given."""

    units: str
    title: str = ""
    stages: tuple[float, ...] = ()


@dataclass(frozen=True)
class Stages(KeyKind):
    """Shares of the depth; the finished seat is no stage of its own."""

    name: ClassVar[str] = "shares"

    def read(self, given: object, label: str) -> tuple[float, ...]:
        """Return the shares, least first."""
        if not isinstance(given, list) or len(given) > MOST_STAGES:
            allowed = f"allowed is a list of at most {MOST_STAGES} shares"
            raise ValueRefusedError(label, shown(given), allowed, TODO)
        shares = sorted(real_number(label, one) for one in given)
        for share in shares:
            if not LEAST_SHARE <= share <= MOST_SHARE:
                allowed = f"each from {LEAST_SHARE} to {MOST_SHARE} of the depth"
                raise ValueRefusedError(label, f"{share:g}", allowed, TODO)
        # Files are named by whole percent: two stages may not share a name.
        if len({round(share / LEAST_APART) for share in shares}) < len(shares):
            raise ValueRefusedError(
                label, shown(given), f"each at least {LEAST_APART:.0%} from the next", TODO
            )
        return tuple(shares)

    def allowed(self) -> str:
        """Return how many of which size."""
        return f"at most {MOST_STAGES}, each {LEAST_SHARE:g} to {MOST_SHARE:g}"

    def schema(self) -> Schema:
        """Return an array of numbers."""
        share = {"type": "number", "minimum": LEAST_SHARE, "maximum": MOST_SHARE}
        return {"type": "array", "items": share, "maxItems": MOST_STAGES}

    def facts(self) -> dict[str, Any]:
        """Return the range of each."""
        return {"lowest": LEAST_SHARE, "highest": MOST_SHARE}


TOP = KeyTable(
    name="",
    meaning="",
    make=made_of(Top),
    keys=(
        Key(
            "title",
            "Title",
            "what the seat is called; also the name of its folder of results",
            Text(LONGEST_TITLE, todo="give a short title"),
        ),
        Key(
            "units",
            "Units",
            "how pictures and reports speak; keys keep their own unit",
            WordKind(ALLOWED_UNITS),
            default=USUAL_UNITS,
        ),
        Key(
            "stages",
            "Stages",
            "shares of the depth at which a first seat is sat in before it is finished, such as [0.5, 0.8]",
            Stages(),
        ),
    ),
)
