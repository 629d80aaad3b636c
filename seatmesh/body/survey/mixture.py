"""Mixtures of normal distributions: what is known of a measure when the sitter may be of either sex."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from seatmesh.arrays import Floats
from seatmesh.body.body import Measure


@dataclass(frozen=True)
class Mixture:
    """Normal distributions with weights that add up to 1; each attribute has shape (k,)."""

    weights: Floats
    means: Floats
    sds: Floats

    def distribution(self, value: float) -> float:
        """Return the probability of a value at or below `value`."""
        return float(self.weights @ ndtr((value - self.means) / self.sds))

    def quantile(self, probability: float) -> float:
        """Return the value that is not exceeded with `probability`, strictly between 0 and 1.

        It lies between the least and the greatest of the parts' own quantiles, where the root is bracketed.
        """
        own = self.means + ndtri(probability) * self.sds
        if len(own) == 1:
            return float(own[0])
        margin = float(np.max(self.sds))
        low, high = float(np.min(own)) - margin, float(np.max(own)) + margin
        return float(brentq(lambda value: self.distribution(value) - probability, low, high, xtol=1e-9))

    @property
    def sd(self) -> float:
        """Standard deviation of the whole: spread within the parts and between them."""
        mean = float(self.weights @ self.means)
        return float(np.sqrt(self.weights @ (self.sds**2 + (self.means - mean) ** 2)))

    def measure(self) -> Measure:
        """Return the estimate that it makes: median, standard deviation, and 5 % and 95 % quantiles."""
        if len(self.weights) == 1:
            return Measure(float(self.means[0]), float(self.sds[0]), "estimated")
        interval = (self.quantile(0.05), self.quantile(0.95))
        return Measure(self.quantile(0.5), self.sd, "estimated", interval)
