"""Points of the blank that a photograph shows, in numbers: pixels, places, the outline, and how surely each is read."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from seatmesh.arrays import Floats
from seatmesh.marks.homography import applied

PLACE_ERROR_MM = 0.5
"""Standard error of a point that was measured on the blank, and of an outline as it was cut; common practice."""
PIXEL_SHARE, LEAST_PIXEL_ERROR = 1.0 / 4000.0, 1.0
"""Standard error of a pixel that was pointed at: of the image's diagonal, and at least, px; common practice."""


@dataclass(frozen=True)
class SeenPoints:
    """What a photograph shows of the blank.

    Attributes
    ----------
    size_px
        Width and height of the whole image.
    pixels, places_mm
        Of points whose place is known, shapes (n, 2); n >= 4.
    edge_pixels
        Of points that lie anywhere on the outline of the top face, shape (m, 2).
    outline_mm
        That outline, a closed polygon, shape (k, 2).
    """

    size_px: tuple[float, float]
    pixels: Floats
    places_mm: Floats
    edge_pixels: Floats
    outline_mm: Floats

    @property
    def pixel_error(self) -> float:
        """Standard error of a pixel in either direction, px."""
        return max(LEAST_PIXEL_ERROR, PIXEL_SHARE * float(np.hypot(*self.size_px)))

    def normal(self, pixels: Floats) -> Floats:
        """Return pixels counted from the middle of the image in half diagonals."""
        size = np.asarray(self.size_px)
        return np.asarray((pixels - 0.5 * size) / (0.5 * np.hypot(*size)))

    def off_outline_mm(self, places: Floats) -> Floats:
        """Return how far places, shape (m, 2), lie from the outline, outside positive."""
        if not len(places):
            return np.zeros(0)
        points, ring = shapely.points(places), self._face.exterior
        outside = np.where(shapely.contains(self._face, points), -1.0, 1.0)
        return np.asarray(outside * shapely.distance(ring, points))

    def known_errors(self, plane: Floats) -> Floats:
        """Return the root of each known point's covariance, mm, shape (n, 2, 2), by a first plane without a lens."""
        by_pixel = self._per_pixel(plane, self.normal(self.pixels))
        spread = PLACE_ERROR_MM**2 * np.eye(2) + self.pixel_error**2 * by_pixel @ by_pixel.transpose(0, 2, 1)
        return np.asarray(np.linalg.cholesky(spread))

    def edge_errors(self, plane: Floats) -> Floats:
        """Return the standard error of each edge point, mm, shape (m,): that of its pixel in the worst direction."""
        if not len(self.edge_pixels):
            return np.zeros(0)
        by_pixel = self._per_pixel(plane, self.normal(self.edge_pixels))
        return np.asarray(
            np.hypot(PLACE_ERROR_MM, self.pixel_error * np.linalg.norm(by_pixel, ord=2, axis=(1, 2)))
        )

    def _per_pixel(self, plane: Floats, at: Floats) -> Floats:
        """Return mm per px about points of the image, shape (n, 2, 2)."""
        step = 1.0 / np.hypot(*self.size_px)
        columns = [applied(plane, at + step * one) - applied(plane, at - step * one) for one in np.eye(2)]
        return np.stack(columns, axis=2)

    @cached_property
    def _face(self) -> shapely.Polygon:
        face = shapely.Polygon(self.outline_mm)
        shapely.prepare(face)
        return face
