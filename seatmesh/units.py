"""Lengths as makers write them, in millimetres or in inches with fractions: reading and writing of both."""

from __future__ import annotations

import math
import numbers
import re
import textwrap
from collections.abc import Callable
from fractions import Fraction

from seatmesh.errors import NotAmongError, ValueRefusedError

MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
INCHES_PER_FOOT, POUNDS_PER_STONE = 12, 14
KG_PER_POUND = 0.45359237
KG_PER_STONE = 14 * KG_PER_POUND

ALLOWED_LENGTH = (
    'allowed are a plain number of mm, or text like 412 mm, 41.2 cm, 41,2 cm, 16.19 in, 16 3/16", 5\' 6 1/2"'
)
ALLOWED_MASS = "allowed are a plain number of kg, or text like 76 kg, 76,2 kg, 168 lb, 12 st, 12 st 4 lb"
ALLOWED_UNITS = ("mm", "in")
TABLE_PARTS = 1000
"""Parts of an inch that tables are written to."""
SAME_PARTS = 1e-4
"""Parts of a step by which a length may miss a whole one and still be that one: a solver's last digits, 0.1 um."""
USUAL_UNITS = "mm"
"""How pictures, sheets and reports speak where no one says otherwise."""

_INCH = Fraction(254, 10)
_MM_PER_UNIT = {"": Fraction(1), "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_MM_PER_UNIT |= dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), _INCH)
# Digits are counted so that no text, however long, makes a number that Python refuses to hold.
_DECIMAL = r"[0-9]{1,9}(?:\.[0-9]{0,18}|,[0-9]{1,18})?|[.,][0-9]{1,18}"
_LENGTH = re.compile(
    rf"""(?P<sign>[+\-−]?)\s*
        (?:(?P<feet>[0-9]{{1,9}})\s*(?:'|′|’|ft\.?|feet|foot)(?:\s*-\s*|\s*)(?=[0-9.,]|$))?
        (?:(?:(?P<whole>[0-9]{{1,9}})(?:\s+|\s*-\s*))?(?P<top>[0-9]{{1,9}})\s*/\s*(?P<bottom>[0-9]{{1,9}})
          |(?P<decimal>{_DECIMAL}))?
        \s*(?P<unit>mm|cm|m|inches|inch|in|"|″|”|)\.?""",
    re.VERBOSE | re.IGNORECASE,
)
_KG_PER_UNIT = {
    "": Fraction(1),
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "lb": Fraction(45359237, 100_000_000),
}
_MASS = re.compile(
    rf"""(?:(?P<stones>{_DECIMAL})\s*(?:stones?|st)\.?\s*)?
        (?:(?P<amount>{_DECIMAL})\s*(?P<unit>kg|g|lbs?|pounds?|)\.?)?""",
    re.VERBOSE | re.IGNORECASE,
)
_THOUSANDS = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")
"""What one reader takes for a decimal and another for thousands."""


def shown(given: object) -> str:
    """Return what was given as a refusal shows it: never longer than one line."""
    try:
        text = repr(given)
    except ValueError:  # an int too long for Python to write out
        text = "a number of thousands of digits"
    return text if len(text) <= 60 else f"{text[:57]}..."


def real_number(name: str, given: object, allowed: str = "allowed is a number") -> float:
    """Return `given` as a finite float; `name` is the key that the refusal names.

    Raises
    ------
    ValueRefusedError
        For anything but an int or float (or NumPy's), for NaN, for infinity and for what no float can hold.
    """
    if isinstance(given, bool) or not isinstance(given, numbers.Real):
        raise ValueRefusedError(name, shown(given), allowed, "give a number")
    try:
        value = float(given)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise ValueRefusedError(name, shown(given), allowed, "give a finite number")
    return value


def parse_length_mm(text_or_number: object, name: str = "length", bare: str = "mm") -> float:
    """Return a length in mm from a number (mm) or from text with or without its unit.

    Text may be decimal, with a point or a comma (``412``, ``412 mm``, ``41,2 cm``, ``16.19 in``), or, in inches only, a
    fraction (``16 3/16"``, ``16-3/16 in``, ``3/16"``), or feet with inches (``5' 6 1/2"``, ``5 ft 6 in``), each with a
    leading minus for a length the other way. `bare` is the unit of text without one, "mm" or "in".

    Raises
    ------
    ValueRefusedError
        For all else, with what is allowed; `name` is the key that it names.
    """
    if not isinstance(text_or_number, str):
        return real_number(name, text_or_number, ALLOWED_LENGTH) * (MM_PER_INCH if bare == "in" else 1.0)
    match = _LENGTH.fullmatch(text_or_number.strip())
    if match is None or not (match["decimal"] or match["top"] or match["feet"]):
        raise ValueRefusedError(name, shown(text_or_number), ALLOWED_LENGTH, "write it in one of these ways")
    _refuse_thousands(text_or_number, name)
    # Exact until the end, so that 15 3/4" is the float nearest to 400.05.
    length_mm = float(_size_mm(match, name, text_or_number, bare))
    return -length_mm if match["sign"] in ("-", "−") else length_mm


def _size_mm(match: re.Match[str], name: str, text: str, bare: str) -> Fraction:
    unit = match["unit"].lower()
    if match["feet"] is None:
        per = _MM_PER_UNIT[unit or bare]
        return (_exact(match["decimal"]) if match["decimal"] else _fraction(match, name, text, per)) * per
    inches = (
        _exact(match["decimal"])
        if match["decimal"]
        else _fraction(match, name, text, _INCH)
        if match["top"]
        else Fraction(0)
    )
    if (unit and _MM_PER_UNIT[unit] != _INCH) or inches >= INCHES_PER_FOOT:
        raise ValueRefusedError(
            name, shown(text), "beside feet stand inches, fewer than 12", "write it like 5' 6 1/2\""
        )
    return (int(match["feet"]) * INCHES_PER_FOOT + inches) * _INCH


def parse_mass_kg(text_or_number: object, name: str = "mass") -> float:
    """Return a mass in kg from a number (kg) or from text: ``76``, ``76,2 kg``, ``168 lb``, ``12 st``, ``12 st 4 lb``.

    Raises
    ------
    ValueRefusedError
        For all else, with what is allowed; `name` is the key that it names.
    """
    if not isinstance(text_or_number, str):
        return real_number(name, text_or_number, ALLOWED_MASS)
    text = text_or_number.strip()
    match = _MASS.fullmatch(text)
    pounds = match is not None and match["unit"] is not None and match["unit"].lower()[:1] in ("l", "p")
    if match is None or not text or (match["stones"] and match["amount"] and not pounds):
        raise ValueRefusedError(name, shown(text_or_number), ALLOWED_MASS, "write it in one of these ways")
    _refuse_thousands(text, name)
    stones, amount = (
        Fraction(0) if one is None else _exact(one) for one in (match["stones"], match["amount"])
    )
    if match["stones"] and amount >= POUNDS_PER_STONE:
        raise ValueRefusedError(
            name,
            shown(text_or_number),
            "beside stones stand pounds, fewer than 14",
            "write it like 12 st 4 lb",
        )
    per = _KG_PER_UNIT["lb" if pounds else (match["unit"] or "").lower()]
    return float(stones * POUNDS_PER_STONE * _KG_PER_UNIT["lb"] + amount * per)


def _exact(text: str) -> Fraction:
    return Fraction(text.replace(",", "."))


def _refuse_thousands(text: str, name: str) -> None:
    found = _THOUSANDS.search(text)
    if found is not None:
        whole = found[0].replace(",", "")
        raise ValueRefusedError(
            name,
            shown(text),
            "a comma before three digits may stand for decimals or for thousands",
            f"write {whole}, or {found[0].replace(',', '.')}",
        )


def _fraction(match: re.Match[str], name: str, text: str, per: Fraction) -> Fraction:
    top, bottom = int(match["top"]), int(match["bottom"])
    if per != _INCH:
        raise ValueRefusedError(
            name, shown(text), "fractions are read in inches only", 'add " or in, or give mm as a decimal'
        )
    if bottom == 0 or (match["whole"] is not None and top >= bottom):
        raise ValueRefusedError(
            name, shown(text), "a fraction beside whole inches is less than 1", 'write it like 16 3/16"'
        )
    return int(match["whole"] or 0) + Fraction(top, bottom)


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


_IN_WORDS = re.compile(
    r"""(?P<quoted>'[^'\n]*')|(?:(?P<low>-?[0-9]+(?:\.[0-9]+)?) to )?(?P<mm>-?[0-9]+(?:\.[0-9]+)?) mm\b"""
)


def in_inches(words: str) -> str:
    """Return words with inches for mm; a range keeps within its ends, what is quoted stays as it is."""

    def written(match: re.Match[str]) -> str:
        if match["quoted"]:
            return match[0]
        if match["low"] is None:
            return format_length(float(match["mm"]), "in")
        return f"{format_no_less(float(match['low']), 'in')} to {format_no_more(float(match['mm']), 'in')}"

    return _IN_WORDS.sub(written, words)


def format_area(cm2: float, units: str) -> str:
    """Write an area: ``645 cm2``, or ``100 sq in``."""
    return f"{cm2:.0f} cm2" if units != "in" else f"{cm2 * 100.0 / MM_PER_INCH**2:.0f} sq in"


def wrapped(words: str, width: int, *, first: str = "", then: str = "") -> list[str]:
    """Return words in lines of at most a width, the first and the others begun as stated.

    No fraction is torn from its inches: a line that began with 3/16" would be read as that.
    """
    whole = re.sub(r"(?<=\d) (?=\d+/\d)", "\u00a0", words)
    lines = textwrap.wrap(whole, width, initial_indent=first, subsequent_indent=then)
    return [line.replace("\u00a0", " ") for line in lines]
