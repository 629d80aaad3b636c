"""Bounds of the hollow that hold everywhere: greatest coefficients, and greatest coefficients after knots are refined.

A spline never exceeds the coefficients whose functions reach a place. So whatever bounds the depth from place to place
bounds each coefficient by the least bound over its function's support. For floor and front roll that is done on the
spline's own coefficients. What varies fast (under-bevel, joints, a curved deck line) is put to the coefficients of the
same spline with every span cut in `PARTS`: they are linear in its own, and their supports are small.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

from seatmesh.arrays import Floats, Ints
from seatmesh.errors import NotSolvedError
from seatmesh.front_roll import front_roll_depth
from seatmesh.spline import DEGREE, BicubicSpline, design_matrix, greville
from seatmesh.surface import Seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.drilled import Cells
from seatmesh.wood.joint import greatest_depth

PARTS = 6
"""Parts that a span of 12 mm is cut into: supports of 8 mm."""
MARGIN_MM = 1e-9
"""Kept to the bound, so that rounding in an evaluation does not step over it."""
MOST_ROUNDS = 50


@dataclass(frozen=True)
class Refinement:
    """Bounds on the coefficients that a spline has once its spans are cut.

    Attributes
    ----------
    knots_x, knots_y
        The knots after that.
    along_x, along_y
        From the spline's coefficients to those, along each axis; rows are shares that add up to 1.
    upper
        The greatest value of each, alike on both sides.
    """

    knots_x: Floats
    knots_y: Floats
    along_x: sp.csr_array
    along_y: sp.csr_array
    upper: Floats

    def over(self, coefficients: Floats) -> Floats:
        """Return by how much each refined coefficient exceeds its bound; negative where it does not."""
        return np.asarray((self.along_y @ (self.along_x @ coefficients).T).T - self.upper)

    def rows(self, where: NDArray[np.bool_]) -> tuple[sp.csr_array, Floats]:
        """Return the matrix from coefficients, row by row, to the refined ones chosen, and their bounds.

        `where` has the shape of `upper`; the matrix has one row for each place chosen.
        """
        i, j = np.nonzero(where)
        columns, values = self.parents(i, j)
        row = np.repeat(np.arange(len(i)), columns.shape[1])
        count = self.along_x.shape[1] * self.along_y.shape[1]
        matrix = sp.coo_array((values.ravel(), (row, columns.ravel())), shape=(len(i), count))
        return sp.csr_array(matrix), self.upper[i, j]

    def parents(self, i: Ints, j: Ints) -> tuple[Ints, Floats]:
        """Return which coefficients refined ones (i, j) are made of, by their place row by row, and the shares."""
        index_x, share_x = self._padded_x
        index_y, share_y = self._padded_y
        columns = index_x[i][:, :, None] * self.along_y.shape[1] + index_y[j][:, None, :]
        shares = share_x[i][:, :, None] * share_y[j][:, None, :]
        # Stated in full: of no coefficients at all, as under a joint on the deck alone, -1 would mean nothing.
        size = (len(i), columns.shape[1] * columns.shape[2])
        return columns.reshape(size), shares.reshape(size)

    @cached_property
    def _padded_x(self) -> tuple[Ints, Floats]:
        return _padded(self.along_x)

    @cached_property
    def _padded_y(self) -> tuple[Ints, Floats]:
        return _padded(self.along_y)


@dataclass(frozen=True)
class Bounds:
    """The greatest coefficients of a hollow, and those after refinement where they are needed.

    Attributes
    ----------
    upper
        Shape (nx, ny): floor, front roll, and the deck line where it is straight.
    refined
        Under-bevel, joints and a curved deck line; None without them.
    """

    upper: Floats
    refined: Refinement | None = None

    def held(self, coefficients: Floats) -> Floats:
        """Return coefficients lowered, as little and as near by as is simple, until every bound holds; mirrored.

        Raises
        ------
        NotSolvedError
            They do not hold after `MOST_ROUNDS`; none is known that comes near to that.
        """
        c = np.minimum(np.minimum(coefficients, self.upper), np.minimum(coefficients, self.upper)[::-1])
        if self.refined is None:
            return c
        for _ in range(MOST_ROUNDS):
            over = self.refined.over(c) + MARGIN_MM
            i, j = np.nonzero(over > 0.0)
            if not len(i):
                break
            # A refined coefficient is a mean of its parents: it falls as far as the least lowered of them.
            parents, _ = self.refined.parents(i, j)
            lowered = np.zeros(c.size)
            np.maximum.at(lowered, parents, over[i, j][:, None] + MARGIN_MM)
            c = c - lowered.reshape(c.shape)
            c = np.minimum(c, c[::-1])
        else:
            raise NotSolvedError(
                f"the hollow's bounds beside bevel, joints and deck line are not kept after {MOST_ROUNDS} rounds; "
                "give the joints more room, or the hollow less depth"
            )
        return c

    def near(self, coefficients: Floats) -> Floats:
        """Return simple upper bounds about coefficients that keep all bounds: no lower than they are themselves.

        A coefficient may rise to the least bound that any of its refined ones has; `held` is still due, since some
        that stand above that are made up for by their neighbours.
        """
        return np.asarray(np.minimum(self.upper, np.maximum(self.least_allowed(), coefficients)))

    def least_allowed(self) -> Floats:
        """Return the least bound over all that each coefficient reaches, shape (nx, ny)."""
        if self.refined is None:
            return self.upper
        least = np.full(self.upper.size, np.inf)
        i, j = np.nonzero(np.isfinite(self.refined.upper))
        parents, shares = self.refined.parents(i, j)
        values = np.where(shares > 0.0, self.refined.upper[i, j][:, None], np.inf)
        np.minimum.at(least, parents, values)
        return np.asarray(np.minimum(self.upper, least.reshape(self.upper.shape)))

    def greatest(self, spline: BicubicSpline, x_mm: float, y_mm: float) -> float:
        """Return the greatest depth at a place that the bounds on coefficients let any spline of these knots have."""
        coarse = BicubicSpline(spline.knots_x, spline.knots_y, self.upper)(x_mm, y_mm)
        if self.refined is None:
            return float(coarse)
        upper = np.minimum(self.refined.upper, self.upper.max())
        fine = BicubicSpline(self.refined.knots_x, self.refined.knots_y, upper)(x_mm, y_mm)
        return float(np.minimum(coarse, fine))


def bounds_over(seat: Seat, knots_x: Floats, knots_y: Floats) -> Bounds:
    """Return the bounds of a seat's hollow on these knots; those in x mirror each other."""
    blank = seat.blank
    # Each function ends at the knot `DEGREE` + 1 places after its first: there the roll is deepest.
    roll = front_roll_depth(blank.depth_mm - knots_y[DEGREE + 1 :], seat.front_roll_mm)
    upper = np.tile(blank.greatest_depth_mm - roll, (len(knots_x) - DEGREE - 1, 1))
    if not blank.deck_is_curved:
        # The spline begins at the deck line, where its first coefficients alone make it up.
        upper[:, 0] = np.minimum(blank.gutter_depth_mm, upper[:, 0])
    return Bounds(
        upper,
        None
        if blank.is_plain
        else _refinement(blank, seat.front_roll_mm, tuple(knots_x.tolist()), tuple(knots_y.tolist())),
    )


