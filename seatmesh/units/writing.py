"""Lengths, areas and volumes written as makers write them, in millimetres or in inches with fractions."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Callable
from fractions import Fraction

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.units.known import (
    ALLOWED_LENGTH,
    ALLOWED_UNITS,
    KG_PER_POUND,
    MM_PER_INCH,
    SAME_PARTS,
    TABLE_PARTS,
)
from seatmesh.units.reading import real_number, shown


def table_figure(mm: float, units: str, *, deeper: bool = False) -> str:
    """Return a length as tables bear it, a plain decimal in their unit: to 0.01 mm, or to 0.001 inch.

    `deeper` says that more of it is deeper wood: in inches it is then rounded down, never deeper than it is.
    """
    if units != "in":
        return f"{mm:.2f}"
    parts = mm / MM_PER_INCH * TABLE_PARTS
    whole = math.floor(parts + SAME_PARTS) if deeper else round(parts)
    return f"{whole / TABLE_PARTS + 0.0:.3f}"


def column(name_mm: str, units: str) -> str:
    """Return the name of a table's column in a unit: ``depth_mm`` is ``depth_in`` in inches."""
    return f"{name_mm.removesuffix('_mm')}_in" if units == "in" and name_mm.endswith("_mm") else name_mm


def format_length(mm: float, units: str, step: int = 32, decimals: int = 1) -> str:
    """Write a length: ``412.5 mm``, or ``16 7/32"`` to the nearest 1/`step` inch in lowest terms.

    Millimetres are rounded to `decimals` and lose trailing zeros. Read back, the length is right to within
    half of what it was rounded to.

    Raises
    ------
    ValueRefusedError
        For units other than "mm" and "in", a length that is not finite, a step or decimals out of range.
    """
    length = real_number("length", mm)
    if units == "mm":
        return f"{_decimal(length, decimals)} mm"
    if units != "in":
        raise NotAmongError("units", shown(units), ALLOWED_UNITS)
    if isinstance(step, bool) or not isinstance(step, int) or not 1 <= step <= 1000:
        raise ValueRefusedError(
            "step", shown(step), "allowed is a whole number from 1 to 1000", "give 16, 32 or 64"
        )
    return _inches(length, step)


def format_no_more(mm: float, units: str, step: int = 32) -> str:
    """Write a length that is never more than the given one in fractions of an inch; in mm as `format_length`.

    It is for depths, and for wood that is promised to be left: the fraction below costs a shaving, the one above a
    seat. Raises as `format_length`.
    """
    return _toward(mm, units, step, math.floor, SAME_PARTS)


def format_no_less(mm: float, units: str, step: int = 32) -> str:
    """Write a length that is never less than the given one in fractions of an inch; in mm as `format_length`.

    It is for wood that has to be left. Raises as `format_length`.
    """
    return _toward(mm, units, step, math.ceil, -SAME_PARTS)


def _toward(mm: float, units: str, step: int, way: Callable[[float], int], slack: float) -> str:
    if units != "in":
        return format_length(mm, units, step)
    format_length(mm, units, step)  # refuses what is no length or no step
    return _inches(way(mm / MM_PER_INCH * step + slack) * MM_PER_INCH / step, step)


def _inches(length_mm: float, step: int) -> str:
    parts = round(abs(length_mm) / MM_PER_INCH * step)
    whole, rest = divmod(parts, step)
    fraction = Fraction(rest, step)
    sign = "-" if length_mm < 0 and parts else ""
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(f"{fraction.numerator}/{fraction.denominator}")
    return f'{sign}{" ".join(words)}"'


def _decimal(length_mm: float, decimals: int) -> str:
    if isinstance(decimals, bool) or not isinstance(decimals, int) or not 0 <= decimals <= 6:
        raise ValueRefusedError(
            "decimals", shown(decimals), "allowed is a whole number from 0 to 6", "give 0, 1 or 2"
        )
    text = f"{length_mm:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


_NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"
_QUOTED = r"""(?<![\w"'])(?:'(?:\\.|[^'\\\n]|'(?=\w))*'(?!\w)|"(?=\S)(?:\\.|[^"\\\n])*")"""
"""As Python shows what was given, and as titles stand in words; after a digit a mark stands for inches or feet."""
_BETWEEN = " to | x | and | or |, at most "
_IN_WORDS = re.compile(
    rf"(?P<kept>{re.escape(ALLOWED_LENGTH)}|{_QUOTED})"
    rf"|(?<![\w.,/-])(?P<mm>{_NUMBER}(?:(?:{_BETWEEN}){_NUMBER})*|\({_NUMBER}, {_NUMBER}\)) mm\b"
)


def in_inches(words: str) -> str:
    """Return words with inches for mm: of ``430 mm``, ``30 to 40 mm``, ``430 x 480 mm`` and ``(60, 220) mm``.

    A range keeps within its ends. What is quoted stays as it is, and so does the list of ways to write a length.
    """
    return _IN_WORDS.sub(lambda match: match["kept"] or _said_in_inches(match["mm"]), words)


def in_unit(words: str, units: str) -> str:
    """Return words that name lengths in mm as they read in a unit; see `in_inches`."""
    return in_inches(words) if units == "in" else words


def _finely(mm: float, units: str) -> str:
    """Return a length as a fraction of an inch, or as a decimal where the nearest 1/32 would be none."""
    step = MM_PER_INCH / 32
    return f"{mm / MM_PER_INCH:.3f} in" if 0.0 < abs(mm) < 0.5 * step else format_length(mm, units)


def _said_in_inches(lengths: str) -> str:
    is_range = " to " in lengths or ", at most " in lengths
    count = len(re.findall(_NUMBER, lengths))
    ways = [format_no_less if is_range else _finely] + [_finely] * (count - 1)
    if is_range:
        ways[-1] = format_no_more
    way = iter(ways)
    return re.sub(_NUMBER, lambda one: next(way)(float(one[0]), "in"), lengths)


def format_area(cm2: float, units: str) -> str:
    """Write an area: ``645 cm2``, or ``100 sq in``, and less than ten of those as ``1.4 sq in``."""
    if units != "in":
        return f"{cm2:.0f} cm2"
    square = cm2 * 100.0 / MM_PER_INCH**2
    return f"{square:.{1 if square < 9.95 else 0}f} sq in"


def format_volume(cm3: float, units: str) -> str:
    """Write a volume: ``941 cm3``, or ``57.4 cu in``."""
    return f"{cm3:.0f} cm3" if units != "in" else f"{cm3 * 1000.0 / MM_PER_INCH**3:.1f} cu in"


def format_mass(kg: float, units: str, decimals: int = 1) -> str:
    """Write a mass: ``3.2 kg``, or ``7.1 lb``."""
    return f"{kg:.{decimals}f} kg" if units != "in" else f"{kg / KG_PER_POUND:.{decimals}f} lb"


def peak_square(units: str) -> str:
    """Return what a peak is the mean over, a square of 10 mm: ``1 cm2``, or ``3/8" square``, which is as close."""
    return "1 cm2" if units != "in" else '3/8" square'


def format_change(mm: float, units: str, decimals: int = 1) -> str:
    """Write a small change of a length with its sign: ``+1.9 mm``, or ``+0.075 in``."""
    if units == "in":
        return f"{mm / MM_PER_INCH:+.3f} in"
    return f"{mm:+.{decimals}f} mm" if abs(mm) >= 0.5 * 10.0**-decimals else f"{0.0:.{decimals}f} mm"


def format_size(mm: float, units: str, decimals: int = 1) -> str:
    """Write how large a small change of a length is, whichever way: ``1.9 mm``, or ``0.075 in``."""
    return format_change(abs(mm), units, decimals).lstrip("+")


def wrapped(words: str, width: int, *, first: str = "", then: str = "") -> list[str]:
    """Return words in lines of at most a width, the first and the others begun as stated.

    No fraction is torn from its inches: a line that began with 3/16" would be read as that.
    """
    whole = re.sub(r"(?<=\d) (?=\d+/\d)", "\u00a0", words)
    lines = textwrap.wrap(whole, width, initial_indent=first, subsequent_indent=then)
    return [line.replace("\u00a0", " ") for line in lines]
