"""Words that stand over other words or over lines, on pages read by a library that did not write them."""

from __future__ import annotations

import ctypes
from dataclasses import dataclass

import numpy as np
import shapely
from pypdfium2 import raw
from read_back import MM, _parts

INSIDE_MM = 0.25
"""How far within its box a text's letters surely are: boxes hold the room above and below letters too."""
WHITE = (255, 255, 255)
GRID_MM = 0.13
"""Lines no wider are the grid's and the stations', over which figures may stand on their white ground."""


@dataclass(frozen=True)
class Overlap:
    """A text, and what it stands over."""

    text: str
    over: str
    box_mm: tuple[float, float, float, float]


def overlaps_on(page) -> list[Overlap]:
    """Return words over words, and words over lines that no white ground hides, in the order of drawing."""
    textpage = page.get_textpage()
    texts: list[tuple[int, str, shapely.Geometry]] = []
    lines: list[tuple[int, shapely.Geometry, object]] = []
    grounds: list[tuple[int, shapely.Geometry]] = []
    for order, one in enumerate(page.get_objects()):
        if one.type == raw.FPDF_PAGEOBJ_TEXT:
            left, low, right, high = (value * MM for value in one.get_bounds())
            if right - left > 2.0 * INSIDE_MM and high - low > 2.0 * INSIDE_MM:
                box = shapely.box(left + INSIDE_MM, low + INSIDE_MM, right - INSIDE_MM, high - INSIDE_MM)
                box = shapely.intersection(box, _window(one))
                words = textpage.get_text_bounded(*(value / MM for value in (left, low, right, high)))
                texts.append((order, words.strip(), box))
        elif one.type == raw.FPDF_PAGEOBJ_PATH:
            window = _window(one)
            for part in _parts(one):
                if len(part.points_mm) < 2:
                    continue
                if part.filled and part.colour == WHITE:
                    grounds.append((order, _polygon(part.points_mm)))
                elif part.filled:
                    lines.append((order, shapely.intersection(_polygon(part.points_mm), window), part))
                else:
                    lines.append(
                        (order, shapely.intersection(shapely.LineString(part.points_mm), window), part)
                    )
    return [*_over_words(texts), *_over_lines(texts, lines, grounds)]


def _polygon(points) -> shapely.Geometry:
    return shapely.make_valid(shapely.Polygon(points)) if len(points) > 2 else shapely.LineString(points)


def _window(one) -> shapely.Geometry:
    """Return the box that an object is clipped to: nothing of it is seen beyond."""
    clip = raw.FPDFPageObj_GetClipPath(one.raw)
    window = shapely.box(-1e4, -1e4, 1e4, 1e4)
    for k in range(max(raw.FPDFClipPath_CountPaths(clip), 0) if clip else 0):
        points = []
        for i in range(raw.FPDFClipPath_CountPathSegments(clip, k)):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFClipPath_GetPathSegment(clip, k, i), x, y)
            points.append((x.value * MM, y.value * MM))
        if len(points) > 2:
            low, high = np.min(points, axis=0), np.max(points, axis=0)
            window = shapely.intersection(window, shapely.box(*low, *high))
    return window


def _over_words(texts) -> list[Overlap]:
    tree = shapely.STRtree([box for _, _, box in texts])
    out = []
    for k, (_, words, box) in enumerate(texts):
        for other in tree.query(box, predicate="intersects"):
            if other > k:
                out.append(Overlap(words, f"words '{texts[other][1]}'", box.bounds))
    return out


def _over_lines(texts, lines, grounds) -> list[Overlap]:
    tree = shapely.STRtree([shape for _, shape, _ in lines])
    out = []
    for order, words, box in texts:
        for number in tree.query(box, predicate="intersects"):
            drawn, shape, part = lines[number]
            hidden = [ground for at, ground in grounds if drawn < at < order and ground.intersects(box)]
            seen = shapely.intersection(shape, box)
            for ground in hidden:
                seen = shapely.difference(seen, ground)
            if not seen.is_empty and (seen.length > 0.05 or seen.area > 0.01):
                out.append(
                    Overlap(words, f"a line {part.width_mm:.2f} mm wide, colour {part.colour}", box.bounds)
                )
    return out
