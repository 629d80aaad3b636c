"""Gauge sheets of a kept seat, and readings held against it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from seatmesh.fit.stages import stage
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet, sheet_csv, sheet_text
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.check.check_readings import TOLERANCE_MM, check_readings
from seatmesh.gauge.check.check_report import gauge_report
from seatmesh.gauge.printed.gauge_pages import gauge_pdf
from seatmesh.gauge.readings.readings_file import parse_readings, readings_from_tables
from seatmesh.gauge.readings.set_aside import SetAside, set_aside_implausible
from seatmesh.paper.paper_sizes import paper_named

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from .kept import kept_seat


def check(
    kept: KeptSeat, readings: Any, tolerance_mm: Any, units: str | None, set_aside: bool = False
) -> bytes:
    """Return what readings, a CSV text or tables, say of the carving; `set_aside` leaves out what cannot be meant."""
    made = kept_seat(kept)
    rows = parse_readings(readings) if isinstance(readings, str) else readings_from_tables(readings)
    aside: tuple[SetAside, ...] = ()
    if set_aside:
        rows, aside = set_aside_implausible(made, rows)
    tolerance = TOLERANCE_MM if tolerance_mm is None else tolerance_mm
    report = gauge_report(check_readings(made, rows, tolerance), units)
    return json_bytes({**report, "set_aside": [asdict(one) for one in aside]})


def sheet(
    kept: KeptSeat, spacing_mm: float, bar_height_mm: float, rod_offset_mm: float, units: str | None
) -> bytes:
    """Return the sheet of expected readings, to type readings into, in the order's own units for None."""
    gauge = Gauge(bar_height_mm, rod_offset_mm)
    return sheet_csv(gauge_sheet(kept_seat(kept), spacing_mm, gauge), units).encode()


def printed(
    kept: KeptSeat,
    form: str,
    measures_mm: tuple[float, float, float],
    share: float,
    units: str | None,
    paper: str,
) -> bytes:
    """Return the sheet of expected readings on paper: "pdf" to write on, "txt" whole.

    `measures_mm` are spacing, bar height and rod offset; `share` is that of the depth, for a stage.
    """
    spacing_mm, bar_height_mm, rod_offset_mm = measures_mm
    seat = kept_seat(kept)
    made = seat if share == 1.0 else stage(seat, share)
    spoken = seat.units if units is None else units
    sheet_ = gauge_sheet(made, spacing_mm, Gauge(bar_height_mm, rod_offset_mm))
    if form == "txt":
        return sheet_text(sheet_, spoken).encode()
    return gauge_pdf(sheet_, spoken, paper_named(paper))
