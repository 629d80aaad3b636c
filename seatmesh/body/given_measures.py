"""Measures as a maker gives them: refused where they cannot be right, with the unit they look like."""

from __future__ import annotations

from collections.abc import Mapping

from seatmesh.body.body import Measure, Origin, Sex
from seatmesh.body.measures import MEASURES, MeasureKind
from seatmesh.errors import UnknownKeyError, ValueRefusedError
from seatmesh.refused import Advice, Piece, Setting, said
from seatmesh.units import KG_PER_POUND, KG_PER_STONE, MM_PER_FOOT, MM_PER_INCH, real_number, shown

_LIKELY_UNITS = {
    "mm": {
        "metres": 1000.0,
        "cm": 10.0,
        "inches": MM_PER_INCH,
        "feet": MM_PER_FOOT,
    },
    "kg": {"pounds": KG_PER_POUND, "stones": KG_PER_STONE, "grams": 0.001},
}
TO_DO = {
    "mm": "measure again",
    "kg": "measure again; a child lighter than that is beyond what can be estimated",
    "years": "give the age in years, not the year of birth, or leave it out",
    "percent": "give 100 for a usual underside, more for a flatter one, or leave it out",
}
"""What to do about a value out of range that no other unit explains."""
UNLIKELY = 0.9
_LAST_GUESS = {"tenths of an inch": MM_PER_INCH / 10}


def checked_sex(sex: object) -> Sex | None:
    """Return the sex, refused unless "male", "female" or None for not stated."""
    if sex is None:
        return None
    if sex == "male":
        return "male"
    if sex == "female":
        return "female"
    raise ValueRefusedError(
        "sex", shown(sex), 'allowed are "male" and "female"', "choose one, or leave it out if not stated"
    )


def checked_measures(given: Mapping[str, object]) -> dict[str, Measure]:
    """Return given measures with their errors, in the order of the table.

    Each value is a number as read from the tape, which gets the tape's usual error, or a `Measure` with its
    own.

    Raises
    ------
    UnknownKeyError
        A name that no measure has.
    ValueRefusedError
        A value or error that is no number, is not plausible for an adult, or is itself an estimate.
    """
    for name in given:
        if name not in MEASURES:
            raise UnknownKeyError(name, MEASURES, "body measures")
    return {name: _checked(kind, given[name]) for name, kind in MEASURES.items() if name in given}


def _checked(kind: MeasureKind, given: object) -> Measure:
    if not isinstance(given, Measure):
        origin: Origin = "measured" if kind.survey_column is not None else "given"
        return Measure(_plausible(kind, given), kind.tape_error, origin)
    if given.origin == "estimated":
        raise ValueRefusedError(
            kind.name,
            f"{shown(given.value)}, estimated",
            "allowed is what was measured or given",
            "leave it out",
        )
    checked_error(kind, given.standard_error)
    _plausible(kind, given.value)
    return given


def checked_error(kind: MeasureKind, given: object) -> float:
    """Return a stated standard error, refused unless from 0 to the width of the measure's plausible range."""
    widest = kind.highest - kind.lowest
    allowed = f"allowed are 0 to {widest:g} {kind.unit}"
    error = real_number(f"standard error of {kind.name}", given, allowed)
    if not 0.0 <= error <= widest:
        raise ValueRefusedError(
            f"standard error of {kind.name}", shown(given), allowed, "say how far repeated readings scatter"
        )
    return error


def _plausible(kind: MeasureKind, given: object) -> float:
    allowed = f"allowed are {kind.lowest:g} to {kind.highest:g} {kind.unit}"
    value = real_number(kind.name, given, allowed)
    if kind.lowest <= value <= kind.highest:
        return value
    raise ValueRefusedError(
        kind.name,
        said("{}", Piece(None, value, kind.unit, text=shown(given))),
        said("allowed are {} to {}", Piece(None, kind.lowest), Piece(None, kind.highest, kind.unit)),
        _likely(kind, value) or TO_DO[kind.unit],
    )


def _likely(kind: MeasureKind, value: float) -> Advice | None:
    """Advise what the value is in other units that would make it plausible; None where none would."""
    guesses = _fitting(kind, value, _LIKELY_UNITS.get(kind.unit, {}))
    if not guesses and kind.unit == "mm":
        # So rare a unit is worth a guess only where what it makes is no giant's measure.
        guesses = (
            [] if value * MM_PER_INCH / 10 > UNLIKELY * kind.highest else _fitting(kind, value, _LAST_GUESS)
        )
    if not guesses:
        return None
    ways = tuple((Setting(None, meant),) for _, meant in guesses)
    return Advice(ways, text=", or ".join(words for words, _ in guesses))


def _fitting(kind: MeasureKind, value: float, units: Mapping[str, float]) -> list[tuple[str, float]]:
    """Return the units that would make a value plausible, in words, each with what it would then be."""
    return [
        (f"{value:g} looks like {unit}; give {value * factor:.4g}", float(f"{value * factor:.4g}"))
        for unit, factor in units.items()
        if kind.lowest <= value * factor <= kind.highest
    ]
