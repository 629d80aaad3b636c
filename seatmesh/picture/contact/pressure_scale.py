"""The one pressure scale of all pictures: fixed steps in kPa, so that any two pictures can be compared."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm, ListedColormap, to_rgb

from seatmesh.arrays import Floats
from seatmesh.picture.style import INK, PAPER, PENCIL, SMALL_PT, WOOD
from seatmesh.srgb import linear

STEPS_KPA = (0.1, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0)
"""Edges of the bands: narrow where thighs rest, wide where sit bones press.

Below the first is no contact, above the last is one more band. Each step is over the 10 % that can be felt
(Goossens, Teeuw, Snijders 2005).
"""

RING = "#ffffff"
"""Ink that shows on the colours of the highest bands."""

_LIGHTEST_SHARE = 0.12
"""Where on matplotlib's map the first band starts: its very first colours would pass for bare wood."""


@dataclass(frozen=True)
class PressureScale:
    """Colours of the bands, from light touch to hard pressing."""

    colours: ListedColormap
    norm: BoundaryNorm

    def rgb(self, pressure_kpa: Floats) -> Floats:
        """Return the band's colour of each pressure, shape (..., 3), bare wood where there is no contact."""
        shown = np.asarray(self.colours(self.norm(pressure_kpa)))[..., :3]
        return np.where((pressure_kpa < STEPS_KPA[0])[..., None], to_rgb(WOOD), shown)


@cache
def pressure_scale() -> PressureScale:
    """Return the scale: matplotlib's YlGnBu, fit for the colour-blind, in equal steps of lightness.

    Equal lightness steps make the bands even to the eye, and keep them apart on a print in grey.
    """
    bands = len(STEPS_KPA)
    fine = matplotlib.colormaps["YlGnBu"](np.linspace(_LIGHTEST_SHARE, 1.0, 512))
    light = lightness(fine[:, :3])
    steps = np.linspace(light[0], light[-1], bands)
    nearest = np.argmin(np.abs(light[None, :] - steps[:, None]), axis=1)
    return PressureScale(
        ListedColormap(fine[nearest], name="pressure"), BoundaryNorm(STEPS_KPA, bands, extend="max")
    )


def lightness(rgb: Floats) -> Floats:
    """Return CIE L*, 0 black to 100 white, of sRGB colours of shape (..., 3), 0 to 1.

    CIE 15, from memory.
    """
    luminance = linear(rgb) @ np.array([0.2126, 0.7152, 0.0722])
    root = np.where(luminance > (6 / 29) ** 3, np.cbrt(luminance), luminance / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.asarray(116.0 * root - 16.0)


def draw_scale(axes: Axes) -> None:
    """Draw the scale as a row of equal fields, each edge labelled in kPa, bare wood first."""
    bands, scale = len(STEPS_KPA), pressure_scale()
    wood = np.asarray(to_rgb(WOOD))
    fields = np.vstack([wood, scale.colours(np.arange(bands))[:, :3]])
    axes.imshow(fields[None], extent=(-1.0, float(bands), 0.0, 1.0), aspect="auto", interpolation="nearest")
    axes.set_yticks([])
    axes.set_xticks(range(bands), [f"{step:g}" for step in STEPS_KPA])
    axes.tick_params(length=2.0, pad=1.5)
    axes.vlines(range(bands), 0.0, 1.0, color=INK, linewidth=0.3)
    for x, words, colour in ((-0.5, "none", PENCIL), (bands - 0.5, "over", PAPER)):
        axes.text(x, 0.5, words, size=SMALL_PT, color=colour, ha="center", va="center_baseline")
    axes.set_title("pressure, kPa", size=SMALL_PT + 0.5, loc="left", pad=3.0)
