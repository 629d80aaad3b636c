"""What a spline is held to besides points: values met as if by springs, and linear bounds on its unknowns."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

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
        rows = self.rows
        told = (rows.data, rows.indices, rows.indptr, self.weights)
        return _energy(tuple(one.tobytes() for one in told), (*rows.shape, rows.indices.dtype.char))

    def slope(self) -> Floats:
        """Return the first derivative of the springs' energy where all unknowns are 0."""
        return np.asarray(-2.0 * (self.rows.T @ (self.weights * self.values)))


@lru_cache(maxsize=8)
def _energy(told: tuple[bytes, ...], shape: tuple[int, int, str]) -> sp.csr_array:
    """Return the energy of rows and weights that are told by their bytes: one depth after the other has the same."""
    count, unknowns, kind = shape
    data, columns, ends, weights = (
        np.frombuffer(one, dtype=kind if at in (1, 2) else float) for at, one in enumerate(told)
    )
    rows = sp.csr_array((data, columns, ends), shape=(count, unknowns))
    return sp.csr_array(2.0 * (rows.T @ sp.diags_array(weights) @ rows))
