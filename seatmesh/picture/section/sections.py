"""Sections through a seat: the wood that is left, and the sitter on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from seatmesh.picture import mpl
from seatmesh.picture.section.section_key import KEY_MM, draw_key, draw_legend
from seatmesh.picture.section.section_lines import depth_marks, draw_depths, draw_sitter, draw_wood
from seatmesh.picture.section.section_planes import section_planes
from seatmesh.picture.section_cut import cut
from seatmesh.picture.style import (
    A4_MM,
    MARGIN_MM,
    PAPER,
    PENCIL,
    SMALL_PT,
    TEXT_PT,
    Look,
    Target,
    axes_at_mm,
    check_units,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.seating.sitting import Sitting
from seatmesh.station import Station, station_words
from seatmesh.surface import Seat
from seatmesh.units import format_length, format_no_more

BODY_MM, ROOM_MM, BENEATH_MM = 42.0, 14.0, 3.0
"""Heights in the frame of the blank: of a sitter over its top face, of room for words where none is, and of
room under the wood.
"""

HEADING_MM, GAP_MM, TITLE_MM = 5.0, 4.0, 13.0
"""Heights on the sheet: a section's heading, the gap under it, the sheet's title."""

END_WORDS = {"across": ("SITTER'S LEFT", "SITTER'S RIGHT"), "along": ("REAR", "FRONT")}

SCALES = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 50.0, 100.0, 200.0)
"""Scales (1 to this) that a maker has on a rule."""


@dataclass(frozen=True)
class _Sheet:
    """What all sections of a sheet share; `scale` is 1 to this, `over_mm` the height over the top face."""

    seat: Seat
    sitting: Sitting | None
    planes: tuple[Station, ...]
    units: str
    over_mm: float
    scale: float

    @property
    def strip_mm(self) -> float:
        """Height of one section's drawing on the sheet."""
        return (self.over_mm + self.seat.blank.thickness_mm + BENEATH_MM) / self.scale


def sections(seat: Seat, sitting: Sitting | None, target: Target, *, units: str | None = None) -> None:
    """Draw three sections across and two along, height and width to one scale, and write them as PNG.

    With a sitting the skin and bone of that sitter are drawn over the wood. `units` are the seat's own by
    default. Raises `ValueRefusedError` for other units, `FileRefusedError` when the file cannot be written.
    """
    units = seat.units if units is None else units
    check_units(units)
    seat = replace(seat, units=units)
    over = ROOM_MM if sitting is None else BODY_MM
    shared = _Sheet(seat, sitting, section_planes(seat, sitting), units, over, _scale(seat, over))
    step = HEADING_MM + shared.strip_mm + GAP_MM
    height = 2 * MARGIN_MM + TITLE_MM + len(shared.planes) * step + KEY_MM
    with sheet((A4_MM[0], height), target) as figure:
        sitter = "" if sitting is None else f" · sitter: {sitting.body.name}"
        write_title(figure, "Sections", plain(shortened(f"{seat.title}{sitter}", 100)))
        for number, station in enumerate(shared.planes):
            _section(figure, shared, station, height - MARGIN_MM - TITLE_MM - number * step)
        draw_key(figure, seat.blank, shared.planes)
        draw_legend(figure, seat.blank, sitting, shared.scale, units)


def _scale(seat: Seat, over_mm: float) -> float:
    """Return the largest scale at which five sections fit the sheet, as its denominator."""
    blank = seat.blank
    across = max(blank.width_mm, blank.depth_mm) / (A4_MM[0] - 2 * MARGIN_MM)
    room = (A4_MM[1] - 2 * MARGIN_MM - TITLE_MM - KEY_MM) / 5 - HEADING_MM - GAP_MM
    needed = max(across, (over_mm + BENEATH_MM + blank.thickness_mm) / room)
    return next((scale for scale in SCALES if scale >= needed), needed)


def _section(figure: mpl.Figure, shared: _Sheet, station: Station, top: float) -> None:
    """Draw one section, its heading's top at `top` mm of the sheet."""
    blank, scale = shared.seat.blank, shared.scale
    lines = cut(shared.seat, shared.sitting, station)
    half = blank.width_mm / 2
    ends = (-half, half) if station.runs == "across" else (0.0, blank.depth_mm)
    width, height = (ends[1] - ends[0]) / scale, shared.strip_mm
    axes = axes_at_mm(figure, (A4_MM[0] - width) / 2, top - HEADING_MM - height, width, height)
    axes.set_xlim(*ends)
    axes.set_ylim(-blank.thickness_mm - BENEATH_MM, shared.over_mm)
    axes.set_axis_off()
    draw_wood(axes, blank, lines)
    if shared.sitting is not None:
        draw_sitter(axes, lines, shared.over_mm)
    draw_depths(axes, depth_marks(lines, station, shared.planes, scale, _roll_mm(shared.seat)), shared.units)
    corner: Look = {"size": SMALL_PT - 1, "color": PENCIL, "va": "top", "zorder": 6}
    clear = {"boxstyle": "square,pad=0.3", "facecolor": PAPER, "edgecolor": "none"}
    for at, words, align in zip(ends, END_WORDS[station.runs], ("left", "right"), strict=True):
        axes.text(at, shared.over_mm, words, ha=align, bbox=clear, **corner)
    initial = f"{station.letter}   " if station.letter else ""
    heading = plain(f"{initial}{station.words}{_where(station, shared.units)}")
    write_at_mm(figure, MARGIN_MM, top - 3, heading, size=TEXT_PT, weight="bold")
    left = format_no_more(lines.least_wood_mm, shared.units)
    write_at_mm(figure, A4_MM[0] - MARGIN_MM, top - 3, f"least wood left {left}", size=SMALL_PT, ha="right")


def _roll_mm(seat: Seat) -> float:
    return seat.roll_start_mm if seat.front_roll_mm > 0.0 else np.inf


def _where(station: Station, units: str) -> str:
    return "" if station.at_mm == 0.0 else f", {station_words(station, lambda mm: format_length(mm, units))}"
