"""The bit that drills depth holes: its kind, its size, and how far its point reaches below its cutting edges."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from math import isfinite, radians, tan
from typing import Literal

import numpy as np

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.units import MM_PER_INCH, format_length, parse_length_mm, shown

Kind = Literal["brad point", "Forstner", "twist"]
KINDS: tuple[Kind, ...] = ("brad point", "Forstner", "twist")
STOP_SET_TO = "cutting edges"
"""What the stop is set to, of every kind. Set to the point by mistake, every hole is only shallower."""

EDGES = {
    "brad point": "cutting edges (spurs at the rim count as such)",
    "Forstner": "cutting edges (the rim counts as such)",
    "twist": "outer corners of the cutting edges, where it has its full width",
}
"""Which part of each kind that is."""

LEAST_MM, GREATEST_MM, LONGEST_TIP_MM = 2.0, 40.0, 30.0
# Common practice, from memory: the point of a brad point bit is a quarter to a half of its diameter long; that of a
# Forstner bit 2 to 3 mm; a twist drill as sold for wood and metal has a point of 118 degrees. Each is taken on the
# long side, as a shorter point than supposed only leaves more wood.
BRAD_SHARE, BRAD_LEAST_MM = 0.5, 2.0
FORSTNER_SHARE, FORSTNER_LEAST_MM = 0.1, 3.0
TWIST_POINT_DEG = 118.0
SHORT_SHARE = 0.5
"""A stated point shorter than this share of the usual one is worth a second look."""

TIP_MM, TIP_PER_INCH = 0.1, 64
"""To what the length of a point is told, rounded up: to 0.1 mm, or to 1/64 inch."""
SAME_MM = 0.002
NAMES = {
    "brad point": r"brad[\s-]*points?|lip[\s-]*(?:and|&)[\s-]*spur|brad",
    "Forstner": r"forstner",
    "twist": r"twist",
}
ALLOWED = (
    "allowed are a kind (brad point, Forstner or twist), a diameter with its unit and, if you measured it, the length "
    "of its point"
)
WRITE = 'write it like "brad point 6 mm", "twist 1/4 in" or "Forstner 25 mm, tip 3 mm"'
_TIP = re.compile(r"(?P<size>.*?)[\s,]*\b(?:tip|point)\b\s*(?:of\b|=|:)?\s*(?P<tip>.*)", re.IGNORECASE)
_UNIT = re.compile(r".*(?:mm|cm|in|inch|inches|\"|″|”)\.?", re.IGNORECASE)


@dataclass(frozen=True)
class Bit:
    """A bit.

    Attributes
    ----------
    kind, diameter_mm
        What it is called by.
    tip_mm
        How far its point reaches below its cutting edges; spurs at the rim count as cutting edges.
    tip_is_measured
        Whether the maker stated that length; else it is the usual one.
    sold_in
        "mm" or "in": the unit of its nominal size.

    Raises
    ------
    ValueRefusedError
        An unknown kind, or a diameter or a point out of range.

    Examples
    --------
    >>> from seatmesh import Bit
    >>> Bit("twist", 6.0, tip_mm=1.8).sold_in
    'mm'
    """

    kind: Kind
    diameter_mm: float
    tip_mm: float
    tip_is_measured: bool = False
    sold_in: str = "mm"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise NotAmongError("bit kind", shown(self.kind), KINDS)
        _within("bit diameter", self.diameter_mm, LEAST_MM, GREATEST_MM)
        _within("bit tip", self.tip_mm, 0.0, LONGEST_TIP_MM)

    @property
    def tip_is_short(self) -> bool:
        """Whether the stated point is much shorter than usual."""
        return self.tip_mm < SHORT_SHARE * usual_tip_mm(self.kind, self.diameter_mm)


def usual_tip_mm(kind: Kind, diameter_mm: float) -> float:
    """Return how far the point of a bit reaches below its cutting edges by common practice."""
    if kind == "twist":
        return 0.5 * diameter_mm / tan(radians(0.5 * TWIST_POINT_DEG))
    if kind == "Forstner":
        return max(FORSTNER_SHARE * diameter_mm, FORSTNER_LEAST_MM)
    return max(BRAD_SHARE * diameter_mm, BRAD_LEAST_MM)


def usual_bit(units: str) -> Bit:
    """Return the bit that is taken where the maker names none: a brad point of 8 mm, or of 5/16 inch."""
    diameter = 8.0 if units == "mm" else 5.0 / 16.0 * MM_PER_INCH
    return Bit("brad point", diameter, usual_tip_mm("brad point", diameter), sold_in=units)


def read_bit(text: str, name: str = "--bit") -> Bit:
    """Return the bit that a maker's words name: ``brad point 6 mm``, ``1/4" twist``, ``Forstner 25 mm, tip 3 mm``.

    Raises
    ------
    ValueRefusedError
        Words that name no bit, a length without its unit, or a size out of range.

    Examples
    --------
    >>> from seatmesh import read_bit
    >>> bit = read_bit("Forstner 25 mm, tip 3 mm")
    >>> bit.kind, bit.diameter_mm, bit.tip_mm
    ('Forstner', 25.0, 3.0)
    """
    found = [(kind, match) for kind in KINDS if (match := re.search(NAMES[kind], text, re.IGNORECASE))]
    if len(found) != 1:
        raise ValueRefusedError(name, shown(text), ALLOWED, WRITE)
    kind, match = found[0]
    rest = f"{text[: match.start()]} {text[match.end() :]}"
    rest = re.sub(r"\b(?:bit|drill)\b", " ", rest, flags=re.IGNORECASE)
    split = _TIP.fullmatch(rest)
    size, tip = (split["size"], split["tip"]) if split else (rest, None)
    diameter = _length(size, text, name)
    length = usual_tip_mm(kind, diameter) if tip is None else _length(tip, text, name)
    sold_in = "mm" if re.search(r"mm|cm", size, re.IGNORECASE) else "in"
    return Bit(kind, diameter, length, tip is not None, sold_in)


def told(bit: Bit, units: str) -> Bit:
    """Return a bit with its point as long as the sheets say it is: rounded up, so that what is said is safe."""
    step = TIP_MM if units == "mm" else MM_PER_INCH / TIP_PER_INCH
    longer = step * float(np.ceil(bit.tip_mm / step - 1e-9))
    return replace(bit, tip_mm=min(round(longer, 6), LONGEST_TIP_MM))


def size_words(bit: Bit, units: str) -> str:
    """Return a bit's diameter in `units`, and as it is sold where that is another."""
    mm, inches = f"{round(bit.diameter_mm, 3):g} mm", inch_size(bit.diameter_mm)
    own, other = (mm, inches) if units == "mm" else (inches, mm)
    return own if bit.sold_in == units else f"{own} ({other})"


