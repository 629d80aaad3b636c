"""A gauge sheet that readings were typed into: CSV to rows, each knowing the line that it stands on."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from seatmesh.errors import FileRefusedError, MissingKeyError, UnknownKeyError, ValueRefusedError
from seatmesh.files.bounded import read_bounded
from seatmesh.gauge.bar.gauge_sheet import COLUMNS
from seatmesh.units import column, parse_length_mm, shown

NEEDED = ("point", "x_mm", "y_mm", "reading_mm")
LARGEST_BYTES = 5_000_000
MOST_ROWS = 5_000
MOST_LENGTH_MM = 10_000.0
MOST_PROUD_MM = 15.0
SEPARATORS = (",", ";", "\t")
SAME_PLACE_MM = 0.1
CONFIRMED = {"": False, "0": False, "no": False, "false": False, "1": True, "yes": True, "true": True}


@dataclass(frozen=True)
class Row:
    """One crossing with what was typed in.

    Attributes
    ----------
    line
        Of the file, from 1; of a list of tables, its number.
    expected_mm
        None where the file does not hold it: it then follows from the seat.
    reading_mm
        None where nothing was typed in.
    datum_mm
        The reading on the blank's top face; None where the file does not hold it.
    mirror
        Number of the crossing on the other side, as the file states it.
    left_proud_mm
        By how much the sitter's left stands proud of the right at this crossing, compared without a scale.
    placing
        Number of the setting down of the bar that it was read from; None where the file does not say.
    confirmed
        Whether it was read twice, the bar lifted and set down anew between, and read the same.
    source, file
        Which of several files it stands in, from 0, and that file's name; empty where there is but one.
    counted
        What `line` counts, in words: lines of a file, or the numbers of a list, of which none can have got lost.
    echo
        Whether it stands for the second reading of a confirmed one; see `as_read`.

    Examples
    --------
    >>> from seatmesh import Row
    >>> Row(line=2, point=1, x_mm=-60.0, y_mm=150.0, expected_mm=78.5, reading_mm=77.0).place_in_file
    'line 2'
    """

    line: int
    point: int
    x_mm: float
    y_mm: float
    expected_mm: float | None
    reading_mm: float | None
    datum_mm: float | None = None
    mirror: int | None = None
    left_proud_mm: float | None = None
    placing: int | None = None
    confirmed: bool = False
    source: int = 0
    file: str = ""
    counted: str = "line"
    echo: bool = False

    @property
    def place_in_file(self) -> str:
        """Where it stands, in words."""
        place = f"{self.counted} {self.line}"
        return f"{place} of '{self.file}'" if self.file else place


def as_read(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Return rows in which each confirmed reading stands twice: as read, and as read with the bar set down anew."""
    again = [replace(row, echo=True) for row in rows if row.confirmed and row.reading_mm is not None]
    return (*rows, *again)


def read_readings(path: str | Path) -> tuple[Row, ...]:
    r"""Read a gauge sheet's CSV with readings in it, in mm or inches; the columns' names say which.

    A length that is typed with a unit of its own is in that one.

    Columns may be separated by commas, semicolons or tabs and stand in any order; their names decide.

    Raises
    ------
    FileRefusedError, MissingKeyError, UnknownKeyError, ValueRefusedError
        In words, with the line.

    Examples
    --------
    >>> from pathlib import Path
    >>> from seatmesh import read_readings
    >>> _ = Path("readings.csv").write_text("point,x_mm,y_mm,reading_mm\n1,-60,150,78.5\n2,60,150,3 1/16 in\n")
    >>> [round(row.reading_mm, 2) for row in read_readings("readings.csv")]
    [78.5, 77.79]
    """
    where = f"readings '{path}'"
    data = read_bounded(path, where, LARGEST_BYTES)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileRefusedError(f"{where} is not UTF-8 text; save it as CSV, UTF-8.") from error
    return parse_readings(text, where)


def parse_readings(text: str, where: str = "readings") -> tuple[Row, ...]:
    """Return the rows of a CSV text; see `read_readings`."""
    first = text.split("\n", 1)[0]
    separator = max(SEPARATORS, key=first.count)
    # A reading such as 1 3/16" holds a quote that opens nothing: quotes count only at a field's start.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        header = [name.strip() for name in next(reader, [])]
        _refuse_header(header, where)
        missing = [name for name in NEEDED if name not in map(in_mm, header)]
        if missing:
            raise MissingKeyError(
                missing[0], f"{where}, line 1", "keep the gauge sheet's first line as it was written"
            )
        rows = []
        for cells in reader:
            line = reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
                raise FileRefusedError(
                    f"{where}, line {line} has {len(cells)} fields, the first line {len(header)}: write decimals with "
                    f"a point, or put a field that holds '{separator}' in quotes."
                )
            table = dict(zip(header, cells, strict=False))
            rows.append(_row({k: v.strip() for k, v in table.items() if k}, line, where))
            if len(rows) > MOST_ROWS:
                raise FileRefusedError(f"{where}: more than {MOST_ROWS} crossings; give fewer.")
    except csv.Error as error:
        raise FileRefusedError(
            f"{where}, line {reader.line_num}: not CSV ({error}); save it anew."
        ) from error
    return checked_rows(rows, where)


