"""A public as somebody gives it: the name of a cited table, or a table of means and spreads (TOML or JSON)."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from seatmesh.body.body import Sex
from seatmesh.body.survey.population import SEXES
from seatmesh.errors import MissingKeyError, ValueRefusedError
from seatmesh.files.toml_file import read_toml, refuse_unknown
from seatmesh.people.public import TABLES, AgeBand, MeanAndSpread, Public, public_named
from seatmesh.units import real_number, shown

KEYS = ("words", "women_share", "stature_mm", "mass_kg", "ages")
SPREAD_KEYS = ("mean", "sd")
AGE_KEYS = ("from_years", "to_years", "share")
MOST_WORDS = 120


def public_from(given: str) -> Public:
    """Return the public of a name of `TABLES`, or of a TOML file.

    Raises
    ------
    InputError
        It is neither, or a value in the file is refused.
    """
    if given in TABLES or not given.lower().endswith(".toml"):
        return public_named(given)
    return public_from_table(read_toml(Path(given), "file of a public"), f"file of a public '{given}'")


def public_from_table(table: Mapping[str, Any], where: str) -> Public:
    """Return the public that a table with `KEYS` describes; InputError where a key or a value is refused."""
    refuse_unknown(table, KEYS, where)
    words = table.get("words", "")
    if not isinstance(words, str) or len(words) > MOST_WORDS or not words.isprintable():
        raise ValueRefusedError(
            "words", shown(words), f"allowed is one line of up to {MOST_WORDS} letters", "shorten it"
        )
    return Public(
        women_share=real_number(f"{where}: women_share", table.get("women_share", 0.5)),
        stature_mm=_by_sex(table.get("stature_mm", {}), f"{where}: stature_mm"),
        mass_kg=_by_sex(table.get("mass_kg", {}), f"{where}: mass_kg"),
        ages=_ages(table.get("ages", []), f"{where}: ages"),
        words=words,
    )


def _by_sex(given: Any, where: str) -> dict[Sex, MeanAndSpread]:
    if not isinstance(given, Mapping):
        raise ValueRefusedError(
            where, shown(given), "allowed is a table for female, male or both", "see the guide"
        )
    refuse_unknown(given, SEXES, where)
    out: dict[Sex, MeanAndSpread] = {}
    for sex in SEXES:
        if sex in given:
            mean, sd = _numbers(given[sex], SPREAD_KEYS, f"{where}.{sex}")
            out[sex] = MeanAndSpread(mean, sd)
    return out


def _ages(given: Any, where: str) -> tuple[AgeBand, ...]:
    if not isinstance(given, list):
        raise ValueRefusedError(where, shown(given), "allowed is a list of bands", "see the guide")
    return tuple(AgeBand(*_numbers(one, AGE_KEYS, where)) for one in given)


def _numbers(given: Any, keys: tuple[str, ...], where: str) -> list[float]:
    if not isinstance(given, Mapping):
        raise ValueRefusedError(
            where, shown(given), f"allowed is a table of {', '.join(keys)}", "see the guide"
        )
    refuse_unknown(given, keys, where)
    for key in keys:
        if key not in given:
            raise MissingKeyError(key, where, "give it too")
    return [real_number(f"{where}.{key}", given[key]) for key in keys]
