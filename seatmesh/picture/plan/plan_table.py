"""The table under the plan of a sitter: how far each mark is from the centre line and from the rear edge."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.body.figure.marked_places import MarkedPlace
from seatmesh.picture import mpl
from seatmesh.picture.style import INK, PALE_EDGE, PENCIL, SMALL_PT
from seatmesh.units import format_length

ROW_MM = 4.6
HEADS = ("", "mark", "side", "from the centre line", "from the rear edge", "90 % band")
COLUMNS = (0.012, 0.04, 0.22, 0.34, 0.54, 0.76)
"""Where each column starts, as a share of the table's width."""


def mark_names(places: Sequence[MarkedPlace]) -> dict[str, int]:
    """Return a number for every kind of mark, 1 onward in the order given; both sides share one."""
    return {name: number for number, name in enumerate(dict.fromkeys(place.name for place in places), 1)}


def table_height_mm(places: Sequence[MarkedPlace]) -> float:
    """Return the height that the table takes on the sheet."""
    return ROW_MM * (len(table_rows(places, "mm")) + 1.5)


def table_rows(places: Sequence[MarkedPlace], units: str) -> tuple[tuple[str, ...], ...]:
    """Return the table's rows, as `HEADS` names them; left and right share one where they are mirrored."""
    numbers = mark_names(places)
    rows: list[tuple[str, ...]] = []
    for name, number in numbers.items():
        of_kind = [place for place in places if place.name == name]
        sides: list[tuple[str, MarkedPlace]] = [(place.side, place) for place in of_kind]
        if len(of_kind) == 2 and _written(of_kind[0], units) == _written(of_kind[1], units):
            sides = [("left and right", of_kind[0])]
        rows += [(str(number), name, side, *_written(place, units)) for side, place in sides]
    return tuple(rows)


def _written(place: MarkedPlace, units: str) -> tuple[str, str, str]:
    """Return lengths from centre line and rear edge, for a line at its first and last point, and the band."""
    ends = place.points_mm if len(place.points_mm) == 1 else (place.points_mm[0], place.points_mm[-1])
    left, right = min(end[0] for end in ends), max(end[0] for end in ends)
    along = " to ".join(dict.fromkeys(_length(y, units) for _, y in ends))
    across = " to ".join(dict.fromkeys(_length(abs(x), units) for x, _ in ends))
    if left < 0.0 < right:
        across = f"{_length(-left, units)} left to {_length(right, units)} right"
    bands = (place.band_x_mm, place.band_y_mm)
    return across, along, "± {} across, ± {} along".format(*(_length(band, units) for band in bands))


def _length(mm: float, units: str) -> str:
    """Return a length as finely as it can be known: whole mm, or 1/16 inch."""
    return format_length(mm, units, step=16, decimals=0)


def draw_table(axes: mpl.Axes, places: Sequence[MarkedPlace], units: str) -> None:
    """Draw the table, filling its axes."""
    rows = table_rows(places, units)
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(len(rows) + 1.5, 0.0)
    axes.set_axis_off()
    for x, head in zip(COLUMNS, HEADS, strict=True):
        axes.text(x, 0.5, head, size=SMALL_PT, color=PENCIL, va="center")
    axes.axhline(1.0, color=INK, linewidth=0.6)
    for i, row in enumerate(rows):
        for x, words in zip(COLUMNS, row, strict=True):
            axes.text(
                x, i + 1.5, words, size=SMALL_PT, va="center", weight="bold" if x == COLUMNS[0] else "normal"
            )
        axes.axhline(i + 2.0, color=PALE_EDGE, linewidth=0.4)
