"""The gauge sheet: expected readings at all crossings, as a table to type into and as one to print."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from textwrap import fill

from seatmesh.cautions import GAUGING
from seatmesh.files.csv_table import csv_text
from seatmesh.gauge.bar.crossings import WHAT_TO_DO, Crossing, LeftOut, crossings
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH, column, format_length, format_no_more, table_figure

COLUMNS = (
    "point", "x_mm", "y_mm", "expected_mm", "reading_mm", "datum_mm", "mirror_point", "left_proud_mm", "placing",
    "confirmed", "note",
)  # fmt: skip
"""Of the CSV. `datum_mm` is the reading on the blank's top face; `left_proud_mm` is for comparing without a scale;
`placing` numbers the settings of the bar; `confirmed` is 1 where a crossing was read twice, the bar set down anew."""
ADVICE = (
    "Read a whole line without lifting the bar. The crossings marked * lie on wood that stays uncut: they tell how the",
    "bar sat, so read them on every line; a line without them decides nothing.",
    "For a second reading lift the bar and set it down anew: add a row with the same point and place and a new number",
    "in the column placing, or write 1 in the column confirmed where it read the same. A second look without lifting",
    "the bar tells a slip of the rod, but not how the bar sat.",
)
DATUM_NOTE = "uncut wood"
BLANK_FIELD = "________"
SHEET_HEAD = "GAUGE SHEET"
"""What a printed sheet begins with."""
WIDTH = 110


USUAL_SPACING_MM = {"mm": 25.0, "in": MM_PER_INCH}


def usual_spacing_mm(units: str) -> float:
    """Return how far apart crossings lie where nobody says: 25 mm, or 1 inch."""
    return USUAL_SPACING_MM[units]


@dataclass(frozen=True)
class GaugeSheet:
    """Crossings with what the gauge should read, and those left out.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Seat, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> max(crossing.expected_mm for crossing in sheet.crossings)
    70.0
    """

    seat: Seat
    gauge: Gauge
    spacing_mm: float
    crossings: tuple[Crossing, ...]
    left_out: tuple[LeftOut, ...]

    def left_out_in_words(self) -> tuple[str, ...]:
        """Return one sentence for each reason for which crossings are left out."""
        counts = Counter(one.why for one in self.left_out)
        return tuple(
            f"{count} crossing{'s' if count > 1 else ''} left out: {why}{WHAT_TO_DO[why]}"
            for why, count in counts.items()
        )

    def notes(self) -> tuple[str, ...]:
        """Return what a maker has to know before reading: what is left out, and lines that do not tell the bar."""
        ends: dict[float, set[bool]] = {}
        across = self.gauge.lie == "across"
        middle = 0.0 if across else 0.5 * self.seat.blank.depth_mm
        for c in self.crossings:
            along, at = (c.x_mm, c.y_mm) if across else (c.y_mm, c.x_mm)
            ends.setdefault(at, set()).update({along > middle} if c.uncut else ())
        bare = [at for at, found in sorted(ends.items()) if len(found) < 2]
        if not bare:
            return self.left_out_in_words()
        lines = ", ".join(format_length(at, self.seat.units, decimals=0) for at in bare)
        many = "s" if len(bare) > 1 else ""
        where = (
            f"row{many} {lines} from the rear edge"
            if across
            else f"column{many} {lines} from the centre line"
        )
        return (
            *self.left_out_in_words(),
            f"{where} {'have' if many else 'has'} no uncut wood at both ends to tell how the bar sits: read the "
            "crossings there twice, the bar lifted and set down anew between, and expect questions there",
        )


def gauge_sheet(seat: Seat, spacing_mm: float, gauge: Gauge) -> GaugeSheet:
    """Return the gauge sheet of a seat, or of a stage on the way to it (`seatmesh.fit.stages.stage`).

    Raises
    ------
    ValueRefusedError
        See `seatmesh.gauge.bar.crossings.crossings`.

    Examples
    --------
    >>> from seatmesh import Adjustment, Gauge, Seat, gauge_sheet
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheet = gauge_sheet(seat, 40.0, Gauge(bar_height_mm=60.0))
    >>> crossing = next(one for one in sheet.crossings if (one.x_mm, one.y_mm) == (0.0, 200.0))
    >>> crossing.datum_mm, crossing.expected_mm
    (60.0, 70.0)
    """
    kept, left_out = crossings(seat, spacing_mm, gauge)
    return GaugeSheet(seat, gauge, spacing_mm, kept, left_out)


def sheet_csv(sheet: GaugeSheet, units: str | None = None) -> str:
    """Return the sheet as CSV to type into: `COLUMNS`, mirrored pairs on lines that follow one another, LF.

    Lengths are in `units`, which the columns name, None for the seat's own: in inches nothing expected is deeper than
    the seat is.

    Examples
    --------
    >>> from seatmesh import Gauge, flat_seat, gauge_sheet, sheet_csv
    >>> sheet_csv(gauge_sheet(flat_seat(), 50.0, Gauge(60.0))).split(",")[:5]
    ['point', 'x_mm', 'y_mm', 'expected_mm', 'reading_mm']
    """
    units = sheet.seat.units if units is None else units
    rows = (
        (
            str(c.point),
            *(table_figure(v, units) for v in (c.x_mm, c.y_mm)),
            table_figure(c.expected_mm, units, deeper=True),
            "",
            table_figure(c.datum_mm, units),
            mirror,
            "",
            str(c.placing),
            "",
            DATUM_NOTE if c.uncut else "",
        )
        for c, mirror in ((one, str(one.mirror or "")) for one in sheet.crossings)
    )
    return csv_text(columns_in(units), rows)


def columns_in(units: str) -> tuple[str, ...]:
    """Return the names of the columns in a unit."""
    return tuple(column(name, units) for name in COLUMNS)


def sheet_text(sheet: GaugeSheet, units: str) -> str:
    """Return the sheet as it is printed: mirrored pairs side by side, lengths in `units`.

    Examples
    --------
    >>> from seatmesh import Gauge, flat_seat, gauge_sheet, sheet_text
    >>> sheet_text(gauge_sheet(flat_seat(), 50.0, Gauge(60.0)), "mm").splitlines()[0]
    'GAUGE SHEET   flat seat'
    """
    parts = [_head(sheet, units), _table(sheet, units)]
    parts += [f"{words}." for words in sheet.notes()]
    parts.append(fill(GAUGING, WIDTH))
    return "\n\n".join(parts) + "\n"


def _head(sheet: GaugeSheet, units: str) -> str:
    gauge = sheet.gauge
    size = [format_length(v, units) for v in (gauge.bar_height_mm, gauge.rod_offset_mm)]
    first, second = ("sitter's left", "sitter's right") if gauge.lie == "across" else ("rear", "front")
    from_line = "the centre line" if gauge.lie == "across" else "the rear edge"
    if gauge.rests_mm is None:
        rests = f"on uncut wood as far out as there is, {first} and {second}"
    else:
        places = [format_length(abs(v), units) for v in gauge.rests_mm]
        rests = f"{first} {places[0]} and {second} {places[1]} from {from_line}"
    heights = [format_length(v, units, decimals=2) for v in gauge.rest_heights_mm]
    return "\n".join(
        [
            f"{SHEET_HEAD}   {sheet.seat.title}",
            f"Bar {gauge.lie} the seat, rests {rests}.",
            f"Rests stand {heights[0]} ({first}) and {heights[1]} ({second}) above the blank's top face.",
            f"Bar height {size[0]}, rod offset {size[1]}. Grid {format_length(sheet.spacing_mm, units)}, "
            "from centre line and rear edge. Left and right are the sitter's.",
            "Reading = bar height + rod offset + height of the bar's rests there + depth. "
            "A smaller reading than expected: wood still to take, or a bar that sits low; the check tells which.",
            *ADVICE,
        ]
    )


def _table(sheet: GaugeSheet, units: str) -> str:
    """Return rows of pairs; distances from the rear edge and the centre line stand once."""
    by_point = {c.point: c for c in sheet.crossings}
    head = (
        f"{'from rear':>10} {'from centre':>11} | {'LEFT':>5} {'expect':>10}  {'reading':<8} "
        f"| {'RIGHT':>5} {'expect':>10}  {'reading':<8} | left proud"
    )
    lines = [head, "-" * len(head)]
    before = None
    for c in sheet.crossings:
        if c.x_mm > 0 and c.mirror is not None:
            continue
        if before is not None and c.y_mm != before:
            lines.append("")
        before = c.y_mm
        y, x = format_length(c.y_mm, units), format_length(abs(c.x_mm), units)
        if c.x_mm == 0.0:
            lines.append(f"{y:>10} {'centre':>11} | {_field(c, units)} |")
            continue
        other = by_point[c.mirror] if c.mirror is not None else None
        left, right = (c, other) if c.x_mm < 0 else (None, c)
        compare = f" {BLANK_FIELD}" if other is not None else ""
        lines.append(f"{y:>10} {x:>11} | {_field(left, units)} | {_field(right, units)} |{compare}".rstrip())
    return "\n".join(lines)


def expected_words(crossing: Crossing, units: str) -> str:
    """Return what the rod should show: where wood is cut never more than that, on uncut wood to the nearest step."""
    return (format_length if crossing.uncut else format_no_more)(crossing.expected_mm, units)


def _field(crossing: Crossing | None, units: str) -> str:
    if crossing is None:
        return " " * 26
    expected = expected_words(crossing, units)
    return f"{crossing.point:>5}{'*' if crossing.uncut else ' '}{expected:>10}  {BLANK_FIELD}"
