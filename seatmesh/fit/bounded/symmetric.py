"""Splines whose sides mirror each other: rows from their unknowns to values, and squares of such rows added up.

The symmetric unknowns are the coefficients of the left half and, where there is one, of the middle, row by row of
(half of nx, ny).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from seatmesh.arrays import Floats, Ints
from seatmesh.spline import DEGREE, design_matrix, local_basis


def rows_at(
    knots: tuple[Floats, Floats], x_mm: Floats, y_mm: Floats, dx: int = 0, dy: int = 0
) -> sp.csr_array:
    """Return the matrix from symmetric unknowns to values, or derivatives, at points x, y, both of shape (n,).

    `knots` are those in x, which mirror each other, and in y.
    """
    nx, ny = (len(one) - DEGREE - 1 for one in knots)
    across, along = local_basis(x_mm, knots[0], dx), local_basis(y_mm, knots[1], dy)
    column = across.first[:, None] + np.arange(DEGREE + 1)
    # Coefficients on the right are those of their mirror images.
    column = np.minimum(column, nx - 1 - column) * ny + along.first[:, None]
    columns = column[:, :, None] + np.arange(DEGREE + 1)
    each = across.values[:, :, None] * along.values[:, None, :]
    ends = np.arange(0, each.size + 1, (DEGREE + 1) ** 2)
    rows = sp.csr_array((each.ravel(), columns.ravel(), ends), shape=(len(x_mm), (nx + 1) // 2 * ny))
    rows.sum_duplicates()
    return rows


@dataclass(frozen=True)
class Squares:
    """Sums of w b b' over points of an open grid, b being the row of each: a matrix of always the same pattern.

    A row is the product of one across and one along, and so is its square: the sum over columns is taken first.

    Attributes
    ----------
    across, along
        Products of two basis functions that meet, at the columns (nx points, pairs) and rows (ny points, pairs).
    place
        Where each product of pairs stands among the matrix' entries, for a table (pairs along, pairs across) unrolled.
    columns, ends
        Of the matrix in compressed rows.
    """

    across: Floats
    along: Floats
    place: Ints
    columns: Ints
    ends: Ints

    @classmethod
    def over(cls, knots: tuple[Floats, Floats], x_mm: Floats, y_mm: Floats) -> Squares:
        """Lay them out for columns and rows of points."""
        nx = len(knots[0]) - DEGREE - 1
        half = design_matrix(x_mm, knots[0]).toarray()
        half[:, : nx // 2] += half[:, : nx - nx // 2 - 1 : -1]
        half, whole = half[:, : (nx + 1) // 2], design_matrix(y_mm, knots[1]).toarray()
        (i, k), (j, m) = _meeting(half.shape[1]), _meeting(whole.shape[1])
        count = whole.shape[1]
        row = (i[None, :] * count + j[:, None]).ravel()
        column = (k[None, :] * count + m[:, None]).ravel()
        order = np.lexsort((column, row))
        ends = np.searchsorted(row[order], np.arange(half.shape[1] * count + 1))
        return cls(half[:, i] * half[:, k], whole[:, j] * whole[:, m], order, column[order], ends)

    def of(self, weight: Floats) -> Floats:
        """Return the entries of the sum for weights (ny, nx) of the points."""
        return np.asarray((self.along.T @ (weight @ self.across)).ravel()[self.place])

    def entries(self, matrix: sp.csr_array) -> Floats:
        """Return the entries of a matrix of that pattern, or of a part of it."""
        row = np.repeat(np.arange(len(self.ends) - 1), np.diff(self.ends))
        return np.asarray(matrix[row, self.columns])

    def matrix(self, entries: Floats) -> sp.csr_array:
        """Return the matrix that has some entries."""
        size = len(self.ends) - 1
        return sp.csr_array((entries, self.columns, self.ends), shape=(size, size))


def _meeting(count: int) -> tuple[Ints, Ints]:
    """Return the numbers of all two of `count` functions whose supports meet."""
    apart = np.arange(-DEGREE, DEGREE + 1)
    one = np.repeat(np.arange(count), len(apart))
    other = one + np.tile(apart, count)
    there = (other >= 0) & (other < count)
    return one[there], other[there]
