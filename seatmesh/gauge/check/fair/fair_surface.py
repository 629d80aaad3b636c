"""A fair surface through scattered differences, what scatter they have about it, and how sure it is where.

Differences are modelled as plane + fair part + local part + noise. Fair and local part are normal processes with
covariance s^2 exp(-r^2 / 2 l^2), l = 110 mm, and 25 or 50 mm: no undulation shorter than some 200 mm is fair. How large
each part is against the noise is what makes the readings most likely once the plane is taken out (restricted maximum
likelihood, Patterson and Thompson 1971); the surface is the best linear unbiased prediction (universal kriging; Cressie
1993, *Statistics for Spatial Data*); both from memory. Beside the noise of each reading there may be errors that
readings share, as those of one setting of the bar do: their covariance is given.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import scipy.linalg as la

from seatmesh.arrays import Floats

FAIR_MM = 110.0
LOCAL_MM = (25.0, 50.0)
FAIR_RATIOS = (0.0, 0.3, 1.0, 4.0, 16.0, 64.0, 400.0, 2500.0)
LOCAL_RATIOS = (0.5, 2.0, 8.0, 40.0, 400.0)
LEAST_LOCAL = 4.0
"""A lump in an otherwise even carving makes the local part small on average; it would then be flattened where it is."""
LEAST_NOISE_MM = 0.03
"""No gauge is read more finely; without it exact readings would make every hair's breadth a finding."""
USUAL_NOISE_MM = 0.25
"""Scatter of careful readings with rod and straightedge, taken where there are too few to tell; common practice."""
FEWEST = 12
"""Readings from which scatter is told by themselves."""
SURE = 2.5
"""Gain in log likelihood from which a local part is taken as sure: without one, a chance of 1 to 2 % (half of a chi
square of one degree of freedom past 5)."""
SCALE_MM = 100.0
RANK = 1e-12


@dataclass(frozen=True)
class Places:
    """Places (n,) and the factors by which a plane is taken out, so that what depends on places alone is done once."""

    x_mm: Floats
    y_mm: Floats
    plane: Floats
    rest: Floats

    def covariance(self, x_mm: Floats, y_mm: Floats, length_mm: float) -> Floats:
        """Return the covariance of a part of unit variance between other places and these, shape (m, n)."""
        square = (x_mm[:, None] - self.x_mm) ** 2 + (y_mm[:, None] - self.y_mm) ** 2
        return np.exp(-0.5 * square / length_mm**2)


class Parts(NamedTuple):
    """Variance of the fair and of the local part against the noise's, and the local part's length."""

    fair: float
    local: float
    local_mm: float


