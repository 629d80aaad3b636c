"""What a spline is held to besides points: values met as if by springs, and linear bounds on its unknowns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from seatmesh.arrays import Floats


@dataclass(frozen=True)
class Springs:
    """Values that linear functions of the symmetric unknowns are held to, and values that others may not exceed.

    Attributes
    ----------
    rows, values, weights
        rows @ c is held to values with weights; shapes (m, unknowns), (m,), (m,).
    limited, most
        limited @ c is at most `most`; shapes (k, unknowns), (k,).
    """

    rows: sp.csr_array
    values: Floats
    weights: Floats
    limited: sp.csr_array
    most: Floats

    def energy(self) -> sp.csr_array:
        """Return the second derivative of the springs' energy by the unknowns."""
        return sp.csr_array(2.0 * (self.rows.T @ sp.diags_array(self.weights) @ self.rows))

    def slope(self) -> Floats:
        """Return the first derivative of the springs' energy where all unknowns are 0."""
        return np.asarray(-2.0 * (self.rows.T @ (self.weights * self.values)))
