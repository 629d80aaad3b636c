"""Body files: a sitter's measures as a maker writes them down, in TOML.

::

    name = "violin 1"
    sex = "female"                      # may be left out
    stature_mm = 1630                   # a number of mm, or text with its unit
    mass_kg = "137 lb"                  # a number of kg, or text with its unit
    popliteal_height_mm = '15 1/4"'

    [standard_errors]                   # where the usual 6 mm and 1 kg are not right
    popliteal_height_mm = 3

    [habit]
    splay_deg = 10
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from seatmesh.body.body import Body, Habit, Measure
from seatmesh.body.given_measures import checked_error, checked_measures, checked_sex
from seatmesh.body.habit_keys import HABIT
from seatmesh.body.measures import MEASURES
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, ValueRefusedError
from seatmesh.files.names import is_one_line
from seatmesh.files.toml_file import read_toml, refuse_unknown
from seatmesh.refused import Place
from seatmesh.units import parse_length_mm, parse_mass_kg, shown

LONGEST_NAME = 80


def read_body(path: str | Path) -> Body:
    r"""Return the body in a TOML file; what the file does not measure is estimated, see `estimate_body`.

    Raises
    ------
    FileRefusedError
        The file cannot be read as TOML, see `seatmesh.files.toml_file.read_toml`.
    UnknownKeyError, MissingKeyError, ValueRefusedError
        See `body_from_table`.

    Examples
    --------
    >>> from pathlib import Path
    >>> from seatmesh import read_body
    >>> _ = Path("anna.toml").write_text('name = "Anna"\nstature_mm = 1640\nmass_kg = 61\n')
    >>> read_body("anna.toml").name
    'Anna'
    """
    table = read_toml(path, "body file")
    return body_from_table(table, f"body file '{path}'", Path(path).stem)


def body_from_table(table: Mapping[str, Any], where: str, default_name: str) -> Body:
    """Return the body that a table with the keys of a body file describes; `where` names it in a refusal.

    Raises
    ------
    UnknownKeyError
        A key that no body file has.
    MissingKeyError
        No stature or no body mass.
    ValueRefusedError
        A value out of range, in another unit or of another kind.
    """
    try:
        return _body(table, where, default_name)
    except InputError as refusal:
        named = str(getattr(refusal, "name", getattr(refusal, "key", ""))).rpartition(" ")[2]
        refusal.put(Place("body", named if named in (*MEASURES, "name", "sex") else ""))
        raise


def _body(table: Mapping[str, Any], where: str, default_name: str) -> Body:
    refuse_unknown(table, ("name", "sex", "standard_errors", "habit", *MEASURES), where)
    for key, todo in (("stature_mm", "measure how tall the sitter is"), ("mass_kg", "weigh the sitter")):
        if key not in table:
            raise MissingKeyError(key, where, f"{todo} and add it.")
    name = _name(table.get("name", default_name))
    taken = checked_measures({key: _value(key, table[key]) for key in MEASURES if key in table})
    measures: dict[str, Any] = {**taken, **_with_errors(taken, _table(table, "standard_errors"), where)}
    body = estimate_body(checked_sex(table.get("sex")), **measures)
    habit = HABIT.read_one(_table(table, "habit"), f"{where} [habit]", "")
    return replace(body, name=name, habit=habit)


def _name(given: object) -> str:
    if isinstance(given, str) and is_one_line(given) and 0 < len(given.strip()) <= LONGEST_NAME:
        return given.strip()
    raise ValueRefusedError(
        "name", shown(given), f"allowed are 1 to {LONGEST_NAME} printable characters", "give a short name"
    )


def _value(name: str, given: object) -> object:
    """Return a number in the measure's own unit; lengths and masses may be text with another."""
    read = {"mm": parse_length_mm, "kg": parse_mass_kg}.get(MEASURES[name].unit)
    return read(given, name) if isinstance(given, str) and read is not None else given


def _table(table: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    inner = table.get(key, {})
    if isinstance(inner, Mapping):
        return inner
    raise ValueRefusedError(key, shown(inner), "allowed is a table", f"write [{key}] and its keys below")


def _with_errors(taken: Mapping[str, Measure], errors: Mapping[str, Any], where: str) -> dict[str, Measure]:
    refuse_unknown(errors, MEASURES, f"{where} [standard_errors]")
    for name in errors:
        if name not in taken:
            raise MissingKeyError(
                name, where, "[standard_errors] has it; add the measure or leave its error out."
            )
    return {
        name: replace(taken[name], standard_error=checked_error(MEASURES[name], _value(name, error)))
        for name, error in errors.items()
    }


def body_toml(
    name: str,
    sex: str | None,
    measures: Mapping[str, float],
    habit: Habit | None = None,
    comment: tuple[str, ...] = (),
) -> str:
    """Return the text of a body file with lines of comment on top; `read_body` gives the same values back."""
    lines = [f"# {line}" for line in comment]
    lines.append(f"name = {json.dumps(name, ensure_ascii=False)}")  # a printable JSON string is a TOML string
    if sex is not None:
        lines.append(f'sex = "{sex}"')
    lines += [f"{key} = {value!r}" for key, value in measures.items()]
    if habit is not None:
        lines += ["", "[habit]", *(f"{one.name} = {getattr(habit, one.name)!r}" for one in fields(habit))]
    return "\n".join(lines) + "\n"


def bodies_folder() -> Path:
    """Return the folder of the body files that come with the tool, installed or in the source tree.

    Raises
    ------
    FileRefusedError
        It is in neither place.
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "bodies", package.parent / "bodies"):
        if folder.is_dir():
            return folder
    raise FileRefusedError(f"no folder 'bodies' in '{package}' or beside it; install seatmesh again.")
