"""The picture of a scan's quality: where it was seen, the residual map, and the seat read against the one meant."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import draw_blank
from seatmesh.picture.style import (
    A4_MM,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    TEXT_PT,
    Target,
    axes_at_mm,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.reading.quality.maps import STEP_MM, Quality
from seatmesh.surface import Seat
from seatmesh.units import MM_PER_INCH

TILE_MM, HEIGHT_MM = 84.0, 112.0
SEEN_COLOURS = ("#c8553d", "#dfe8d8")
OFF_MAP = "RdBu_r"
LEAST_SPAN_MM = 0.1


def quality_picture(found: Quality, seat: Seat, target: Target, *, title: str = "") -> None:
    """Draw the maps of a scan's quality side by side, and write them to `target` as PNG.

    Raises
    ------
    FileRefusedError
        The picture cannot be written.
    """
    maps = [
        ("Seen", found.seen, ""),
        ("Scan deeper than the seat read", found.residual_mm, ""),
    ]
    if found.deeper_than_meant_mm is not None:
        maps.append(
            (
                "Seat read deeper than the one meant",
                found.deeper_than_meant_mm,
                "red: more wood is gone than was meant",
            )
        )
    width = 2.0 * MARGIN_MM + TILE_MM * len(maps)
    with sheet((max(width, A4_MM[0]), HEIGHT_MM), target) as figure:
        write_title(figure, "What the scan shows", plain(shortened(title, 100)))
        for number, (words, values, beneath) in enumerate(maps):
            left = MARGIN_MM + number * TILE_MM
            _draw_map(figure, left, words, beneath, values, found, seat)


def _draw_map(
    figure: mpl.Figure, left: float, words: str, beneath: str, values: Floats, found: Quality, seat: Seat
) -> None:
    axes = axes_at_mm(figure, left, MARGIN_MM + 12.0, TILE_MM - 6.0, HEIGHT_MM - 2.0 * MARGIN_MM - 28.0)
    half = 0.5 * STEP_MM
    extent = (found.x_mm[0] - half, found.x_mm[-1] + half, found.y_mm[0] - half, found.y_mm[-1] + half)
    edge = draw_blank(axes, seat.blank)
    write_at_mm(figure, left, HEIGHT_MM - MARGIN_MM - 14.5, words, size=TEXT_PT, weight="bold", va="bottom")
    if words == "Seen":
        for level, colour in enumerate(SEEN_COLOURS):
            cells = np.where(values == level, 1.0, np.nan)
            drawn = axes.imshow(
                cells, origin="lower", extent=extent, cmap=mpl.ListedColormap([colour]), zorder=2
            )
            drawn.set_clip_path(edge)
        share = np.floor(1000.0 * np.nanmean(values)) / 10.0
        beneath = f"{share:g}% of the top face seen (green)\nred: no point nearby"
    else:
        span = max(LEAST_SPAN_MM, float(np.nanquantile(np.abs(values), 0.98)))
        drawn = axes.imshow(
            values, origin="lower", extent=extent, cmap=OFF_MAP, vmin=-span, vmax=span, zorder=2
        )
        drawn.set_clip_path(edge)
        size = f"{span / MM_PER_INCH:.3f} in" if seat.units == "in" else f"{span:.2f} mm"
        beneath = f"red deeper, blue shallower; full colour at {size}\n{beneath}"
    axes.set_xlim(extent[0], extent[1])
    axes.set_ylim(extent[2], extent[3])
    axes.set_axis_off()
    write_at_mm(figure, left, MARGIN_MM + 9.0, beneath, size=SMALL_PT, color=PENCIL, va="top")
