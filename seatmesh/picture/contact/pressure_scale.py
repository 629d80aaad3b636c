"""The one pressure scale of all pictures: fixed steps in kPa, so that any two pictures can be compared."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.picture import mpl
from seatmesh.picture.style import INK, PAPER, PENCIL, SMALL_PT, WOOD
from seatmesh.srgb import linear

STEPS_KPA = (0.1, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0)
"""Edges of the bands: narrow where thighs rest, wide where sit bones press.

Below the first is no contact, above the last is one more band. Each step is over the 10 % that can be felt
(Goossens, Teeuw, Snijders 2005).
"""

RING = "#ffffff"
"""Ink that shows on the colours of the highest bands."""

BANDS = (
    "#eef8b3", "#c6e9b4", "#9ed9b8", "#71c8bd", "#40b5c4", "#2ca1c2", "#1e8bbd", "#2076b3", "#2262aa", "#234c9f",
    "#253595", "#172976", "#081d58",
)  # fmt: skip
"""Colours of the bands: matplotlib's YlGnBu, fit for the colour-blind, in equal steps of lightness.

Equal lightness steps make the bands even to the eye, and keep them apart on a print in grey. The map's very first
colours, which would pass for bare wood, are left out. A test takes them from matplotlib.
"""


@dataclass(frozen=True)
class PressureScale:
    """Colours of the bands, from light touch to hard pressing."""

    colours: mpl.ListedColormap
    norm: mpl.BoundaryNorm

    def rgb(self, pressure_kpa: Floats) -> Floats:
        """Return the band's colour of each pressure, shape (..., 3), bare wood where there is no contact."""
        return pressure_rgb(pressure_kpa)


@cache
def pressure_scale() -> PressureScale:
    """Return the scale of `BANDS` for matplotlib."""
    return PressureScale(
        mpl.ListedColormap(BANDS, name="pressure"),
        mpl.BoundaryNorm(STEPS_KPA, len(STEPS_KPA), extend="max"),
    )


def band_rgb() -> Floats:
    """Return the colours of the bands, shape (len(STEPS_KPA), 3): the n-th is that above the n-th step."""
    return np.array([_rgb(colour) for colour in BANDS])


def pressure_rgb(pressure_kpa: Floats) -> Floats:
    """Return the band's colour of each pressure, shape (..., 3), 0 to 1, bare wood where there is no contact."""
    band = np.digitize(pressure_kpa, STEPS_KPA)
    return np.where((band > 0)[..., None], band_rgb()[np.maximum(band, 1) - 1], _rgb(WOOD))


def _rgb(colour: str) -> tuple[float, float, float]:
    """Return a colour like ``#1e8bbd`` as red, green and blue, 0 to 1."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red / 255.0, green / 255.0, blue / 255.0


def lightness(rgb: Floats) -> Floats:
    """Return CIE L*, 0 black to 100 white, of sRGB colours of shape (..., 3), 0 to 1.

    CIE 15, from memory.
    """
    luminance = linear(rgb) @ np.array([0.2126, 0.7152, 0.0722])
    root = np.where(luminance > (6 / 29) ** 3, np.cbrt(luminance), luminance / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.asarray(116.0 * root - 16.0)


def draw_scale(axes: mpl.Axes) -> None:
    """Draw the scale as a row of equal fields, each edge labelled in kPa, bare wood first."""
    bands, scale = len(STEPS_KPA), pressure_scale()
    wood = np.asarray(_rgb(WOOD))
    fields = np.vstack([wood, scale.colours(np.arange(bands))[:, :3]])
    axes.imshow(fields[None], extent=(-1.0, float(bands), 0.0, 1.0), aspect="auto", interpolation="nearest")
    axes.set_yticks([])
    axes.set_xticks(range(bands), [f"{step:g}" for step in STEPS_KPA])
    axes.tick_params(length=2.0, pad=1.5)
    axes.vlines(range(bands), 0.0, 1.0, color=INK, linewidth=0.3)
    for x, words, colour in ((-0.5, "none", PENCIL), (bands - 0.5, "over", PAPER)):
        axes.text(x, 0.5, words, size=SMALL_PT, color=colour, ha="center", va="center_baseline")
    axes.set_title("pressure, kPa", size=SMALL_PT + 0.5, loc="left", pad=3.0)
