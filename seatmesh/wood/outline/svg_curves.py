"""Curves of an SVG drawing as chains of points, mm, front up on the page.

svgelements reads them, though its last release is of 2023: with the care taken below it reads all 31 drawings of
`tests/wood/test_svg_drawings.py`, libraries that are still worked on 9 to 27 of them (DEVELOPERS.md has the table).
"""

from __future__ import annotations

import io
import re
from pathlib import Path
from xml.etree import ElementTree
from xml.etree.ElementTree import ParseError

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.units import MM_PER_INCH

ASKED = {"mm": 1.0, "in": MM_PER_INCH}
PRINTERS_MM = {"pt": MM_PER_INCH / 72.0, "pc": MM_PER_INCH / 6.0, "q": 0.25}
"""The standard's other lengths (CSS Values and Units 3, 6.2, from memory)."""
LENGTHS = {"x", "y", "width", "height", "r", "rx", "ry", "cx", "cy", "x1", "y1", "x2", "y2"}
STEP_MM = 1.0
"""Greatest distance of points along a curve; straight lines keep their ends only."""


def svg_pieces(path: Path, units: str | None) -> list[Floats]:
    """Return the curves of a drawing, each (n, 2) in mm, y up.

    A drawing that states its size (`width="480mm"`) is taken at it; where it does not, one user unit is 1 mm, or
    what `units` says.

    Raises
    ------
    FileRefusedError
        The file is no SVG that can be read.
    """
    from svgelements import SVG, Shape
    from svgelements import Path as Curve

    try:
        # At 25.4 dots an inch a user unit without a stated size is a millimetre.
        drawing = SVG.parse(_with_mm(path), reify=True, ppi=MM_PER_INCH)
        scale = ASKED[units] if units else 1.0
        pieces = []
        for element in drawing.elements():
            if isinstance(element, Shape):
                # A shape that was turned or mirrored keeps its transform until its path takes it up.
                for part in abs(Curve(element)).as_subpaths():
                    pieces.append(scale * _points(Curve(part)) * np.array([1.0, -1.0]))
    except (ParseError, OSError, ValueError, TypeError, IndexError, KeyError, AttributeError) as error:
        raise FileRefusedError(
            f"it is not an SVG drawing that can be read ({error}); save it anew."
        ) from error
    return [piece for piece in pieces if len(piece) > 1]


def _with_mm(path: Path) -> io.BytesIO:
    """Return the drawing with points and picas in mm; the library always takes 96 pixels an inch for them."""
    tree = ElementTree.parse(path)
    for element in tree.iter():
        for key in LENGTHS.intersection(element.keys()):
            found = re.fullmatch(r"\s*([-+.\de]+)(pt|pc|q)\s*", element.get(key, ""), re.IGNORECASE)
            if found:
                element.set(key, f"{float(found[1]) * PRINTERS_MM[found[2].lower()]!r}mm")
    file = io.BytesIO()
    tree.write(file, encoding="utf-8")
    file.seek(0)
    return file


def _points(curve: object) -> Floats:
    from svgelements import Close, Line, Move

    points: list[tuple[float, float]] = []
    for segment in curve:  # type: ignore[attr-defined]
        if isinstance(segment, Move):
            points.append((segment.end.x, segment.end.y))
            continue
        if isinstance(segment, Line | Close):
            if segment.end is not None:
                points.append((segment.end.x, segment.end.y))
            continue
        steps = max(4, int(np.ceil(segment.length(error=1e-3) / STEP_MM)))
        for share in np.arange(1, steps + 1) / steps:
            point = segment.point(float(share))
            points.append((point.x, point.y))
    chain = np.array(points, dtype=float).reshape(-1, 2)
    moved = np.ones(len(chain), dtype=bool)
    moved[1:] = np.linalg.norm(np.diff(chain, axis=0), axis=1) > 1e-9
    return np.asarray(chain[moved])