def held_back_mm(seat: Seat, x_mm: float, y_mm: float) -> dict[str, float]:
    """Return the depth that wood and joints allow at a place, the most that the bounds let it be, and the difference.

    The difference is what it costs that bounds hold everywhere and not only at points.
    """
    roll = float(front_roll_depth(np.array(seat.blank.depth_mm - y_mm), seat.front_roll_mm))
    places = (np.array([x_mm, -x_mm]), np.array(y_mm))
    wood = max(0.0, float(seat.blank.allowed_depth_mm(*places).min()) - roll)
    if seat.hollow is None:
        return {"allowed_by_wood_mm": wood, "allowed_by_bounds_mm": wood, "held_back_mm": 0.0}
    bounds = bounds_over(seat, seat.hollow.knots_x, seat.hollow.knots_y)
    most = min(wood, bounds.greatest(seat.hollow, x_mm, y_mm))
    return {"allowed_by_wood_mm": wood, "allowed_by_bounds_mm": most, "held_back_mm": wood - most}


@lru_cache(maxsize=8)
def _refinement(blank: Blank, roll_mm: float, of_x: tuple[float, ...], of_y: tuple[float, ...]) -> Refinement:
    seat, knots_x, knots_y = Seat(blank=blank, front_roll_mm=roll_mm), np.array(of_x), np.array(of_y)
    fine_x, fine_y = _cut(knots_x), _cut(knots_y)
    least = _least_over_cells(seat, np.unique(fine_x), np.unique(fine_y))
    return Refinement(
        fine_x,
        fine_y,
        _insertion(knots_x, fine_x),
        _insertion(knots_y, fine_y),
        _least_over_supports(_least_over_supports(least).T).T,
    )


