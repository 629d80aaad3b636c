"""Carved solid-wood seats, fitted to their sitters.

Lengths are millimetres, angles degrees, pressures kilopascals: the unit is in the name. x goes to the sitter's right
from the centre line, y forward from the rear edge. Names are loaded when they are first used, so that importing the
package costs nothing; each has an example in its own docstring.
"""

from __future__ import annotations

import importlib
from textwrap import fill
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from seatmesh.adjustment import Adjustment as Adjustment
    from seatmesh.body.body import Body as Body
    from seatmesh.body.body import Habit as Habit
    from seatmesh.body.body import Measure as Measure
    from seatmesh.body.body_file import read_body as read_body
    from seatmesh.body.survey.estimate import estimate_body as estimate_body
    from seatmesh.chair import Chair as Chair
    from seatmesh.design.adapt import adapted as adapted
    from seatmesh.design.log.fitting_log import Entry as Entry
    from seatmesh.design.orders.order import Order as Order
    from seatmesh.design.orders.order import read_order as read_order
    from seatmesh.design.orders.order_sitters import OrderedSitter as OrderedSitter
    from seatmesh.design.shape import shape_seat as shape_seat
    from seatmesh.design.study import Study as Study
    from seatmesh.design.study import study as study
    from seatmesh.design.wood.wood_study import WoodStudy as WoodStudy
    from seatmesh.design.wood.wood_study import wood_study as wood_study
    from seatmesh.errors import FileRefusedError as FileRefusedError
    from seatmesh.errors import InputError as InputError
    from seatmesh.errors import MissingKeyError as MissingKeyError
    from seatmesh.errors import NotAmongError as NotAmongError
    from seatmesh.errors import NotSolvedError as NotSolvedError
    from seatmesh.errors import SeatmeshError as SeatmeshError
    from seatmesh.errors import UnknownKeyError as UnknownKeyError
    from seatmesh.errors import ValueRefusedError as ValueRefusedError
    from seatmesh.fit.reach import Tool as Tool
    from seatmesh.fit.stages import stage as stage
    from seatmesh.fit.wished.wishes import Wishes as Wishes
    from seatmesh.formats.depth_table import depths_csv as depths_csv
    from seatmesh.formats.height_map import write_height_map as write_height_map
    from seatmesh.formats.mesh_attributes import Extras as Extras
    from seatmesh.formats.mesh_file import mesh_bytes as mesh_bytes
    from seatmesh.formats.mesh_file import write_mesh as write_mesh
    from seatmesh.formats.registry import Format as Format
    from seatmesh.formats.registry import formats_read as formats_read
    from seatmesh.formats.registry import formats_written as formats_written
    from seatmesh.formats.seat_file import read_seat as read_seat
    from seatmesh.formats.seat_file import write_seat as write_seat
    from seatmesh.formats.step.writer import write_step as write_step
    from seatmesh.gauge.bar.gauge_sheet import GaugeSheet as GaugeSheet
    from seatmesh.gauge.bar.gauge_sheet import gauge_sheet as gauge_sheet
    from seatmesh.gauge.bar.gauge_sheet import sheet_csv as sheet_csv
    from seatmesh.gauge.bar.gauge_sheet import sheet_text as sheet_text
    from seatmesh.gauge.bar.rod_gauge import Gauge as Gauge
    from seatmesh.gauge.check.check_readings import GaugeCheck as GaugeCheck
    from seatmesh.gauge.check.check_readings import check_readings as check_readings
    from seatmesh.gauge.check.check_report import gauge_report as gauge_report
    from seatmesh.gauge.copy.copy_seat import Copied as Copied
    from seatmesh.gauge.copy.copy_seat import copy_seat as copy_seat
    from seatmesh.gauge.readings.readings_file import Row as Row
    from seatmesh.gauge.readings.readings_file import read_readings as read_readings
    from seatmesh.gauge.save.gouge import Gouge as Gouge
    from seatmesh.gauge.save.save_cut import Saved as Saved
    from seatmesh.gauge.save.save_cut import save_cut as save_cut
    from seatmesh.marks.mark import Mark as Mark
    from seatmesh.mesh import Mesh as Mesh
    from seatmesh.mesh import extents_mm as extents_mm
    from seatmesh.mesh import faults as faults
    from seatmesh.mesh import is_closed as is_closed
    from seatmesh.mesh import volume_mm3 as volume_mm3
    from seatmesh.reading.carved import Carved as Carved
    from seatmesh.reading.carved import read_carved as read_carved
    from seatmesh.reading.placing import AsDrawn as AsDrawn
    from seatmesh.reading.placing import RimPlane as RimPlane
    from seatmesh.reading.placing import RimPoints as RimPoints
    from seatmesh.seating.sit import sit as sit
    from seatmesh.seating.sitting import Sitting as Sitting
    from seatmesh.seating.sitting_figures import Figures as Figures
    from seatmesh.seating.sitting_figures import LoadPoint as LoadPoint
    from seatmesh.seating.sitting_figures import LoadShare as LoadShare
    from seatmesh.sheets.all_sheets import Sheets as Sheets
    from seatmesh.sheets.all_sheets import sheets_of as sheets_of
    from seatmesh.sheets.holes.bit import Bit as Bit
    from seatmesh.sheets.holes.bit import read_bit as read_bit
    from seatmesh.sheets.sheet_wishes import HoleWishes as HoleWishes
    from seatmesh.sheets.sheet_wishes import SheetWishes as SheetWishes
    from seatmesh.solids.carved import solid as solid
    from seatmesh.solution import Ending as Ending
    from seatmesh.solution import Solution as Solution
    from seatmesh.spline import BicubicSpline as BicubicSpline
    from seatmesh.surface import Seat as Seat
    from seatmesh.surface import flat_seat as flat_seat
    from seatmesh.wood.blank import Blank as Blank
    from seatmesh.wood.boards.board import Board as Board
    from seatmesh.wood.boards.wood_wishes import WoodWishes as WoodWishes
    from seatmesh.wood.joint import Joint as Joint
    from seatmesh.wood.species import species_named as species_named

