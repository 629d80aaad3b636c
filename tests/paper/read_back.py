"""What is drawn on a PDF's pages, read by a library that did not write it: lines in mm, their widths and colours."""

from __future__ import annotations

import ctypes
from dataclasses import dataclass

import numpy as np
import pypdfium2
from pypdfium2 import raw

MM = 25.4 / 72.0


@dataclass(frozen=True)
class Drawn:
    """One path: points (n, 2) in mm from the page's lower left corner, line width in mm, colour, filled or not."""

    points_mm: np.ndarray
    width_mm: float
    colour: tuple[int, int, int]
    filled: bool

    @property
    def size_mm(self) -> tuple[float, float]:
        across, up = np.ptp(self.points_mm, axis=0)
        return float(across), float(up)


def drawn_on(page) -> list[Drawn]:
    """Return all straight-sided paths of a page."""
    paths = (one for one in page.get_objects() if one.type == raw.FPDF_PAGEOBJ_PATH)
    return [part for one in paths for part in _parts(one)]


def words_on(page) -> str:
    return page.get_textpage().get_text_bounded()


def pages(data: bytes):
    return list(pypdfium2.PdfDocument(data))


def size_mm(page) -> tuple[float, float]:
    return page.get_width() * MM, page.get_height() * MM


def _parts(one) -> list[Drawn]:
    parts: list[list[tuple[float, float]]] = []
    for i in range(raw.FPDFPath_CountSegments(one.raw)):
        segment = raw.FPDFPath_GetPathSegment(one.raw, i)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO:
            parts.append([])
        parts[-1].append((x.value * MM, y.value * MM))
    width, fill, stroke = ctypes.c_float(), ctypes.c_int(), ctypes.c_int()
    raw.FPDFPageObj_GetStrokeWidth(one.raw, width)
    raw.FPDFPath_GetDrawMode(one.raw, fill, stroke)
    colour = [ctypes.c_uint() for _ in range(4)]
    raw.FPDFPageObj_GetStrokeColor(one.raw, *colour)
    look = width.value * MM, tuple(part.value for part in colour[:3]), bool(fill.value)
    return [Drawn(np.array(points), *look) for points in parts]
