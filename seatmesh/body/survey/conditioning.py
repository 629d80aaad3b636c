"""What some measures of a person say of the others: a normal distribution given uncertain readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from seatmesh.arrays import Floats, Ints


@dataclass(frozen=True)
class MeasureReadings:
    """Readings of some variables of one person, each with the error of its own taking.

    Attributes
    ----------
    which
        Indices of the variables read, shape (k,).
    values, errors
        The readings and one standard error of each, shape (k,).
    """

    which: Ints
    values: Floats
    errors: Floats


@dataclass(frozen=True)
class Conditioned:
    """A population seen from one person's readings.

    Attributes
    ----------
    mean, sd
        Of every variable given the readings, shape (n,).
    log_density
        Logarithm of the density of the readings in the population.
    expected, surprise
        What the other readings lead one to expect of each reading, shape (k,), and by how many standard
        errors (of that expectation and the reading together) the reading lies above it.
    """

    mean: Floats
    sd: Floats
    log_density: float
    expected: Floats
    surprise: Floats


def condition(mean: Floats, covariance: Floats, readings: MeasureReadings) -> Conditioned:
    """Condition N(mean, covariance) on readings whose errors are independent of each other and of the person.

    With S the covariance of the readings' variables plus their squared errors and d = values - mean there:
    mean + C S^-1 d and covariance - C S^-1 C^T, C being the covariance of all variables with those read; the
    readings left out one by one follow from S^-1 alone (Rasmussen and Williams 2006, *Gaussian Processes*,
    eqs 2.19 and 5.12).
    """
    read = readings.which
    precision = np.linalg.inv(covariance[np.ix_(read, read)] + np.diag(readings.errors**2))
    off = readings.values - mean[read]
    weighted = precision @ off
    gain = covariance[:, read] @ precision
    variance = np.diag(covariance) - np.einsum("ij,ij->i", gain, covariance[:, read])
    _, log_determinant = np.linalg.slogdet(precision)
    spread = np.diag(precision)
    return Conditioned(
        mean=mean + covariance[:, read] @ weighted,
        sd=np.sqrt(np.maximum(variance, 0.0)),
        log_density=0.5 * float(log_determinant - off @ weighted - len(read) * math.log(2.0 * math.pi)),
        expected=readings.values - weighted / spread,
        surprise=weighted / np.sqrt(spread),
    )


def without(readings: MeasureReadings, place: int) -> MeasureReadings:
    """Return the readings less the one at `place`."""
    return MeasureReadings(
        np.delete(readings.which, place), np.delete(readings.values, place), np.delete(readings.errors, place)
    )