def readings_from_tables(tables: Sequence[Mapping[str, Any]], where: str = "readings") -> tuple[Row, ...]:
    """Return rows from tables of `COLUMNS`, such as JSON holds; lengths are numbers of mm or text with a unit."""
    if not isinstance(tables, Sequence) or not all(isinstance(one, Mapping) for one in tables):
        raise ValueRefusedError(where, shown(tables), "a list of tables", "give one table for each crossing")
    if len(tables) > MOST_ROWS:
        raise ValueRefusedError(
            where, f"{len(tables)} tables", f"at most {MOST_ROWS}", "give fewer crossings"
        )
    for number, one in enumerate(tables, start=1):
        for key in one:
            if in_mm(str(key)) not in COLUMNS:
                raise UnknownKeyError(str(key), COLUMNS, f"{where}, number {number}")
    return checked_rows([_row(one, k, where, "number") for k, one in enumerate(tables, start=1)], where)


def _refuse_header(header: Sequence[str], where: str) -> None:
    for name in header:
        if name and in_mm(name) not in COLUMNS:
            raise UnknownKeyError(name, COLUMNS, f"{where}, line 1")
        if name and [in_mm(one) for one in header].count(in_mm(name)) > 1:
            raise FileRefusedError(
                f"{where}, line 1: column '{name}' stands there twice; keep one of the two."
            )


def in_mm(name: str) -> str:
    """Return the name that a column in inches has in mm; any other name as it is."""
    plain = f"{name.removesuffix('_in')}_mm"
    return plain if name.endswith("_in") and plain in COLUMNS else name


def _row(table: Mapping[str, Any], line: int, where: str, word: str = "line") -> Row:
    place = f"{where}, {word} {line}"
    for name in NEEDED[:3]:
        if _given(table, name)[0] in (None, ""):
            raise MissingKeyError(
                name,
                place,
                "only readings and what is expected may be left out; fill it in from the gauge sheet",
            )
    proud = _length(table, "left_proud_mm", place)
    if proud is not None and abs(proud) > MOST_PROUD_MM:
        raise ValueRefusedError(
            f"{place}, left_proud_mm",
            shown(_given(table, "left_proud_mm")[0]),
            f"allowed is -{MOST_PROUD_MM:g} to {MOST_PROUD_MM:g} mm",
            "give by how much the left stands higher than the right; minus where it is lower",
        )
    return Row(
        line=line,
        point=_number(table, "point", place) or 0,
        x_mm=_length(table, "x_mm", place) or 0.0,
        y_mm=_length(table, "y_mm", place) or 0.0,
        expected_mm=_length(table, "expected_mm", place),
        reading_mm=_length(table, "reading_mm", place),
        datum_mm=_length(table, "datum_mm", place),
        mirror=_number(table, "mirror_point", place),
        left_proud_mm=proud,
        placing=_number(table, "placing", place),
        confirmed=_confirmed(table, place),
        counted=word,
    )


def _length(table: Mapping[str, Any], name: str, place: str) -> float | None:
    given, bare = _given(table, name)
    if given is None or given == "":
        return None
    value = parse_length_mm(given, f"{place}, {name}", bare)
    if abs(value) > MOST_LENGTH_MM:
        raise ValueRefusedError(
            f"{place}, {name}", shown(given), f"no seat is {MOST_LENGTH_MM / 1000:g} m long", "check its unit"
        )
    return value


def _given(table: Mapping[str, Any], name: str) -> tuple[Any, str]:
    """Return what stands in a column of lengths, and the unit that its name says."""
    inches = column(name, "in")
    return (table[inches], "in") if inches in table else (table.get(name), "mm")


def _confirmed(table: Mapping[str, Any], place: str) -> bool:
    given = table.get("confirmed")
    word = "" if given is None else str(given).strip().lower()
    if word not in CONFIRMED:
        raise ValueRefusedError(
            f"{place}, confirmed",
            shown(given),
            "allowed are 1 or nothing",
            "write 1 where you read it twice, the bar lifted and set down anew between, and read the same",
        )
    if CONFIRMED[word] and _given(table, "reading_mm")[0] in (None, ""):
        raise MissingKeyError("reading_mm", place, "a confirmed crossing has a reading; type it in")
    return CONFIRMED[word]


def _number(table: Mapping[str, Any], name: str, place: str) -> int | None:
    given = table.get(name)
    if given is None or given == "":
        return None
    try:
        value = int(str(given))
    except ValueError:
        value = 0
    if not 1 <= value <= 1_000_000 or isinstance(given, bool):
        raise ValueRefusedError(
            f"{place}, {name}",
            shown(given),
            "allowed is a whole number from 1",
            "take it from the gauge sheet",
        )
    return value


def checked_rows(rows: Sequence[Row], where: str) -> tuple[Row, ...]:
    """Refuse one number at two places, two numbers at one place, and a file without any crossing."""
    if not rows:
        raise FileRefusedError(f"{where} holds no crossings; type readings into a gauge sheet's file.")
    points: dict[int, Row] = {}
    places: dict[tuple[float, float], Row] = {}
    for row in rows:
        twin = points.setdefault(row.point, row)
        if max(abs(twin.x_mm - row.x_mm), abs(twin.y_mm - row.y_mm)) > SAME_PLACE_MM:
            raise FileRefusedError(
                f"{where}, {row.place_in_file}: point {row.point} stands on {twin.place_in_file} already, at x "
                f"{twin.x_mm:g}, y {twin.y_mm:g} mm; a second reading of it keeps its place, a further crossing gets "
                "a number of its own."
            )
        other = places.setdefault((round(row.x_mm, 1), round(row.y_mm, 1)), row)
        if other.point != row.point:
            raise FileRefusedError(
                f"{where}, {row.place_in_file}: the place x {row.x_mm:g}, y {row.y_mm:g} mm stands on "
                f"{other.place_in_file} already, as point {other.point}; a second reading keeps the number "
                f"{other.point}, another crossing needs another place."
            )
    return tuple(rows)
