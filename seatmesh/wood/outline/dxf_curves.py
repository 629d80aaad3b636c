"""Curves of a DXF drawing as chains of points, mm."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.errors import FileRefusedError
from seatmesh.units import MM_PER_FOOT, MM_PER_INCH

MM_PER_UNIT = {1: MM_PER_INCH, 2: MM_PER_FOOT, 4: 1.0, 5: 10.0, 6: 1000.0}
"""By $INSUNITS of a DXF file: inches, feet, mm, cm, m (DXF reference, from memory)."""
ASKED = {"mm": 1.0, "in": MM_PER_INCH}
CURVES = "LINE ARC CIRCLE ELLIPSE LWPOLYLINE POLYLINE SPLINE"
OFF_MM = 0.02
"""Greatest distance between a curve and its chain of points."""


def dxf_pieces(path: Path, units: str | None) -> list[Floats]:
    """Return the curves in a drawing's model space, each (n, 2) in mm; `units` overrules what the file states.

    Raises
    ------
    FileRefusedError
        The file is no DXF, or neither it nor `units` tells its unit.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        drawing = readfile(path)
        stated = int(drawing.header.get("$INSUNITS", 0))
        mm = ASKED[units] if units else MM_PER_UNIT.get(stated)
        if mm is None:
            raise FileRefusedError('it does not state a unit ($INSUNITS); add outline_units = "mm" or "in".')
        pieces = []
        for entity in drawing.modelspace().query(CURVES):
            pieces += [mm * piece for piece in _chains(entity, OFF_MM / mm)]
    except (DXFError, OSError, ValueError, TypeError, IndexError, KeyError, AttributeError) as error:
        raise FileRefusedError(
            f"it is not a DXF drawing that can be read ({error}); save it anew."
        ) from error
    return pieces


def _chains(entity: Any, off: float) -> list[Floats]:
    """Return an entity's points, no chord farther than `off` from its curve; a polyline piece by piece."""
    if entity.dxftype() == "LINE":
        return [np.array([entity.dxf.start.vec2, entity.dxf.end.vec2])]
    if entity.dxftype() in {"LWPOLYLINE", "POLYLINE"}:
        return [chain for part in entity.virtual_entities() for chain in _chains(part, off)]
    return [np.array([point.vec2 for point in entity.flattening(off)])]
