"""Bars taken to sit much alike: scatter of their heights, tilts and readings, and which readings are off.

Rounds of expectation and maximisation on a normal linear model with a common and an own part for each placing (Bishop
2006, *Pattern Recognition and Machine Learning*, 3.3 and 9.4; from memory), in which a reading that all others foretell
otherwise counts the less the farther off it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg as la

from seatmesh.arrays import Floats, Ints

PARTS = 3
"""Height, tilt and sag of each placing."""
COMMON_SD = (3.0, 1.75, 1.0)
"""What all placings may have in common: height, tilt (0.5 degrees over 200 mm) and sag, mm."""
OWN_SAG_SD = 0.1
ALIKE_SD = np.array([0.2, 0.2])
ALIKE_TOLD_BY = 2.0
"""Before any evidence: how unlike placings are in height and tilt, worth so many placings."""
NOISE_MM, NOISE_TOLD_BY = 0.25, 6.0
"""Scatter of careful readings on planed wood, worth so many readings; common practice."""
LEAST_NOISE_MM = 0.03
SUSPECT = 2.0
"""Standard deviations from what all others foretell, beyond which a reading counts less and less."""
LEAST_WEIGHT = 1e-3
PLANED_MM = 0.1
"""What planing leaves of unevenness: readings as exact as that are no reason to suspect wood of being cut."""
ROUNDS, SETTLED = 40, 0.01


@dataclass(frozen=True)
class Told:
    """Observations (m,) of how the bar sat.

    Attributes
    ----------
    design
        Over own parts of each placing, then common ones, shape (m, 3p + 3).
    value_mm
        What the bar added.
    noise
        Covariance of their noise, per variance of one reading, shape (m, m).
    reading
        The reading that each is; -1 of differences between two.
    """

    design: Floats
    value_mm: Floats
    noise: Floats
    reading: Ints

    @property
    def placings(self) -> int:
        """How many placings there are."""
        return int(self.design.shape[1]) // PARTS - 1


@dataclass(frozen=True)
class Alike:
    """What is common to all placings, and how unlike they are.

    Attributes
    ----------
    mean, covariance
        Height, tilt and sag: own parts of each placing, then the common ones, shapes (3p + 3,) and (3p + 3, 3p + 3).
    own_sd
        Scatter of own heights and tilts, shape (2,).
    noise_mm
        Scatter of readings.
    weight
        How much each observation is trusted, 0 to 1, shape (m,).
    wide
        Variance allowed to each placing's own height against that of most, 1 or more, shape (p,).
    evidence
        Log likelihood of the observations, but for a constant.
    """

    mean: Floats
    covariance: Floats
    own_sd: Floats
    noise_mm: float
    weight: Floats
    wide: Floats
    evidence: float

    def noise_covariance(self, told: Told) -> Floats:
        """Return the covariance of the observations' noise, mm2."""
        return np.asarray(self.noise_mm**2 * (told.noise + np.diag(self.distrust)))

    def prior(self) -> Floats:
        """Return the variance of each own part, then of the common ones, before anything was read."""
        prior = np.append(np.tile([*self.own_sd, OWN_SAG_SD], len(self.wide)), COMMON_SD) ** 2
        prior[: PARTS * len(self.wide) : PARTS] *= self.wide
        return np.asarray(prior)

    @property
    def distrust(self) -> Floats:
        """Return what each observation's variance has beyond its noise's, in variances of a reading."""
        return np.asarray(1.0 / self.weight - 1.0)


def alike(told: Told) -> Alike:
    """Return what observations tell of bars that sit much alike."""
    now = Alike(
        mean=np.zeros(told.design.shape[1]),
        covariance=np.diag(np.append(np.tile([*ALIKE_SD, OWN_SAG_SD], told.placings), COMMON_SD) ** 2),
        own_sd=ALIKE_SD,
        noise_mm=NOISE_MM,
        weight=np.ones(len(told.value_mm)),
        wide=np.ones(told.placings),
        evidence=-np.inf if len(told.value_mm) else 0.0,
    )
    for _ in range(ROUNDS if len(told.value_mm) else 0):
        before, now = now, _improved(told, now)
        change = np.abs(np.log([*(now.own_sd / before.own_sd), now.noise_mm / before.noise_mm])).max()
        if max(change, np.abs(now.weight - before.weight).max()) < SETTLED:
            break
    return now


def _improved(told: Told, now: Alike) -> Alike:
    p = told.placings
    prior = now.prior()
    spread = told.design * prior
    noise = now.noise_covariance(told)
    precision = la.inv(spread @ told.design.T + noise)
    mean = spread.T @ (precision @ told.value_mm)
    unsure = np.diag(prior) - spread.T @ precision @ spread
    weight = _weights(precision, told.value_mm, now.noise_mm**2 * now.distrust)
    left = told.value_mm - told.design @ mean
    inner = la.inv(noise) * now.noise_mm**2
    square = float(left @ inner @ left) + float(np.sum((told.design @ unsure) * (inner @ told.design)))
    told_by = float(np.sqrt(now.weight).sum()) + NOISE_TOLD_BY
    known = np.flatnonzero(np.any(told.design[:, : PARTS * p].reshape(-1, p, PARTS) != 0.0, axis=(0, 2)))
    height, tilt = (mean[j : PARTS * p : PARTS] ** 2 + np.diag(unsure)[j : PARTS * p : PARTS] for j in (0, 1))
    own = np.array([height / now.wide, tilt])[:, known]
    scatter = (own.sum(axis=1) + ALIKE_TOLD_BY * ALIKE_SD**2) / (len(known) + ALIKE_TOLD_BY)
    return Alike(
        mean=mean,
        covariance=unsure,
        own_sd=np.sqrt(scatter),
        noise_mm=max(float(np.sqrt((square + NOISE_TOLD_BY * NOISE_MM**2) / told_by)), LEAST_NOISE_MM),
        weight=weight,
        wide=np.maximum(1.0, height / (SUSPECT**2 * scatter[0])),
        evidence=0.5 * float(np.linalg.slogdet(precision)[1] - told.value_mm @ precision @ told.value_mm),
    )


def _weights(precision: Floats, value: Floats, distrusted: Floats) -> Floats:
    """Return weights by how far each value lies from what all others foretell (in closed form: Dubrule 1983)."""
    diagonal = np.diag(precision)
    deviation = np.sqrt(np.maximum(1.0 / diagonal - distrusted, 0.0) + PLANED_MM**2)
    far = np.abs((precision @ value) / diagonal) / deviation
    return np.asarray(np.maximum((SUSPECT / np.maximum(far, SUSPECT)) ** 4, LEAST_WEIGHT))