def _least_over_cells(seat: Seat, x: Floats, y: Floats) -> Floats:
    """Return a bound of the hollow's depth that holds all over each cell between the lines x and y, shape (nx, ny).

    Infinite where neither bevel, joint nor deck line has a say, or where no wood is. Reckoned on the right half, each
    cell with its mirror image.
    """
    blank, right = seat.blank, x[len(x) // 2 :]
    x0, y0 = np.meshgrid(right[:-1], y[:-1], indexing="ij")
    x1, y1 = np.meshgrid(right[1:], y[1:], indexing="ij")
    cells = Cells(x0, x1, y0, y1)
    middle = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    # Distances change no faster than the place: over a cell by no more than half of its diagonal.
    reach = 0.5 * np.hypot(x1 - x0, y1 - y0)
    inside = blank.inside_mm(*middle) + reach
    left = blank.greatest_depth_mm - blank.rise_at_mm(inside - 2.0 * reach)
    bound = np.where(left < blank.greatest_depth_mm, left, np.inf)
    for side in (cells, cells.mirrored()):
        bound = np.minimum(bound, greatest_depth(blank.joints, side, left, blank.wood()))
    bound = np.maximum(bound - front_roll_depth(blank.depth_mm - y1, seat.front_roll_mm), 0.0)
    if blank.deck_is_curved:
        touched = blank.ahead_of_deck_mm(*middle) <= reach
        bound = np.where(touched, np.minimum(bound, blank.gutter_depth_mm), bound)
    bound = np.where(inside < 0.0, np.inf, bound)
    return np.vstack([bound[::-1], bound])


def _least_over_supports(cells: Floats) -> Floats:
    """Return the least over the up to four neighbouring rows of cells that each function reaches."""
    padded = np.pad(cells, ((DEGREE, DEGREE), (0, 0)), constant_values=np.inf)
    reached = [padded[k : len(padded) - DEGREE + k] for k in range(DEGREE + 1)]
    return np.asarray(np.minimum.reduce(reached))


def _cut(knots: Floats) -> Floats:
    """Return knots with every span cut in `PARTS`."""
    ends = np.unique(knots)
    share = np.arange(PARTS) / PARTS
    inner = (ends[:-1, None] + np.diff(ends)[:, None] * share).ravel()
    if ends[0] == -ends[-1]:
        whole = np.append(inner, ends[-1])
        inner = (0.5 * (whole - whole[::-1]))[:-1]
    return np.concatenate([np.full(DEGREE, ends[0]), inner, np.full(DEGREE + 1, ends[-1])])


def _insertion(knots: Floats, fine: Floats) -> sp.csr_array:
    """Return the matrix from coefficients on `knots` to those on `fine`, which holds all of them.

    The refined spline is the same function: found where both are compared at the means of three knots.
    """
    # A third of three times an end may round to beyond it.
    at = greville(fine)
    same = splu(sp.csc_matrix(design_matrix(at, fine)))
    shares = same.solve(design_matrix(at, knots).toarray())
    shares[np.abs(shares) < 1e-12] = 0.0
    return sp.csr_array(shares / shares.sum(axis=1, keepdims=True))


def _padded(shares: sp.csr_array) -> tuple[Ints, Floats]:
    """Return each row's columns and values, filled up with shares of 0."""
    count = np.diff(shares.indptr)
    width = int(count.max())
    index = np.zeros((shares.shape[0], width), dtype=np.int64)
    value = np.zeros((shares.shape[0], width))
    filled = np.arange(width) < count[:, None]
    index[filled], value[filled] = shares.indices, shares.data
    # A share of nothing points at a coefficient that is among the parents anyway.
    index = np.where(filled, index, index[:, :1])
    return index, value
