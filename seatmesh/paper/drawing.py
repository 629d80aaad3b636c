"""A drawing as plain data: named layers of lines, circles and words, all in mm; x to the right, y up."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

Align = Literal["left", "middle", "right"]
Point = tuple[float, float]
WHITE = "#ffffff"
"""Fill of grounds, which hide what lies beneath and are no part of the drawing."""


@dataclass(frozen=True)
class Look:
    """How the lines of a layer are drawn: width and dashes in mm, colour and fill as "#rrggbb"."""

    width_mm: float = 0.25
    colour: str = "#000000"
    dashes_mm: tuple[float, ...] = ()
    fill: str | None = None


@dataclass(frozen=True)
class Line:
    """A run of straight pieces through `points_mm`; a closed one returns to its start."""

    points_mm: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle."""

    centre_mm: Point
    radius_mm: float


@dataclass(frozen=True)
class Words:
    """One line of words; `at_mm` is on its base line, `size_mm` the size of the type, `turn_deg` counter-clockwise."""

    text: str
    at_mm: Point
    size_mm: float = 3.0
    align: Align = "left"
    bold: bool = False
    turn_deg: float = 0.0


Item = Line | Circle | Words


@dataclass(frozen=True)
class DrawingLayer:
    """A named set of things drawn alike."""

    name: str
    look: Look
    items: tuple[Item, ...] = ()


@dataclass(frozen=True)
class Drawing:
    """Layers, drawn in their order, the first one beneath."""

    title: str
    layers: tuple[DrawingLayer, ...]

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y of lines, circles and where words start, grounds left out: x0, y0, x1, y1."""
        seen = [layer for layer in self.layers if layer.look.fill != WHITE]
        corners = [corner for layer in seen for item in layer.items for corner in _corners(item)]
        points = np.array(corners or [(0.0, 0.0)])
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def moved(self, x_mm: float, y_mm: float) -> Drawing:
        """Return the drawing moved."""
        return self._changed(lambda item: _placed(item, 1.0, x_mm, y_mm))

    def scaled(self, scale: float) -> Drawing:
        """Return the drawing at another scale, its words as large as they were."""
        return self._changed(lambda item: _placed(item, scale, 0.0, 0.0))

    def with_layers(self, layers: Iterable[DrawingLayer]) -> Drawing:
        """Return the drawing with further layers on top."""
        return replace(self, layers=self.layers + tuple(layers))

    def _changed(self, change: Callable[[Item], Item]) -> Drawing:
        return replace(
            self, layers=tuple(replace(one, items=tuple(map(change, one.items))) for one in self.layers)
        )


def line(points: ArrayLike, closed: bool = False) -> Line:
    """Return a line through points of shape (n, 2)."""
    return Line(tuple((float(x), float(y)) for x, y in np.asarray(points, dtype=float)), closed)


def _placed(item: Item, scale: float, x: float, y: float) -> Item:
    if isinstance(item, Line):
        return replace(item, points_mm=tuple((scale * a + x, scale * b + y) for a, b in item.points_mm))
    if isinstance(item, Circle):
        a, b = item.centre_mm
        return Circle((scale * a + x, scale * b + y), scale * item.radius_mm)
    a, b = item.at_mm
    return replace(item, at_mm=(scale * a + x, scale * b + y))


def _corners(item: Item) -> tuple[Point, ...]:
    if isinstance(item, Line):
        return item.points_mm
    if isinstance(item, Circle):
        (x, y), r = item.centre_mm, item.radius_mm
        return (x - r, y - r), (x + r, y + r)
    return (item.at_mm,)
