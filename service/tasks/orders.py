"""Orders as text and as JSON, and bodies."""

from __future__ import annotations

import datetime
import tomllib
from typing import Any

import tomli_w

from seatmesh.body.body import Body
from seatmesh.body.body_file import bodies_folder, body_from_table, read_body
from seatmesh.body.habit_keys import HABIT
from seatmesh.body.people_words import SURVEY
from seatmesh.design.report.plain import rounded
from seatmesh.errors import FileRefusedError

from ..keeping.identity import canonical
from ..keeping.kept import KeptSeat
from .of_a_seat.kept import read_order_table
from .plain import json_bytes
from .toml_keys import refuse_long_keys


def order_from_text(data: bytes) -> bytes:
    """Return the order of a TOML text as JSON, after it was found to be a good one."""
    refuse_long_keys(data)
    try:
        table = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise FileRefusedError(
            f"the order is not UTF-8 text (byte {error.start}); save it as UTF-8."
        ) from error
    except (ValueError, RecursionError) as error:
        raise FileRefusedError(f"the order is not TOML: {str(error)[:200]}; correct it there.") from error
    plain = canonical(_without_dates(table))
    read_order_table(plain)
    return json_bytes(plain)


def order_text(kept: KeptSeat) -> bytes:
    """Return the order of a kept seat as TOML."""
    return tomli_w.dumps(kept.order).encode()


def estimate(table: dict[str, Any]) -> bytes:
    """Return a body with every measure, from those that are given."""
    return json_bytes(describe(body_from_table(table, "body", "sitter")))


def bodies() -> bytes:
    """Return the bodies that come with the tool."""
    files = sorted(bodies_folder().glob("*.toml"))
    return json_bytes({"bodies": {path.stem: describe(read_body(path)) for path in files}})


def describe(body: Body) -> dict[str, Any]:
    """Return a body with every measure, its standard error and 90 % interval; the name of a measure has its unit."""
    measures = {name: one.facts() for name, one in body.measures.items()}
    habit = {key.name: getattr(body.habit, key.name) for key in HABIT.keys}
    return {
        "name": body.name,
        "sex": body.sex,
        "measures": rounded(measures),
        "habit": habit,
        "notes": list(body.notes),
        "survey": SURVEY,
    }


def _without_dates(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_dates(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_without_dates(one) for one in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return value
