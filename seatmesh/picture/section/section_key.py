"""The foot of a sheet of sections: where each is taken, and what its lines are."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank, write_sides
from seatmesh.picture.section.section_lines import LINES
from seatmesh.picture.style import A4_MM, INK, MARGIN_MM, PENCIL, SMALL_PT, axes_at_mm, write_beside
from seatmesh.seating.sitting import Sitting
from seatmesh.station import Station
from seatmesh.units import format_no_less
from seatmesh.wood.blank import Blank

KEY_MM = 62.0
"""Height of the foot on the sheet."""


def draw_key(figure: mpl.Figure, blank: Blank, planes: Sequence[Station]) -> None:
    """Draw a small plan that shows where each section is taken."""
    per_mm = min(70.0 / blank.width_mm, (KEY_MM - 16.0) / blank.depth_mm)
    size = (blank.width_mm * per_mm, blank.depth_mm * per_mm)
    axes = axes_at_mm(figure, MARGIN_MM + 8, MARGIN_MM + 3, *size)
    axes.set_xlim(-blank.width_mm / 2, blank.width_mm / 2)
    axes.set_ylim(0.0, blank.depth_mm)
    axes.set_axis_off()
    draw_blank(axes, blank)
    write_sides(axes, blank, SMALL_PT - 1)
    beyond = 3.5 / per_mm
    for station in planes:
        if station.runs == "across":
            half = blank.width_mm / 2 + beyond
            ends = ((-half, station.at_mm), (half, station.at_mm))
        else:
            ends = ((station.at_mm, -beyond), (station.at_mm, blank.depth_mm - beyond))
        axes.plot(*zip(*ends, strict=True), color=INK, linewidth=0.9, clip_on=False, zorder=6)
        _names(axes, station, ends)


def _names(axes: mpl.Axes, station: Station, ends: tuple[tuple[float, float], tuple[float, float]]) -> None:
    bold = {"size": SMALL_PT, "weight": "bold"}
    if station.runs == "along":
        align = "center" if station.letter else "left"
        write_beside(axes, station.name, ends[0], (0, -2), ha=align, va="top", **bold)
        return
    # A place is longer than a letter, and left of the plan there is no room for it.
    write_beside(axes, station.letter, ends[0], (-3, 0), ha="right", va="center", **bold)
    write_beside(axes, station.name, ends[1], (3, 0), ha="left", va="center", **bold)


def draw_legend(figure: mpl.Figure, blank: Blank, sitting: Sitting | None, scale: float, units: str) -> None:
    """Name the lines, and say to what scale the sheet is, 1 to `scale`."""
    left = A4_MM[0] / 2 + 8
    axes = axes_at_mm(figure, left, MARGIN_MM, A4_MM[0] - MARGIN_MM - left, KEY_MM - 10)
    axes.set_xlim(0.0, A4_MM[0] - MARGIN_MM - left)
    axes.set_ylim(0.0, KEY_MM - 10)
    axes.set_axis_off()
    rows = {
        "top": "top face of the uncut blank",
        "floor": f"floor: least wood to be left, {format_no_less(blank.floor_mm, units)}",
    }
    if sitting is not None:
        rows |= {"skin": "skin, pressed by the seat", "free skin": "skin as it hangs free", "bone": "bone"}
    for i, (line, words) in enumerate(rows.items()):
        y = KEY_MM - 15.0 - 6.2 * i
        axes.plot([0.0, 7.0], [y, y], **LINES[line])
        axes.text(8.5, y, words, size=SMALL_PT, va="center_baseline")
    foot = (
        "Across is seen from the rear, along from the sitter's right.\n"
        "A letter means the same place on plan, cards and stages.\n"
        f"Figures in the wood: depth below the top face{', mm' if units == 'mm' else ''}.\n"
        f"Height and width to one scale: 1:{scale:g} printed at full size on A4."
    )
    axes.text(0.0, 1.0, foot, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5)
