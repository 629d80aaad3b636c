"""Curves of an SVG drawing as chains of points, mm, front up on the page."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import ParseError

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.units import MM_PER_INCH

ASKED = {"mm": 1.0, "in": MM_PER_INCH}
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
        drawing = SVG.parse(str(path), reify=True, ppi=MM_PER_INCH)
        scale = ASKED[units] if units else 1.0
        pieces = []
        for element in drawing.elements():
            if isinstance(element, Shape):
                for part in Curve(element).as_subpaths():
                    pieces.append(scale * _points(Curve(part)) * np.array([1.0, -1.0]))
    except (ParseError, OSError, ValueError, TypeError, IndexError, KeyError, AttributeError) as error:
        raise FileRefusedError(
            f"it is not an SVG drawing that can be read ({error}); save it anew."
        ) from error
    return [piece for piece in pieces if len(piece) > 1]


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
