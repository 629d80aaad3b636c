"""The words that an order, its sheets and its pictures are spoken in, as plain values: what a form needs to ask.

Each part is taken from the module that owns it, so that nothing is typed again where it is shown.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from seatmesh.body.figure.posture import POSTURES
from seatmesh.body.habit_keys import HABIT
from seatmesh.body.measures import MEASURES
from seatmesh.cautions import BY_NAME
from seatmesh.design.orders.given_order import TABLES
from seatmesh.design.orders.key_list import key_facts
from seatmesh.design.orders.keys.top import TOP
from seatmesh.files.keys.table import KeyRows, KeyTable
from seatmesh.fit.wished.characters import CHARACTERS
from seatmesh.formats.registry import formats_written
from seatmesh.marks.mark import KINDS
from seatmesh.paper.paper_sizes import PAPERS
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, band_rgb
from seatmesh.picture.style import WOOD
from seatmesh.sheets.sheet_wishes import SheetWishes
from seatmesh.units import ALLOWED_UNITS, USUAL_UNITS
from seatmesh.wood.blank import Blank
from seatmesh.wood.outline.shapes import OUTLINES, outline_polygon
from seatmesh.wood.species import SPECIFIC_GRAVITY

COARSE_MM = 1.5
"""How far a small drawing of an outline may be off."""


def vocabulary() -> dict[str, Any]:
    """Return every word that is asked for, by what it is of; the same each time."""
    wishes = SheetWishes()
    return {
        "tables": {"order": _table(TOP), **{one.name: _told(one) for one in TABLES}},
        "habit": _table(HABIT),
        "measures": measures(),
        "units": {"names": list(ALLOWED_UNITS), "usual": USUAL_UNITS},
        "papers": {"names": [one.name for one in PAPERS.values()], "usual": wishes.paper},
        "woods": {"names": sorted(SPECIFIC_GRAVITY), "usual": wishes.wood},
        "formats": _formats(),
        "postures": list(POSTURES),
        "outlines": _outlines(),
        "marks": {name: {"sides": list(kind.sides), "how": kind.how} for name, kind in KINDS.items()},
        "cautions": dict(BY_NAME),
        "pressure": _pressure(),
        "characters": [
            {"name": one.name, "says": one.says, "wishes": dict(one.wishes)} for one in CHARACTERS
        ],
    }


def measures() -> dict[str, Any]:
    """Return every body measure: what it is called, how it is taken, what is plausible for an adult."""
    return {
        name: {
            "title": kind.title,
            "iso_name": kind.iso_name,
            "how": kind.how,
            "lowest": kind.lowest,
            "highest": kind.highest,
            "unit": kind.unit,
            "tape_error": kind.tape_error,
            "by_hand": kind.by_hand,
        }
        for name, kind in MEASURES.items()
    }


def _told(one: KeyTable[Any] | KeyRows[Any]) -> dict[str, Any]:
    return _table(one.table) | {"most": one.most} if isinstance(one, KeyRows) else _table(one)


def _table(table: KeyTable[Any]) -> dict[str, Any]:
    return {"meaning": table.meaning, "keys": {key.name: key_facts(table, key) for key in table.keys}}


def _formats() -> list[dict[str, Any]]:
    """Return the formats that are written, but for second suffixes of one of them."""
    return [
        {
            "suffix": one.name,
            "label": one.label,
            "use": one.use,
            "unit": one.unit,
            "states_unit": one.states_unit,
            "coloured": one.coloured,
            "kind": one.kind,
        }
        for one in formats_written().values()
        if one.at_hand and not one.saved_as
    ]


def _outlines() -> dict[str, list[list[float]]]:
    """Return each outline by its name, as points [x, y] in mm on a usual blank."""
    blank = Blank()
    shapes = {
        name: outline_polygon(name, blank.width_mm, blank.depth_mm, blank.corner_radius_mm)
        for name in OUTLINES
    }
    return {
        name: shapely.get_coordinates(shapely.simplify(shapely.Polygon(points), COARSE_MM))[:-1]
        .round(1)
        .tolist()
        for name, points in shapes.items()
    }


def _pressure() -> dict[str, Any]:
    """Return the edges of the bands, the colour of each band, and that of bare wood."""
    colours = np.round(255.0 * band_rgb()).astype(int)
    return {
        "steps_kpa": list(STEPS_KPA),
        "colours": [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in colours],
        "bare": WOOD,
    }
