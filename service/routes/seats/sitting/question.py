"""What a client asks about bodies on a seat."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from seatmesh.choices import one_of
from seatmesh.errors import ValueRefusedError
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.seating.sit import check_load
from seatmesh.units import ALLOWED_UNITS, real_number, shown

from ....desk import desk_of
from ....requests.intake import read_table

KEYS = ("bodies", "posture", "load_n", "units")


async def read_question(request: Request, most: int | None = None) -> dict[str, Any]:
    """Return bodies (none: the order's sitters), posture, load_n and units of a request; of bodies `most` at most.

    Raises
    ------
    InputError, ProblemError
        In words.
    """
    table = await read_table(request)
    refuse_unknown(table, KEYS, "body")
    load, units = table.get("load_n"), table.get("units")
    if load is not None:
        check_load(real_number("load_n", load))
    return {
        "bodies": _bodies(table, most or desk_of(request).limits.sitters),
        "posture": _posture(table.get("posture", "upright")),
        "load_n": load,
        "units": None if units is None else one_of("units", units, ALLOWED_UNITS),
    }


def _bodies(table: dict[str, Any], most: int) -> list[Any]:
    if "bodies" not in table:
        return []
    given = table["bodies"]
    if not isinstance(given, list) or not 1 <= len(given) <= most:
        raise ValueRefusedError(
            "bodies", shown(given), f"allowed is a list of 1 to {most}", "name bodies or write them out"
        )
    return given


def _posture(given: Any) -> str:
    if isinstance(given, str):
        return given
    raise ValueRefusedError("posture", shown(given), "allowed is text", "give upright")
