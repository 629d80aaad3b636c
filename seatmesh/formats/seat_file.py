"""The seat file: a carved seat as JSON, versioned, exact to the bit."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections import Counter
from pathlib import Path
from typing import Any, NoReturn, get_type_hints

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError, NotAmongError, ValueRefusedError
from seatmesh.files.bounded import read_bounded
from seatmesh.files.whole_or_nothing import write_text
from seatmesh.formats.seat_file_fields import exact_table, finite_number, from_plain, to_plain
from seatmesh.spline import DEGREE, BicubicSpline
from seatmesh.surface import Seat
from seatmesh.units import ALLOWED_UNITS, shown
from seatmesh.wood.outline.shapes import OUTLINES

FORMAT = "seatmesh seat"
VERSION = 1
LARGEST_FILE_BYTES = 20_000_000
MOST_KNOTS = 2_000
POSITIVE = ("width_mm", "depth_mm", "thickness_mm")
HOLLOW_KEYS = ["knots_x_mm", "knots_y_mm", "coefficients_mm"]


def write_seat(seat: Seat, path: str | Path) -> None:
    """Write a seat file; the same seat gives the same bytes, and `read_seat` the same depths to the bit.

    Raises
    ------
    ValueRefusedError
        The seat holds something that could not be read back, such as a depth that is not finite.
    FileRefusedError
        The file cannot be written.

    Examples
    --------
    >>> from seatmesh import flat_seat, read_seat, write_seat
    >>> write_seat(flat_seat(), "seat.json")
    >>> read_seat("seat.json") == flat_seat()
    True
    """
    write_text(path, _checked_text(seat))


def seat_bytes(seat: Seat) -> bytes:
    """Return what `write_seat` writes.

    Raises
    ------
    ValueRefusedError
        The seat holds something that could not be read back.
    """
    return _checked_text(seat).encode()


def _checked_text(seat: Seat) -> str:
    table = _to_table(seat)
    _from_table(table, f"seat '{seat.title}'")
    return _text(table)


def seat_digest(seat: Seat) -> str:
    """Return the hash of a seat's file: the same for equal seats, however they came about."""
    return hashlib.sha256(_text(_to_table(seat)).encode("utf-8", "surrogatepass")).hexdigest()


def _text(table: dict[str, Any]) -> str:
    return json.dumps(table, indent=1, allow_nan=False) + "\n"


def read_seat(path: str | Path) -> Seat:
    """Read a seat file.

    Raises
    ------
    FileRefusedError
        There is no such file, or it is larger than 20 MB, not UTF-8, not JSON or nested too deeply.
    UnknownKeyError, MissingKeyError, ValueRefusedError
        A key or value in it is refused; the message names it.

    Examples
    --------
    >>> from seatmesh import Adjustment, Seat, read_seat, write_seat
    >>> write_seat(Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),)), "seat.json")
    >>> float(read_seat("seat.json").depth_mm(0.0, 200.0))
    10.0
    """
    where = f"seat file '{path}'"
    return seat_from_bytes(read_bounded(path, where, LARGEST_FILE_BYTES), where)


def seat_from_bytes(data: bytes, where: str = "the seat file") -> Seat:
    """Return the seat in the bytes of a seat file; `where` names them in refusals, which are those of `read_seat`."""
    return _from_table(_parse(data, where), where)


def _to_table(seat: Seat) -> dict[str, Any]:
    hints = get_type_hints(Seat)
    fields = {
        f.name: to_plain(getattr(seat, f.name), hints[f.name])
        for f in dataclasses.fields(Seat)
        if f.name != "hollow"
    }
    return {"format": FORMAT, "version": VERSION, **fields, "hollow": _hollow_table(seat.hollow)}


def _hollow_table(hollow: BicubicSpline | None) -> dict[str, Any] | None:
    if hollow is None:
        return None
    arrays = (hollow.knots_x, hollow.knots_y, hollow.coefficients)
    return dict(zip(HOLLOW_KEYS, [np.asarray(a, dtype=float).tolist() for a in arrays], strict=True))


def _from_table(table: Any, where: str) -> Seat:
    _refuse_other_format(table, where)
    names = [f.name for f in dataclasses.fields(Seat)]
    # Older files have no adjustments, and do not say how the search for the hollow ended.
    table = {"adjustments": [], "ending": None, **table}
    exact_table(table, ["format", "version", *names], where)
    hints = get_type_hints(Seat)
    values = {
        name: from_plain(table[name], hints[name], f"{where}, {name}") for name in names if name != "hollow"
    }
    seat = Seat(hollow=_hollow(table["hollow"], f"{where}, hollow"), **values)
    _refuse_sizes(seat, where)
    return seat