def tip_words(bit: Bit, units: str) -> str:
    """Return how far a told bit's point reaches below its cutting edges."""
    return format_length(bit.tip_mm, units, TIP_PER_INCH)


def bit_words(bit: Bit, units: str) -> str:
    """Return a told bit in words: its kind, diameter and point."""
    return f"{bit.kind} {size_words(bit, units)}, point {tip_words(bit, units)} at most"


def as_typed(bit: Bit) -> str:
    """Return the words that name a bit's kind and size to the command."""
    return f"{bit.kind} {size_words(bit, bit.sold_in)}".replace('"', " in")


def inch_size(mm: float) -> str:
    """Return a diameter as a fraction of an inch where it is one, else as a decimal rounded up."""
    parts = mm / MM_PER_INCH * TIP_PER_INCH
    if abs(parts - round(parts)) * MM_PER_INCH / TIP_PER_INCH < SAME_MM:
        return format_length(mm, "in", TIP_PER_INCH)
    return f'{np.ceil(mm / MM_PER_INCH * 1000.0 - 1e-6) / 1000.0:.3f}"'


def _length(text: str, given: str, name: str) -> float:
    cleaned = text.strip(" ,;")
    if not cleaned:
        raise ValueRefusedError(name, shown(given), ALLOWED, WRITE)
    if not _UNIT.fullmatch(cleaned):
        raise ValueRefusedError(
            name, shown(given), f"the length '{cleaned}' has no unit", 'write it like 6 mm, 1/4 in or 1/4"'
        )
    return parse_length_mm(cleaned, name)


def _within(name: str, given: float, low: float, high: float) -> None:
    if not (isfinite(given) and low <= given <= high):
        raise ValueRefusedError(
            name,
            f"{given:g} mm",
            f"allowed are {low:g} to {high:g} mm ({inch_size(low)} to {inch_size(high)})",
            "choose one between",
        )
