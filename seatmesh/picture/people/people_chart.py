"""One sheet about many people on a seat: share served over stature and mass, peaks, and the worst-off tenth's map."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.picture import mpl
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, draw_scale, pressure_scale
from seatmesh.picture.plan.blank_plan import draw_blank, write_lengths, write_sides
from seatmesh.picture.style import (
    HEADING_PT,
    INK,
    MARGIN_MM,
    PALE_EDGE,
    PAPER,
    PENCIL,
    SMALL_PT,
    TEXT_PT,
    Target,
    axes_at_mm,
    check_units,
    peak_words,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_title,
)
from seatmesh.units import KG_PER_POUND, MM_PER_INCH
from seatmesh.wood.blank import Blank

FAILS, SERVES = "#a64b2a", "#2f6f5e"
"""As in the chart of sharing: apart in lightness where they meet the pale middle, and the percentages are written."""
WOMEN, MEN = "#8a4f7d", "#33567a"
STEPS = np.linspace(0.0, 1.0, 11)
FEW = 5
"""Cells with fewer people than this are hatched: their share says little."""
SIZE_MM = (297.0, 210.0)


@dataclass(frozen=True)
class PeopleDrawn:
    """What the sheet shows.

    Attributes
    ----------
    statures_mm, masses_kg
        Edges of the cells.
    weight, served, people
        In each cell: weight of all, of those served, and people drawn; shape (statures, masses).
    limits
        Least and greatest stature and mass of the survey by sex.
    peaks_kpa, by_peak
        Edges of the bins of peaks, and weight in each by sex, women first, shape (2, bins).
    blank, x_mm, y_mm, pressure_kpa
        The blank, and the mean pressure of the worst-off people over its grid, shape (ny, nx).
    worst_words
        Who they are.
    """

    title: str
    beneath: str
    statures_mm: Floats
    masses_kg: Floats
    weight: Floats
    served: Floats
    people: Floats
    limits: Mapping[str, Mapping[str, list[float]]]
    peaks_kpa: Floats
    by_peak: Floats
    blank: Blank
    x_mm: Floats
    y_mm: Floats
    pressure_kpa: Floats | None
    worst_words: str
    caution: str


def people_chart(drawn: PeopleDrawn, target: Target, *, units: str = "mm") -> None:
    """Draw the sheet, A4 lying, and write it to `target` as PNG; FileRefusedError where it cannot be written."""
    check_units(units)
    with sheet(SIZE_MM, target) as figure:
        write_title(figure, plain(shortened(drawn.title, 90)), plain(shortened(drawn.beneath, 170)))
        _by_build(axes_at_mm(figure, 27.0, 50.0, 125.0, 122.0), drawn, units)
        _legend(axes_at_mm(figure, 27.0, 30.0, 125.0, 4.0))
        _peaks(axes_at_mm(figure, 175.0, 135.0, 108.0, 37.0), drawn, units)
        _worst(axes_at_mm(figure, 187.0, 36.0, 84.0, 76.0), drawn, units)
        write_at_mm(figure, 175.0, 119.5, drawn.worst_words, size=HEADING_PT, weight="bold")
        draw_scale(axes_at_mm(figure, 175.0, 22.0, 108.0, 4.0))
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM - 4.0, drawn.caution, size=SMALL_PT, color=PENCIL, va="bottom"
        )


def _by_build(axes: mpl.Axes, drawn: PeopleDrawn, units: str) -> None:
    per_mm, per_kg = (1.0, 1.0) if units == "mm" else (1.0 / MM_PER_INCH, 1.0 / KG_PER_POUND)
    x, y = drawn.statures_mm * per_mm, drawn.masses_kg * per_kg
    share = np.ma.masked_where(
        drawn.weight <= 0.0, drawn.served / np.where(drawn.weight > 0.0, drawn.weight, 1.0)
    )
    axes.pcolormesh(x, y, share.T, cmap=_shades(), norm=mpl.BoundaryNorm(STEPS, 256), linewidth=0.0)
    for i, j in np.argwhere((drawn.people > 0) & (drawn.people < FEW)):
        axes.add_patch(
            mpl.Rectangle(
                (x[i], y[j]),
                x[i + 1] - x[i],
                y[j + 1] - y[j],
                fill=False,
                hatch="////",
                edgecolor=PAPER,
                linewidth=0,
            )
        )
    axes.set_xlim(
        *_reach(x, drawn.people.sum(axis=1), [one["stature_mm"] for one in drawn.limits.values()], per_mm)
    )
    axes.set_ylim(
        *_reach(y, drawn.people.sum(axis=0), [one["mass_kg"] for one in drawn.limits.values()], per_kg)
    )
    for sex, colour, dash, name in (("female", WOMEN, "-", "women"), ("male", MEN, (0, (5, 2)), "men")):
        (s0, s1), (m0, m1) = drawn.limits[sex]["stature_mm"], drawn.limits[sex]["mass_kg"]
        corner = (s0 * per_mm, m0 * per_kg)
        axes.add_patch(
            mpl.Rectangle(
                corner, (s1 - s0) * per_mm, (m1 - m0) * per_kg, fill=False, edgecolor=colour, linewidth=1.3,
                linestyle=dash, label=f"{name} whom the survey measured", clip_on=True,
            )
        )  # fmt: skip
    axes.legend(loc="lower right", fontsize=SMALL_PT, framealpha=0.92, edgecolor=PALE_EDGE)
    axes.set_xlabel("stature, " + ("mm" if units == "mm" else "inches"), size=TEXT_PT)
    axes.set_ylabel("mass, " + ("kg" if units == "mm" else "pounds"), size=TEXT_PT)
    axes.set_title("Share served, by stature and mass", size=HEADING_PT, loc="left", weight="bold", pad=6.0)


def _reach(edges: Floats, people: Floats, limits: Sequence[list[float]], scale: float) -> tuple[float, float]:
    """Return from where to where all people drawn, and all whom the survey measured, can be seen."""
    there = np.flatnonzero(people)
    drawn = [edges[there[0]], edges[there[-1] + 1]] if len(there) else []
    ends = [*drawn, *(scale * end for one in limits for end in one)]
    step = edges[1] - edges[0]
    return float(min(ends) - 0.3 * step), float(max(ends) + 0.3 * step)


def _shades() -> mpl.LinearSegmentedColormap:
    return mpl.LinearSegmentedColormap.from_list("served", [FAILS, "#f3e9d8", SERVES])


def _legend(axes: mpl.Axes) -> None:
    axes.imshow(
        np.linspace(0.05, 0.95, 10)[None],
        extent=(0, 100, 0, 1),
        aspect="auto",
        cmap=_shades(),
        vmin=0,
        vmax=1,
    )
    axes.set_yticks([])
    axes.set_xticks(range(0, 101, 10))
    axes.set_xlabel(f"served, %; hatched: fewer than {FEW} people drawn there", size=SMALL_PT)


def _peaks(axes: mpl.Axes, drawn: PeopleDrawn, units: str) -> None:
    middles = np.sqrt(drawn.peaks_kpa[:-1] * drawn.peaks_kpa[1:])
    # Bins of 2.5 % hold few people each: four together are 10 %, which is what can be felt.
    together = [slice(i, i + 4) for i in range(0, len(middles) - 3, 4)]
    edges = np.array([drawn.peaks_kpa[one.start] for one in together] + [drawn.peaks_kpa[together[-1].stop]])
    total = drawn.by_peak.sum()
    for sex, colour, dash, name in ((0, WOMEN, "-", "women"), (1, MEN, (0, (5, 2)), "men")):
        heights = np.array([drawn.by_peak[sex, one].sum() for one in together]) / (
            total if total > 0.0 else 1.0
        )
        axes.stairs(100.0 * heights, edges, color=colour, linewidth=1.2, linestyle=dash, label=name)
    axes.set_xscale("log")
    known = np.flatnonzero(drawn.by_peak.sum(axis=0))
    if len(known):
        axes.set_xlim(
            drawn.peaks_kpa[max(known[0] - 2, 0)], drawn.peaks_kpa[min(known[-1] + 3, len(middles))]
        )
    ticks = [
        one for one in (5, 10, 15, 20, 30, 40, 60, 80, 120) if axes.get_xlim()[0] <= one <= axes.get_xlim()[1]
    ]
    axes.set_xticks(ticks, [str(one) for one in ticks])
    axes.minorticks_off()
    axes.set_ylim(bottom=0.0)
    axes.legend(fontsize=SMALL_PT, frameon=False)
    axes.set_xlabel(f"peak {peak_words(units)}, kPa", size=SMALL_PT)
    axes.set_ylabel("% of all", size=SMALL_PT)
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_title("How hard people are pressed", size=HEADING_PT, loc="left", weight="bold", pad=6.0)


def _worst(axes: mpl.Axes, drawn: PeopleDrawn, units: str) -> None:
    blank = drawn.blank
    axes.set_xlim(-blank.width_mm / 2, blank.width_mm / 2)
    axes.set_ylim(0.0, blank.depth_mm)
    axes.set_aspect("equal")
    edge = draw_blank(axes, blank)
    write_lengths(axes, blank, units)
    if drawn.pressure_kpa is not None:
        scale, over = pressure_scale(), (drawn.x_mm, drawn.y_mm, drawn.pressure_kpa, STEPS_KPA)
        bands = [tuple(one) for one in scale.colours(np.arange(len(STEPS_KPA)))]
        filled = axes.contourf(*over, colors=bands, extend="max", zorder=1)
        lines = axes.contour(*over, colors=[INK], linewidths=0.3, zorder=2)
        for contours in (filled, lines):
            contours.set_clip_path(edge)
    write_sides(axes, blank, SMALL_PT)