def _refuse_other_format(table: Any, where: str) -> None:
    given = (table.get("format"), table.get("version")) if isinstance(table, dict) else (None, None)
    # A version of True would be equal to 1.
    if given != (FORMAT, VERSION) or type(given[1]) is not int:
        raise ValueRefusedError(
            f"{where}, format and version",
            shown(given),
            f"allowed is {FORMAT!r}, {VERSION}",
            "give a seat file that this release wrote",
        )


def _refuse_sizes(seat: Seat, where: str) -> None:
    for name in POSITIVE:
        if not (size := getattr(seat.blank, name)) > 0.0:
            raise ValueRefusedError(f"{where}, blank.{name}", size, "allowed is above 0", "correct it there")
    if not seat.front_roll_mm >= 0.0:
        raise ValueRefusedError(
            f"{where}, front_roll_mm", seat.front_roll_mm, "allowed is 0 or above", "give 0 for no roll"
        )
    for name, given, allowed in (
        ("blank.outline", seat.blank.outline, tuple(OUTLINES)),
        ("units", seat.units, ALLOWED_UNITS),
    ):
        if given not in allowed:
            raise NotAmongError(f"{where}, {name}", shown(given), allowed)


def _hollow(table: Any, where: str) -> BicubicSpline | None:
    if table is None:
        return None
    exact_table(table, HOLLOW_KEYS, where)
    knots_x, knots_y = (_knots(table[key], f"{where}.{key}") for key in HOLLOW_KEYS[:2])
    shape = (len(knots_x) - DEGREE - 1, len(knots_y) - DEGREE - 1)
    rows = table[HOLLOW_KEYS[2]]
    name = f"{where}.{HOLLOW_KEYS[2]}"
    if not (
        isinstance(rows, list)
        and len(rows) == shape[0]
        and all(isinstance(row, list) and len(row) == shape[1] for row in rows)
    ):
        allowed = f"its knots ask for {shape[0]} lists of {shape[1]} numbers"
        raise ValueRefusedError(name, shown(rows), allowed, "take the file as it was written")
    values = [
        [finite_number(c, f"{name}[{i}][{j}]") for j, c in enumerate(row)] for i, row in enumerate(rows)
    ]
    return BicubicSpline(knots_x, knots_y, np.array(values))


def _knots(given: Any, where: str) -> Floats:
    fewest = 2 * (DEGREE + 1)
    if not (isinstance(given, list) and fewest <= len(given) <= MOST_KNOTS):
        allowed = f"allowed is a list of {fewest} to {MOST_KNOTS} numbers"
        raise ValueRefusedError(where, shown(given), allowed, "take the file as it was written")
    knots = np.array([finite_number(one, f"{where}[{i}]") for i, one in enumerate(given)])
    ends_fourfold = knots[0] == knots[DEGREE] and knots[-1] == knots[-DEGREE - 1]
    # No more than three alike inside, so that the hollow has no step; four alike and no more at the ends.
    inside_continuous = np.all(knots[1 : -DEGREE - 1] < knots[DEGREE + 1 : -1]) and knots[0] < knots[-1]
    if not (ends_fourfold and inside_continuous and np.all(np.diff(knots) >= 0.0)):
        raise ValueRefusedError(
            where,
            shown(given),
            "allowed are rising knots with four alike at each end and at most three inside",
            "take the file as it was written",
        )
    return knots


def _parse(data: bytes, where: str) -> Any:
    def refuse_constant(name: str) -> NoReturn:
        raise FileRefusedError(f"{where} holds {name}; allowed are finite numbers; correct it there.")

    def table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        one_each = dict(pairs)
        if len(one_each) < len(pairs):
            twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
            raise FileRefusedError(f"{where} holds {shown(twice)} twice in one table; keep one of the two.")
        return one_each

    try:
        # A byte-order mark, as some editors write, is no part of the text.
        return json.loads(data.decode("utf-8-sig"), parse_constant=refuse_constant, object_pairs_hook=table)
    except UnicodeDecodeError as error:
        raise FileRefusedError(
            f"{where} is not UTF-8 text (byte {error.start}); is it a seat file?"
        ) from error
    except RecursionError as error:
        raise FileRefusedError(f"{where} is nested too deeply for a seat; is it a seat file?") from error
    except ValueError as error:  # JSONDecodeError, and integers of thousands of digits
        raise FileRefusedError(f"{where} is not JSON: {error}; is it a seat file?") from error