__version__ = "0.1.0"

_PUBLIC = (
    ("Sitters", {
        "body.body": "Body Habit Measure",
        "body.body_file": "read_body",
        "body.survey.estimate": "estimate_body",
    }),
    ("Wood and chair", {
        "wood.blank": "Blank",
        "wood.joint": "Joint",
        "wood.species": "species_named",
        "wood.boards.board": "Board",
        "wood.boards.wood_wishes": "WoodWishes",
        "design.wood.wood_study": "WoodStudy wood_study",
        "chair": "Chair",
    }),
    ("Orders", {
        "design.orders.order": "Order read_order",
        "design.orders.order_sitters": "OrderedSitter",
        "design.log.fitting_log": "Entry",
        "fit.wished.wishes": "Wishes",
        "fit.reach": "Tool",
        "marks.mark": "Mark",
    }),
    ("Seats", {
        "surface": "Seat flat_seat",
        "adjustment": "Adjustment",
        "spline": "BicubicSpline",
        "solution": "Ending Solution",
        "design.shape": "shape_seat",
        "design.adapt": "adapted",
        "fit.stages": "stage",
        "formats.seat_file": "read_seat write_seat",
    }),
    ("Sitting", {
        "seating.sit": "sit",
        "seating.sitting": "Sitting",
        "seating.sitting_figures": "Figures LoadPoint LoadShare",
        "design.study": "Study study",
    }),
    ("Meshes and files", {
        "mesh": "Mesh extents_mm faults is_closed volume_mm3",
        "solids.carved": "solid",
        "formats.mesh_file": "mesh_bytes write_mesh",
        "formats.mesh_attributes": "Extras",
        "formats.registry": "Format formats_read formats_written",
        "formats.height_map": "write_height_map",
        "formats.step.writer": "write_step",
        "formats.depth_table": "depths_csv",
    }),
    ("Scans", {
        "reading.carved": "Carved read_carved",
        "reading.placing": "AsDrawn RimPlane RimPoints",
    }),
    ("Gauge", {
        "gauge.bar.rod_gauge": "Gauge",
        "gauge.bar.gauge_sheet": "GaugeSheet gauge_sheet sheet_csv sheet_text",
        "gauge.readings.readings_file": "Row read_readings",
        "gauge.check.check_readings": "GaugeCheck check_readings",
        "gauge.check.check_report": "gauge_report",
        "gauge.copy.copy_seat": "Copied copy_seat",
        "gauge.save.gouge": "Gouge",
        "gauge.save.save_cut": "Saved save_cut",
    }),
    ("Sheets", {
        "sheets.all_sheets": "Sheets sheets_of",
        "sheets.sheet_wishes": "HoleWishes SheetWishes",
        "sheets.holes.bit": "Bit read_bit",
    }),
    ("Errors", {
        "errors": "FileRefusedError InputError MissingKeyError NotAmongError NotSolvedError SeatmeshError "
        "UnknownKeyError ValueRefusedError",
    }),
)  # fmt: skip
"""Every public name by trade noun and by the module where it lives; the imports above are for type checkers."""

_HOME = {name: room for _, rooms in _PUBLIC for room, names in rooms.items() for name in names.split()}

__all__ = list(_HOME)


def _overview() -> str:
    """Return the names in groups, as `help` shows them."""
    groups = ((noun, ", ".join(" ".join(rooms.values()).split())) for noun, rooms in _PUBLIC)
    return "".join(
        f"\n{noun}\n{fill(f'    {names}', 100, subsequent_indent='    ')}\n" for noun, names in groups
    )


__doc__ = f"{__doc__}{_overview()}"


def _load(name: str) -> Any:
    """Load a public name from the module where it lives."""
    if name in _HOME:
        return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


if not TYPE_CHECKING:
    # A type checker that saw this would take every mistyped name for one of ours.
    __getattr__ = _load


def __dir__() -> list[str]:
    """Return all names, those that are not loaded yet among them, as `help` and completion look for them."""
    return sorted({*globals(), *_HOME})
