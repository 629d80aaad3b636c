"""A point list: a row for each point, x, y and z, as CSV or text."""

from __future__ import annotations

import io
import re

import numpy as np

from seatmesh.errors import FileRefusedError
from seatmesh.formats.length_unit import MM_PER
from seatmesh.formats.scan_contents import MOST_POINTS, Raw, refuse_long, refuse_many, refusing

LONGEST_LINE = 10_000
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?|nan|[+-]?inf", re.IGNORECASE)


def read_points(data: bytes, where: str) -> Raw:
    """Return the points of a list: x, y, z first in each row; between them commas, semicolons, tabs or spaces.

    A first line of names is skipped; it has to name x, y and z, and may carry their unit ("x_mm"). Lines that begin
    with # are skipped. With semicolons, decimals may have commas.
    """
    with refusing(where, "a point list"):
        # Lines may end as any system ends them.
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        refuse_long(where, data, b"\n", LONGEST_LINE, "a line")
        text = data.decode("utf-8-sig")
        refuse_many(where, text.count("\n"), MOST_POINTS, "rows")
        rows = text.splitlines()
        rows = [row for row in rows if row.strip() and not row.lstrip().startswith("#")]
        if not rows:
            return Raw(np.zeros((0, 3)))
        delimiter = next((mark for mark in (";", "\t", ",") if mark in rows[0]), None)
        first = [word.strip().strip('"') for word in rows[0].split(delimiter)]
        unit = None
        if first and not all(_NUMBER.fullmatch(word) for word in first[:3]):
            unit = _named_unit(first, where)
            rows = rows[1:]
        body = "\n".join(rows)
        if delimiter == ";":
            body = body.replace(",", ".")
        if not body:
            return Raw(np.zeros((0, 3)))
        points = np.loadtxt(io.StringIO(body), delimiter=delimiter, usecols=(0, 1, 2), ndmin=2, comments=None)
        return Raw(np.asarray(points, dtype=float), unit=unit)


def _named_unit(names: list[str], where: str) -> str | None:
    """Return the unit that the names carry, if any."""
    letters = [re.match(r"[A-Za-z]*", name).group().lower() for name in names[:3]]  # type: ignore[union-attr]
    if letters != ["x", "y", "z"]:
        raise FileRefusedError(
            f"{where}: its first line names {', '.join(names[:3])[:60]}; allowed are x, y and z (z up); "
            "put these three columns first."
        )
    units = {
        unit for name in names[:3] for unit in MM_PER if re.fullmatch(rf".*[_ (\[]{unit}[)\]]?", name.lower())
    }
    if len(units) > 1:
        raise FileRefusedError(f"{where}: its first line names two units; give all three columns in one.")
    return units.pop() if units else None
