"""Further readings as rows to fill in: the same columns as a gauge sheet, each line a new setting of the bar."""

from __future__ import annotations

import csv
import io

import numpy as np

from seatmesh.gauge.bar.gauge_sheet import COLUMNS, columns_in
from seatmesh.gauge.check.check_readings import GaugeCheck
from seatmesh.gauge.check.further.further_readings import SAME_MM, Further
from seatmesh.gauge.readings.readings import Readings
from seatmesh.units import table_figure


def further_csv(check: GaugeCheck) -> str:
    """Return the further readings that a check asks for as CSV; crossings that are new get numbers of their own.

    Filled in, its rows may be appended to the first file, or be given after it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    units = check.seat.units
    writer.writerow(columns_in(units))
    r, number = check.readings, int(check.readings.point.max())
    for one in check.further:
        point = one.point
        if point is None:
            number += 1
            point = number
        datum = _datum_mm(r, one)
        expected = datum + float(check.seat.depth_mm(one.x_mm, one.y_mm))
        values = {
            "point": point,
            "x_mm": table_figure(one.x_mm, units),
            "y_mm": table_figure(one.y_mm, units),
            "expected_mm": table_figure(expected, units, deeper=True),
            "datum_mm": table_figure(datum, units),
            "placing": one.placing,
            "note": one.why,
        }
        writer.writerow([values.get(name, "") for name in COLUMNS])
    return out.getvalue()


def _datum_mm(r: Readings, one: Further) -> float:
    """Return the reading on the blank's top face at a place: a straight line along the bar, else a plane."""
    if one.point is not None:
        return float(r.datum_mm[r.point == one.point][0])
    across = bool(np.mean(r.bars.placings.across) >= 0.5)
    along, beside = (r.x_mm, r.y_mm) if across else (r.y_mm, r.x_mm)
    place, line = (one.x_mm, one.y_mm) if across else (one.y_mm, one.x_mm)
    here = np.abs(beside - line) <= SAME_MM
    if len(np.unique(along[here])) >= 2:
        slope, level = np.polyfit(along[here], r.datum_mm[here], 1)
        return float(slope * place + level)
    at = np.column_stack([np.ones(len(r.x_mm)), r.x_mm, r.y_mm])
    plane = np.linalg.lstsq(at, r.datum_mm, rcond=None)[0]
    return float(plane @ (1.0, one.x_mm, one.y_mm))
