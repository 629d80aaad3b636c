"""Lengths and masses as makers write them, read: millimetres, inches with fractions, feet, pounds, stones."""

from __future__ import annotations

import math
import numbers
import re
from fractions import Fraction

from seatmesh.errors import ValueRefusedError
from seatmesh.units.known import (
    ALLOWED_LENGTH,
    ALLOWED_MASS,
    INCHES_PER_FOOT,
    MM_PER_INCH,
    POUNDS_PER_STONE,
)

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
    """Return what was given as a refusal shows it: never longer than one line, its quotes closed."""
    try:
        text = repr(given)
    except ValueError:  # an int too long for Python to write out
        text = "a number of thousands of digits"
    return text if len(text) <= 60 else f"{text[:56]}...{text[-1]}"


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
