"""A share of a public, with what chance in drawing people leaves uncertain about it.

The standard error is that of a ratio of weighted sums (Taylor linearisation: Cochran 1977, *Sampling Techniques*, 6.3).
The interval is Wilson's (1927, J Am Stat Assoc 22:209) for a sample of the effective size p (1 - p) / error^2 (Korn and
Graubard 1998, Survey Methodology 24:193), no larger than Kish's (sum w)^2 / sum w^2, which also serves where the share
is 0 or 1. Neither says anything of the survey or of the model: those have their own figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

Z95 = 1.959963984540054
"""Standard normal quantile of 97.5 %."""


@dataclass(frozen=True)
class Share:
    """A share with its sampling error.

    Attributes
    ----------
    value
        The share, 0 to 1; not a number where nobody was counted.
    standard_error
        Its standard error by sampling.
    low_95, high_95
        Ends of its 95 % interval.
    effective
        How many people drawn with equal weights would tell as much.
    """

    value: float
    standard_error: float
    low_95: float
    high_95: float
    effective: float

    def facts(self) -> dict[str, Any]:
        """Return all as plain values for JSON, None for what is not known."""
        return {
            "share": _plain(self.value),
            "standard_error": _plain(self.standard_error),
            "interval_95": [_plain(self.low_95), _plain(self.high_95)],
            "effective_people": round(self.effective, 1),
        }


def _plain(value: float) -> float | None:
    return None if math.isnan(value) else value


@dataclass(frozen=True)
class Sums:
    """Sums over people: of weights w and w^2, of w x, w^2 x and w^2 x^2 for a score x."""

    w: float
    ww: float
    wx: float
    wwx: float
    wwxx: float


def share_of(sums: Sums) -> Share:
    """Return the share that sums over people tell."""
    if sums.w <= 0.0:
        return Share(math.nan, math.nan, math.nan, math.nan, 0.0)
    p = min(max(sums.wx / sums.w, 0.0), 1.0)
    kish = sums.w**2 / sums.ww
    variance = max(sums.wwxx - 2.0 * p * sums.wwx + p * p * sums.ww, 0.0) / sums.w**2
    effective = min(kish, p * (1.0 - p) / variance) if variance > 0.0 else kish
    low, high = wilson(p, effective)
    return Share(p, math.sqrt(variance), low, high, effective)


def wilson(p: float, n: float, z: float = Z95) -> tuple[float, float]:
    """Return the ends of Wilson's interval for a share p among n people."""
    middle = (p + z * z / (2.0 * n)) / (1.0 + z * z / n)
    half = z / (1.0 + z * z / n) * math.sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n))
    return 0.0 if p <= 0.0 else middle - half, 1.0 if p >= 1.0 else middle + half
