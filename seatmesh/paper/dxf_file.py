"""A drawing as DXF: named layers, millimetres, the same bytes for the same drawing."""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import ezdxf
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from seatmesh.paper.drawing import WHITE, Circle, Drawing, Item, Line, Look

MM = 4
"""$INSUNITS of millimetres (DXF reference)."""
WIDTHS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)
"""Line widths that DXF knows, 1/100 mm (DXF reference)."""

CAPITALS = 0.73
"""Height of capitals, which DXF states, over the size of the type."""

_WRITING = threading.RLock()
"""The library keeps its options once per process, so files are written one at a time."""


def dxf_bytes(drawing: Drawing) -> bytes:
    """Return the drawing as DXF R2010."""
    with _WRITING, _without_clock():
        document = new("R2010", setup=["linetypes"], units=MM)
        document.header["$LUNITS"] = 2
        space = document.modelspace()
        for layer in drawing.layers:
            if layer.look.fill == WHITE:
                continue  # what hides lines on paper would be a frame to cut along here
            name = layer_name(layer.name)
            if name not in document.layers:
                _add_layer(document, name, layer.look)
            for item in layer.items:
                _add(space, name, item)
        out = io.StringIO()
        document.write(out)
        text: bytes = document.encode(out.getvalue())
        return text


@contextmanager
def _without_clock() -> Iterator[None]:
    """Tell the library to write neither the time nor ids made by chance."""
    options: Any = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def layer_name(name: str) -> str:
    """Return a layer's name as CAD programs show it: capitals, without the signs that DXF forbids."""
    return re.sub(r'[<>/\\":;?*|=`,\s]+', "-", name.upper()).strip("-")


def _add_layer(document: Any, name: str, look: Look) -> None:
    width = min(WIDTHS, key=lambda one: abs(one - 100.0 * look.width_mm))
    layer = document.layers.add(name, lineweight=width, linetype="DASHED" if look.dashes_mm else "CONTINUOUS")
    layer.rgb = tuple(int(look.colour[i : i + 2], 16) for i in (1, 3, 5))


def _add(space: Any, layer: str, item: Item) -> None:
    how: dict[str, Any] = {"layer": layer}
    if isinstance(item, Line):
        space.add_lwpolyline(item.points_mm, close=item.closed, dxfattribs=how)
    elif isinstance(item, Circle):
        space.add_circle(item.centre_mm, item.radius_mm, dxfattribs=how)
    else:
        align = {
            "left": TextEntityAlignment.LEFT,
            "middle": TextEntityAlignment.CENTER,
            "right": TextEntityAlignment.RIGHT,
        }
        text = space.add_text(
            item.text, height=CAPITALS * item.size_mm, rotation=item.turn_deg, dxfattribs=how
        )
        text.set_placement(item.at_mm, align=align[item.align])