@dataclass(frozen=True)
class FairSurface:
    """The fair surface through values at places.

    Attributes
    ----------
    places, values_mm
        What it goes through.
    noise_mm
        Standard deviation of the values about it.
    fair_ratio, local_ratio
        Variance of the fair and the local part against the noise's.
    local_mm
        Length of the local part.
    precision
        Noise's variance times the inverse covariance with the plane taken out, shape (n, n).
    shared
        Covariance of the errors that values share, per noise, shape (n, n); None where they share none.
    """

    places: Places
    values_mm: Floats
    noise_mm: float
    fair_ratio: float
    local_ratio: float
    local_mm: float
    precision: Floats
    shared: Floats | None = None

    def _errors(self) -> Floats:
        """Return the covariance of the values' errors, per noise."""
        own = np.eye(len(self.values_mm))
        return own if self.shared is None else own + self.shared

    def _between(
        self, x_mm: Floats, y_mm: Floats, to_x: Floats | None = None, to_y: Floats | None = None
    ) -> Floats:
        """Return the covariance per noise between places and others, or the surface's own: shape (m, n)."""
        to_x = self.places.x_mm if to_x is None else to_x
        to_y = self.places.y_mm if to_y is None else to_y
        square = (x_mm[:, None] - to_x) ** 2 + (y_mm[:, None] - to_y) ** 2
        out = self.fair_ratio * np.exp(-0.5 * square / FAIR_MM**2)
        if self.local_ratio:
            out += self.local_ratio * np.exp(-0.5 * square / self.local_mm**2)
        return np.asarray(out)

    def at(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the surface at places, shape (m,)."""
        weight = self.precision @ self.values_mm
        own = self._between(self.places.x_mm, self.places.y_mm)
        # Values less what covariance and noise explain are the plane's, exactly.
        rest = self.values_mm - (own + self._errors()) @ weight
        plane = np.linalg.lstsq(self.places.plane, rest, rcond=None)[0]
        return np.asarray(_plane(x_mm, y_mm) @ plane + self._between(x_mm, y_mm) @ weight)

    def covariance_mm2(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return how unsure the surface is at places, and how much that hangs together: a covariance, shape (m, m)."""
        half, lack = self._lacking(x_mm, y_mm)
        among = self._between(x_mm, y_mm, x_mm, y_mm)
        return np.asarray(self.noise_mm**2 * (among - half.T @ half + lack @ lack.T))

    def error_mm(self, x_mm: Floats, y_mm: Floats) -> Floats:
        """Return the standard error of the surface at places, shape (m,)."""
        half, lack = self._lacking(x_mm, y_mm)
        unsure = self.fair_ratio + self.local_ratio - np.sum(half**2, axis=0) + np.sum(lack**2, axis=1)
        return np.asarray(self.noise_mm * np.sqrt(np.maximum(unsure, 0.0)))

    def _lacking(self, x_mm: Floats, y_mm: Floats) -> tuple[Floats, Floats]:
        """Return what the values tell of the surface at places, and what the plane leaves unsure, as square roots."""
        own = self._between(self.places.x_mm, self.places.y_mm) + self._errors()
        factor = la.cholesky(own, lower=True)
        half = la.solve_triangular(factor, self._between(x_mm, y_mm).T, lower=True)
        plane = la.solve_triangular(factor, self.places.plane, lower=True)
        lack = _plane(x_mm, y_mm) - half.T @ plane
        values, vectors = np.linalg.eigh(plane.T @ plane)
        told = values > RANK * values[-1]
        return half, np.asarray(lack @ (vectors[:, told] / np.sqrt(values[told])))

    def left_out(self) -> tuple[Floats, Floats]:
        """Return how far each value lies from what all others foretell, and that distance's standard deviation.

        In closed form (Dubrule 1983, from memory).
        """
        diagonal = np.diag(self.precision)
        return (self.precision @ self.values_mm) / diagonal, self.noise_mm / np.sqrt(diagonal)


def places_at(x_mm: Floats, y_mm: Floats) -> Places:
    """Return places ready for fits."""
    plane = _plane(x_mm, y_mm)
    q, _ = np.linalg.qr(plane, mode="complete")
    rank = int(np.linalg.matrix_rank(plane))
    return Places(x_mm, y_mm, plane, q[:, rank:])


def fair_surface(
    places: Places,
    values_mm: Floats,
    shared: Floats | None = None,
    least_noise_mm: float = LEAST_NOISE_MM,
) -> FairSurface:
    """Return the fair surface through values (n,); of fewer than `FEWEST` with the usual noise.

    `shared` is the covariance of errors that values share, per noise, shape (n, n); `least_noise_mm` what is known of
    the noise from elsewhere.
    """
    if len(values_mm) < FEWEST:
        return _made(places, values_mm, Parts(4.0, 0.0, FAIR_MM), USUAL_NOISE_MM, shared)
    fits = likelihoods(places, values_mm, shared, least_noise_mm)
    best = max(fits, key=lambda one: one[0])
    bare = max((one for one in fits if one[1].local == 0.0), key=lambda one: one[0])
    # Unless a local part is certain, what would be put down to it is noise.
    chosen = best if best[0] > bare[0] + SURE else bare
    parts = chosen[1]
    if parts.local:
        parts = parts._replace(local=max(parts.local, LEAST_LOCAL))
    return _made(places, values_mm, parts, chosen[2], shared)


def bare_surface(
    places: Places, values_mm: Floats, noise_mm: float, fair_ratio: float, shared: Floats | None = None
) -> FairSurface:
    """Return the surface that has no local part: what is fair."""
    return _made(places, values_mm, Parts(fair_ratio, 0.0, FAIR_MM), noise_mm, shared)


def likelihoods(
    places: Places,
    values_mm: Floats,
    shared: Floats | None = None,
    least_noise_mm: float = LEAST_NOISE_MM,
) -> list[tuple[float, Parts, float]]:
    """Return log likelihood, parts and noise, for all parts tried."""
    projected = places.rest.T @ values_mm
    freedom = len(projected)
    fits = []
    factors = _factors(places_key(places)) if shared is None else _factored(places, shared)
    for parts, factor in factors:
        half = la.solve_triangular(factor, projected, lower=True, check_finite=False)
        noise = max(float(np.sqrt(half @ half / freedom)), least_noise_mm)
        log_likelihood = (
            -freedom * np.log(noise)
            - float(np.sum(np.log(np.diag(factor))))
            - 0.5 * float(half @ half) / noise**2
        )
        fits.append((log_likelihood, parts, noise))
    return fits


def places_key(places: Places) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return what identifies places."""
    return tuple(places.x_mm.tolist()), tuple(places.y_mm.tolist())


@lru_cache(maxsize=4)
def _factors(key: tuple[tuple[float, ...], tuple[float, ...]]) -> list[tuple[Parts, Floats]]:
    """Return the factors of places whose errors are their own, kept for the next values there."""
    return list(_factored(places_at(np.array(key[0]), np.array(key[1])), None))


def _factored(places: Places, shared: Floats | None) -> Iterator[tuple[Parts, Floats]]:
    """Return Cholesky factors of the covariance, with the plane taken out, for all ratios."""
    one = np.eye(places.rest.shape[1])
    if shared is not None:
        one = one + places.rest.T @ shared @ places.rest
    fair, *local = (
        places.rest.T @ places.covariance(places.x_mm, places.y_mm, length) @ places.rest
        for length in (FAIR_MM, *LOCAL_MM)
    )
    for length, part in ((FAIR_MM, None), *zip(LOCAL_MM, local, strict=True)):
        for a in FAIR_RATIOS:
            for b in (0.0,) if part is None else LOCAL_RATIOS:
                whole = a * fair + one + (0.0 if part is None else b * part)
                yield (
                    Parts(a, b, length),
                    la.cholesky(whole, lower=True, check_finite=False, overwrite_a=True),
                )


def _made(
    places: Places, values: Floats, parts: Parts, noise: float, shared: Floats | None = None
) -> FairSurface:
    covariance = parts.fair * places.covariance(places.x_mm, places.y_mm, FAIR_MM)
    if parts.local:
        covariance = covariance + parts.local * places.covariance(places.x_mm, places.y_mm, parts.local_mm)
    if shared is not None:
        covariance = covariance + shared
    inner = places.rest.T @ covariance @ places.rest + np.eye(places.rest.shape[1])
    precision = places.rest @ la.cho_solve(la.cho_factor(inner), places.rest.T)
    return FairSurface(places, values, noise, parts.fair, parts.local, parts.local_mm, precision, shared)


def _plane(x_mm: Floats, y_mm: Floats) -> Floats:
    return np.column_stack([np.ones_like(x_mm), x_mm / SCALE_MM, y_mm / SCALE_MM])
