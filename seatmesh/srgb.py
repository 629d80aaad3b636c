"""Colours as screens and files state them, sRGB of IEC 61966-2-1, and the light they stand for."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats


def linear(srgb: Floats) -> Floats:
    """Return the light of colours from 0 to 1: linear red, green and blue (IEC 61966-2-1, 5.2; from memory)."""
    return np.asarray(np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4))
