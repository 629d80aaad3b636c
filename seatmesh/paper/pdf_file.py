"""Pages as PDF: vectors at full size, the same bytes for the same pages."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from seatmesh.arrays import Floats
from seatmesh.paper.drawing import Circle, Line, Look, Point, Words
from seatmesh.paper.grounds import extent_mm
from seatmesh.paper.lettering import BOLD, MM_PER_PT, REGULAR, load_fonts
from seatmesh.paper.page import Page, Picture, View, Window

PT = 1.0 / MM_PER_PT


def pdf_bytes(pages: Sequence[Page], title: str, subject: str | None = None) -> bytes:
    """Return a PDF of the pages; neither clock nor chance goes into it.

    The subject, plain ASCII, says what kind of sheet it is, so that `is_as_written` knows it again.
    """
    load_fonts()
    # What is packed is not spelled out in letters again: a fifth smaller, and sooner written.
    rl_config.useA85 = 0
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("seatmesh")
    canvas.setAuthor("seatmesh")
    if subject is not None:
        canvas.setSubject(subject)
    for number, page in enumerate(pages):
        canvas.setPageSize((page.width_mm * PT, page.height_mm * PT))
        canvas.bookmarkPage(f"page-{number}")
        canvas.addOutlineEntry(page.name, f"page-{number}")
        for picture in page.pictures:
            _draw_picture(canvas, picture)
        for view in page.views:
            _draw_view(canvas, view)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def is_as_written(data: bytes, subject: str) -> bool:
    """Tell whether a file is a PDF that this tool made of a subject, and that nobody has written into since.

    Parentheses within a title are escaped there, so no title can pass for a subject. A viewer that keeps what was
    written into a PDF adds a second end to the file, or annotations.
    """
    marks = (b"/Creator (seatmesh)", f"/Subject ({subject})".encode("ascii"))
    is_ours = data.startswith(b"%PDF") and all(mark in data for mark in marks)
    return is_ours and data.count(b"%%EOF") == 1 and b"/Annot" not in data


def _draw_picture(canvas: Any, picture: Picture) -> None:
    (x, y), (width, height) = picture.at_mm, picture.size_mm
    canvas.drawImage(ImageReader(io.BytesIO(picture.png)), x * PT, y * PT, width * PT, height * PT)


def _draw_view(canvas: Any, view: View) -> None:
    """Draw what the window shows; lines are cut at its edge, words and circles are clipped there."""
    x0, y0, x1, y1 = view.window_mm
    shift = view.at_mm[0] - x0, view.at_mm[1] - y0
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(view.at_mm[0] * PT, view.at_mm[1] * PT, (x1 - x0) * PT, (y1 - y0) * PT)
    canvas.clipPath(clip, stroke=0, fill=0)
    for layer in view.drawing.layers:
        _set_look(canvas, layer.look)
        for item in layer.items:
            if isinstance(item, Words):
                _write(canvas, item, layer.look, shift, view.window_mm)
            else:
                _stroke(canvas, item, layer.look, shift, view.window_mm)
    canvas.restoreState()


def _set_look(canvas: Any, look: Look) -> None:
    canvas.setLineWidth(look.width_mm * PT)
    canvas.setLineCap(0 if look.dashes_mm else 1)
    canvas.setLineJoin(1)
    canvas.setStrokeColor(HexColor(look.colour))
    canvas.setFillColor(HexColor(look.fill or look.colour))
    canvas.setDash([part * PT for part in look.dashes_mm], 0)


def _stroke(canvas: Any, item: Line | Circle, look: Look, shift: Point, window: Window) -> None:
    path, pieces = canvas.beginPath(), _pieces(item, look, window)
    if isinstance(item, Circle):
        if not _meets(item, window):
            return
        (x, y), r = item.centre_mm, item.radius_mm
        x, y = x + shift[0], y + shift[1]
        path.circle(x * PT, y * PT, r * PT)
    elif not pieces:
        return
    for piece in pieces:
        points = (piece + shift) * PT
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        if isinstance(item, Line) and item.closed and len(pieces) == 1 and _closes(piece):
            path.close()
    canvas.drawPath(path, stroke=1 if look.width_mm > 0.0 else 0, fill=0 if look.fill is None else 1)


def _closes(piece: Floats) -> bool:
    return bool(len(piece) > 3 and np.array_equal(piece[0], piece[-1]))


def _pieces(item: Line | Circle, look: Look, window: Window) -> list[Floats]:
    """Return the parts of a line inside the window, each (n, 2); a filled one whole."""
    if isinstance(item, Circle) or not len(item.points_mm):
        return []
    points = np.asarray(item.points_mm)
    if item.closed:
        points = np.vstack([points, points[:1]])
    x0, y0, x1, y1 = window
    low, high = points.min(axis=0), points.max(axis=0)
    if low[0] > x1 or low[1] > y1 or high[0] < x0 or high[1] < y0:
        return []
    if look.fill is not None or (low[0] >= x0 and low[1] >= y0 and high[0] <= x1 and high[1] <= y1):
        return [points]
    cut = shapely.intersection(shapely.LineString(points), shapely.box(*window))
    parts = shapely.get_parts(shapely.line_merge(cut) if cut.geom_type == "MultiLineString" else cut)
    return [np.asarray(one.coords) for one in parts if one.geom_type == "LineString" and len(one.coords) > 1]


def _meets(item: Circle, window: Window) -> bool:
    (x, y), r = item.centre_mm, item.radius_mm
    return window[0] - r <= x <= window[2] + r and window[1] - r <= y <= window[3] + r


def _write(canvas: Any, words: Words, look: Look, shift: Point, window: Window) -> None:
    x0, y0, x1, y1 = extent_mm(words)
    if x0 >= window[2] or x1 <= window[0] or y0 >= window[3] or y1 <= window[1]:
        return
    canvas.saveState()
    canvas.setFillColor(HexColor(look.colour))
    canvas.setFont(BOLD if words.bold else REGULAR, words.size_mm * PT)
    canvas.translate((words.at_mm[0] + shift[0]) * PT, (words.at_mm[1] + shift[1]) * PT)
    if words.turn_deg:
        canvas.rotate(words.turn_deg)
    draw = {"left": canvas.drawString, "middle": canvas.drawCentredString, "right": canvas.drawRightString}
    draw[words.align](0, 0, words.text)
    canvas.restoreState()
