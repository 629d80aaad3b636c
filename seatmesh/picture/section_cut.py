"""The lines that a section cuts, of wood and of the sitter; arrays only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize import brentq

from seatmesh.arrays import Floats
from seatmesh.seating.sitting import Sitting
from seatmesh.station import Station
from seatmesh.surface import Seat

STEP_MM = 1.0
"""Spacing of points along a section."""


@dataclass(frozen=True)
class SectionCut:
    """What a section cuts: heights z over `s_mm`, the place along it (x across, y along), all shape (n,).

    `underside_mm` is the blank's lower face with its under-bevel, mortises left out. `skin_mm` is the unpressed
    underside of skin; with `bone_mm`, NaN where there is none.
    """

    s_mm: Floats
    surface_mm: Floats
    underside_mm: Floats
    skin_mm: Floats
    bone_mm: Floats

    @property
    def least_wood_mm(self) -> float:
        """The least wood that is left between surface and underside."""
        return float((self.surface_mm - self.underside_mm).min())


def cut(seat: Seat, sitting: Sitting | None, station: Station) -> SectionCut:
    """Return the lines that a section cuts, from edge to edge of the outline."""
    start, end = _ends(seat, station)
    even = np.linspace(start, end, max(2, round((end - start) / STEP_MM) + 1))
    s = np.unique(
        np.concatenate([even, *(at + np.array([-1e-6, 1e-6]) for at in _on_deck_line(seat, station, even))])
    )
    x, y = _plan(station, s)
    surface = -seat.depth_mm(x, y)
    underside = seat.blank.underside_rise_mm(x, y) - seat.blank.thickness_mm
    if sitting is None:
        nothing = np.full_like(s, np.nan)
        return SectionCut(s, surface, underside, nothing, nothing)
    skin, bone = (_along(sitting, heights, station, s) for heights in (sitting.skin_mm, sitting.bone_mm))
    return SectionCut(s, surface, underside, skin, bone)


def _plan(station: Station, s_mm: Floats) -> tuple[Floats, Floats]:
    """Return x and y of places along the section."""
    fixed = np.full_like(s_mm, station.at_mm)
    return (s_mm, fixed) if station.runs == "across" else (fixed, s_mm)


def _on_deck_line(seat: Seat, station: Station, s_mm: Floats) -> list[float]:
    """Return where the section crosses the deck line, at which the surface may drop sheer."""

    def ahead(s: Floats | float) -> Floats:
        return seat.blank.ahead_of_deck_mm(*_plan(station, np.atleast_1d(s)))

    crossed = np.flatnonzero(np.diff(ahead(s_mm) > 0.0))
    return [float(brentq(lambda s: ahead(s)[0], s_mm[i], s_mm[i + 1], xtol=1e-9)) for i in crossed.tolist()]


def _ends(seat: Seat, station: Station) -> tuple[float, float]:
    """Return where the section enters and leaves the outline."""
    far, at = 2.0 * (seat.blank.width_mm + seat.blank.depth_mm), station.at_mm
    ends = [(-far, at), (far, at)] if station.runs == "across" else [(at, -far), (at, far)]
    inside = shapely.intersection(shapely.LineString(ends), shapely.Polygon(seat.blank.polygon_mm()))
    low_x, low_y, high_x, high_y = (float(edge) for edge in inside.bounds)
    return (low_x, high_x) if station.runs == "across" else (low_y, high_y)


def _along(sitting: Sitting, heights_mm: Floats, station: Station, s_mm: Floats) -> Floats:
    """Return heights along the section, NaN beyond the grid and where the body does not reach."""
    field = heights_mm if station.runs == "across" else heights_mm.T
    rows, columns = (sitting.y_mm, sitting.x_mm) if station.runs == "across" else (sitting.x_mm, sitting.y_mm)
    place = float(np.interp(station.at_mm, rows, np.arange(len(rows))))
    below, share = int(place), place - int(place)
    line = np.where(np.isfinite(field[below]), field[below], np.nan)
    if share > 0.0:
        line = (1.0 - share) * line + share * np.where(
            np.isfinite(field[below + 1]), field[below + 1], np.nan
        )
    return np.interp(s_mm, columns, line, left=np.nan, right=np.nan)
