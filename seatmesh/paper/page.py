"""A page: drawings seen through windows, and pictures, laid on a sheet of paper; all from its lower left corner."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.paper.drawing import Drawing

Window = tuple[float, float, float, float]
"""x0, y0, x1, y1 in the drawing's own mm."""


@dataclass(frozen=True)
class View:
    """What a window of a drawing shows at full size; `at_mm` is where its lower left corner comes to lie."""

    drawing: Drawing
    window_mm: Window
    at_mm: tuple[float, float]


@dataclass(frozen=True)
class Picture:
    """A PNG, with its lower left corner and its size on the page."""

    png: bytes
    at_mm: tuple[float, float]
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class Page:
    """One page; `name` goes into the file's table of contents."""

    name: str
    width_mm: float
    height_mm: float
    views: tuple[View, ...] = ()
    pictures: tuple[Picture, ...] = ()
