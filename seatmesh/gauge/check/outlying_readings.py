"""Misread: readings that neither the fair surface nor their neighbours explain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from seatmesh.arrays import Bools, Floats
from seatmesh.gauge.check.fair.fair_surface import (
    FEWEST,
    LEAST_NOISE_MM,
    FairSurface,
    bare_surface,
    fair_surface,
    places_at,
)

FALSE_ALARMS = 0.02
"""Share of clean carvings in which any reading at all may be taken for misread."""
MOST_SHARE = 0.15
"""More than this share of the readings is not misread: then the wood is uneven."""
LEAST_MM = 0.5
"""A lesser slip changes nothing that is done."""
NEIGHBOURS = 8
HOLE_SPACINGS = 2.6
"""How far around a doubtful reading, in distances to its nearest neighbour, the fair surface is told without."""
EXPLAINED_SIGMAS = 3.0
EXPLAINED_SHARE = 0.15
BRIDGED_SIGMAS = 0.4
"""How unsure the fair surface is across that hole, in standard deviations of a reading."""


@dataclass(frozen=True)
class Sound:
    """The fair surface through the sound readings.

    Attributes
    ----------
    surface
        The surface.
    sound
        Which readings it goes through, shape (n,).
    explained
        Which of those stand far off the others but are explained by their neighbours, shape (sound,).
    """

    surface: FairSurface
    sound: Bools
    explained: Bools


def without_misread(
    x_mm: Floats,
    y_mm: Floats,
    values_mm: Floats,
    shared: Floats | None = None,
    least_noise_mm: float = LEAST_NOISE_MM,
) -> Sound:
    """Take out, one after the other, the reading that lies farthest from what all others foretell.

    A reading goes when its distance in standard deviations exceeds Student's t for `FALSE_ALARMS` shared among all
    readings and both signs (Bonferroni; Cook and Weisberg 1982, *Residuals and Influence in Regression*, from memory).
    But where its neighbours too lie off the fair surface, to the same side, there is a gouge or a lump, and it stays.
    `shared` is the covariance of errors that values share, per noise, shape (n, n), `least_noise_mm` what is known of
    the noise from elsewhere.
    """
    sound = np.ones(len(values_mm), dtype=bool)

    def through(which: Bools) -> FairSurface:
        among = None if shared is None else shared[np.ix_(which, which)]
        return fair_surface(places_at(x_mm[which], y_mm[which]), values_mm[which], among, least_noise_mm)

    surface = through(sound)
    for _ in range(int(MOST_SHARE * len(values_mm)) if len(values_mm) >= FEWEST else 0):
        off, deviation = surface.left_out()
        # Each is judged by the noise of the others: its own slip would hide it.
        freedom = _freedom(surface)
        ratio = off / deviation
        ratio = ratio * np.sqrt((freedom - 1) / np.maximum(freedom - ratio**2, 1e-9))
        worst = int(np.argmax(np.abs(ratio) * (np.abs(off) >= LEAST_MM)))
        if abs(off[worst]) < LEAST_MM or abs(ratio[worst]) < limit(freedom, len(values_mm)):
            break
        sound[np.flatnonzero(sound)[worst]] = False
        surface = through(sound)
    explained = [k for k in np.flatnonzero(~sound) if _explained(x_mm, y_mm, values_mm, int(k), surface)]
    if explained:
        sound[explained] = True
        surface = through(sound)
    stay = np.isin(np.flatnonzero(sound), explained)
    return Sound(surface, sound, stay | _left_over(surface, len(values_mm)))


def _freedom(surface: FairSurface) -> int:
    """Return how many readings are left to tell the scatter once a plane is laid through them."""
    count, of_a_plane = surface.places.plane.shape
    return int(count - of_a_plane)


def _left_over(surface: FairSurface, count: int) -> Bools:
    """Tell which readings still lie far from what all others foretell."""
    if len(surface.values_mm) < FEWEST:
        return np.zeros(len(surface.values_mm), dtype=bool)
    off, deviation = surface.left_out()
    return np.asarray((np.abs(off) >= LEAST_MM) & (np.abs(off) > limit(_freedom(surface), count) * deviation))


def _explained(x: Floats, y: Floats, values: Floats, k: int, surface: FairSurface) -> bool:
    """Tell whether the neighbours of reading `k` lie off the fair surface to the same side, beyond chance."""
    apart = np.hypot(x - x[k], y - y[k])
    around = np.argsort(apart)[1 : NEIGHBOURS + 1]
    outside = apart > HOLE_SPACINGS * apart[around[0]]
    if outside.sum() < FEWEST:
        return False
    fair = bare_surface(
        places_at(x[outside], y[outside]), values[outside], surface.noise_mm, max(surface.fair_ratio, 1.0)
    )
    here = np.append(around, k)
    off = values[here] - fair.at(x[here], y[here])
    unsure = surface.noise_mm * np.sqrt(1.0 / len(around) + BRIDGED_SIGMAS**2)
    least = max(EXPLAINED_SIGMAS * unsure, EXPLAINED_SHARE * abs(off[-1]))
    return bool(np.sign(off[-1]) * off[:-1].mean() > least)


def limit(freedom: int, count: int) -> float:
    """Return the greatest of `count` ratios that clean readings exceed in `FALSE_ALARMS` of carvings at most."""
    return float(stdtrit(freedom - 1, 1.0 - FALSE_ALARMS / (2.0 * count)))
