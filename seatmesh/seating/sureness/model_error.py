"""How far the model itself may be off: what the law misses of the elements that taught it, and what nobody knows.

The law's own part is measured on the bodies and seats that it was taught by (`tests/teacher/test_law.py`). The greater
part is that nobody knows what a sitter's flesh is like: elements whose flesh is softer and stiffens more, stiffens
less, is firmer, slides at the hips, or is half fat give other peaks on the same bodies (`tests/teacher/lessons.csv`).
"""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats

LAW_PEAK, LAW_AREA = 0.084, 0.043
"""Root mean square of the law's error over the lessons, of the logarithm of peak and of area."""
FLESH_PEAK, FLESH_AREA = 0.15, 0.036
"""Standard deviation of the same over kinds of flesh."""
BODIES_TIE_SHARE = 0.17
"""Nine of ten pairs of bodies on one seat have a ratio of peaks that the law misses by less: closer ones are a tie."""


def with_model_error(peak_kpa: Floats, area_cm2: Floats, chance: Floats) -> tuple[Floats, Floats]:
    """Return peaks and areas, shape (n,), as another model might have them; `chance` (2, n) is standard normal."""
    peak = peak_kpa * np.exp(np.hypot(LAW_PEAK, FLESH_PEAK) * chance[0])
    area = area_cm2 * np.exp(np.hypot(LAW_AREA, FLESH_AREA) * chance[1])
    return peak, area
