"""Words of a picture that stand over other words, over lines, or off its sheet, as matplotlib lays them out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import shapely
from matplotlib.collections import Collection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

PX_MM = 25.4 / 150.0
INSIDE_PX = 2.0
"""How far within its box a text's letters surely are."""
GRID_PT = 0.4
"""Lines no wider are a grid's, over which figures may stand as they do on squared paper."""


def overlaps_in(figure: Figure) -> list[str]:
    """Return what stands over what, in words."""
    figure.set_dpi(150)
    renderer = figure.canvas.get_renderer()
    figure.draw(renderer)
    undrawn = {label for axes in figure.axes for label in _undrawn(axes)}
    texts = [
        one
        for one in figure.findobj(Text)
        if one.get_visible() and one.get_text().strip() and one not in undrawn
    ]
    boxes = [(one, box) for one in texts if (box := _box(one, renderer)) is not None]
    sheet = shapely.box(*figure.bbox.extents)
    out = [f"'{one.get_text()}' runs off the sheet" for one, box in boxes if not sheet.covers(box)]
    tree = shapely.STRtree([box for _, box in boxes])
    for k, (one, box) in enumerate(boxes):
        for other in tree.query(box, predicate="intersects"):
            if other > k and box.intersection(boxes[other][1]).area > 4.0:
                out.append(f"'{one.get_text()}' over '{boxes[other][0].get_text()}'")
    for line, words in _lines(figure):
        for k in tree.query(line, predicate="intersects"):
            one, box = boxes[k]
            if not _has_ground(one) and line.intersection(box).length > 3.0:
                out.append(f"'{one.get_text()}' over {words}")
    return out


def _box(one: Text, renderer) -> shapely.Geometry | None:
    extent = Text.get_window_extent(one, renderer)
    if one.axes is not None and not one.axes.get_visible():
        return None
    if extent.width <= 2.0 * INSIDE_PX or extent.height <= 2.0 * INSIDE_PX:
        return None
    return shapely.box(
        extent.x0 + INSIDE_PX, extent.y0 + INSIDE_PX, extent.x1 - INSIDE_PX, extent.y1 - INSIDE_PX
    )


def _has_ground(one: Text) -> bool:
    """Tell whether a text has a ground, or a halo, that hides what is under it."""
    return one.get_bbox_patch() is not None or bool(one.get_path_effects())


def _lines(figure: Figure) -> Iterator[tuple[shapely.Geometry, str]]:
    for axes in figure.axes:
        window = shapely.box(*axes.bbox.extents)
        for one in axes.findobj(lambda artist: isinstance(artist, Line2D | Collection | Patch)):
            if not one.get_visible() or one is axes.patch or one in _ticks(axes):
                continue
            for points in _rings(one):
                if len(points) > 1:
                    drawn = shapely.LineString(points)
                    yield (drawn.intersection(window) if one.get_clip_on() else drawn), type(one).__name__


def _rings(one: Line2D | Collection | Patch) -> list[np.ndarray]:
    """Return the lines that an artist draws, each (n, 2) in pixels; none of a fine grid's, and no marks."""
    if isinstance(one, Line2D):
        drawn = one.get_linewidth() > GRID_PT and one.get_linestyle() not in ("None", "", " ")
        points = one.get_transform().transform(one.get_xydata())
        return [points[np.isfinite(points).all(axis=1)]] if drawn else []
    if isinstance(one, Patch):
        drawn = one.get_linewidth() > GRID_PT and one.get_edgecolor()[3] > 0.0
        return one.get_transform().transform_path(one.get_path()).to_polygons() if drawn else []
    drawn = len(one.get_edgecolor()) > 0 and np.max(one.get_linewidth(), initial=0.0) > GRID_PT
    paths = [path.transformed(one.get_transform()) for path in one.get_paths()] if drawn else []
    return [ring for path in paths for ring in path.to_polygons(closed_only=False)]


def _undrawn(axes) -> set[Text]:
    """Return labels of ticks that are kept and not drawn: beyond the ends of an axis, or of one that is off."""
    kept: set[Text] = set()
    for axis in (axes.xaxis, axes.yaxis):
        drawn = axis._update_ticks() if axes.axison else []
        every = (*axis.get_major_ticks(), *axis.get_minor_ticks())
        kept |= {label for tick in every if tick not in drawn for label in (tick.label1, tick.label2)}
    return kept


def _ticks(axes) -> list[Line2D]:
    return [
        line
        for axis in (axes.xaxis, axes.yaxis)
        for line in (*axis.get_ticklines(), *axis.get_ticklines(True))
    ]


@contextmanager
def looked_at(monkeypatch) -> Iterator[list[str]]:
    """Give a list that fills with the overlaps of every picture drawn within the block."""
    found: list[str] = []
    save = Figure.savefig

    def look(figure: Figure, *args, **kwargs) -> None:
        found.extend(overlaps_in(figure))
        save(figure, *args, **kwargs)

    monkeypatch.setattr(Figure, "savefig", look)
    yield found
