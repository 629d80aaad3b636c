"""Bodies on a kept seat: contact maps, comparisons, and the study in words."""

from __future__ import annotations

import io
from typing import Any

from seatmesh.body.body import Body
from seatmesh.cautions import CAUTIONS
from seatmesh.design.folders.result_files import told_figures
from seatmesh.design.report.plain import ending_report
from seatmesh.design.report.report_text import report_text
from seatmesh.design.report.seat_report import sitting_report
from seatmesh.design.shape import design
from seatmesh.design.steps import part, step
from seatmesh.design.study import comparison, study, study_report
from seatmesh.errors import NotSolvedError
from seatmesh.files.csv_table import csv_text
from seatmesh.picture.contact.contact_map import contact_map
from seatmesh.seating.sit import sit
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import flat_seat

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from ..seats import pressure_grid
from .kept import bodies_of, kept_order, kept_seat


def contact_maps_json(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return figures and pressure grids of bodies on a seat."""
    sittings = _sittings(kept, asked)
    return json_bytes({"sittings": [{**sitting_report(one), **pressure_grid(one)} for one in sittings]})


def contact_maps_csv(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return `body,x_mm,y_mm,pressure_kpa` where bodies touch the seat, one line a cell of the grid."""
    rows = (
        (one.body.name, f"{one.x_mm[j]:.2f}", f"{one.y_mm[i]:.2f}", f"{one.pressure_kpa[i, j]:.3f}")
        for one in _sittings(kept, asked)
        for i, j in zip(*one.pressure_kpa.nonzero(), strict=True)
    )
    return csv_text(("body", "x_mm", "y_mm", "pressure_kpa"), rows).encode()


def contact_maps_png(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return the maps of bodies side by side on one scale of pressure."""
    sittings = _sittings(kept, asked)
    for one in sittings:
        if not one.converged:
            raise NotSolvedError(f"{one.body.name}: {one.verdict}")
    picture = io.BytesIO()
    contact_map(sittings, picture, units=asked.get("units") or sittings[0].seat.units)
    return picture.getvalue()


def comparisons(kept: KeptSeat, asked: dict[str, Any]) -> bytes:
    """Return each body on the seat and on the bare blank, and their peaks against one another."""
    made, posture = kept_seat(kept), asked["posture"]
    bare = flat_seat(made.blank)
    rows = []
    for body in bodies_of(asked["bodies"]):
        on_seat = sitting_report(sit(body, made, load_n=asked["load_n"], posture=posture))
        on_flat = sit(body, bare, load_n=asked["load_n"], posture=posture)
        rows.append({**on_seat, "peak_flat_kpa": sitting_report(on_flat).get("peak_kpa")})
    return json_bytes({"sittings": rows, "peaks": comparison(rows), "cautions": list(CAUTIONS)})


def full_report(kept: KeptSeat) -> bytes:
    """Return all that is known of the order's sitters on their seat, hot spots in words and all."""
    made, order = kept_seat(kept), kept_order(kept)
    sharing = [one.body for one in order.sitters]
    studies = [study_report(study(body, made, sharing=sharing)) for body in sharing]
    answer = {"id": kept.seat, "sittings": studies, "peaks": comparison(studies)}
    return json_bytes({**answer, "ending": ending_report(made.ending), "cautions": list(CAUTIONS)})


def report_words(kept: KeptSeat) -> bytes:
    """Return the report to read, as `seatmesh shape` writes it; the order is shaped again for it."""
    with part(0.0, 0.6):
        made = design(kept_order(kept))
    step("writing the report", 0.6)
    return report_text(made, told_figures(made)).encode()


def ordered_bodies(kept: KeptSeat) -> list[Body]:
    """Return the bodies of a seat's order, corrected by its marks."""
    return [one.body for one in kept_order(kept).sitters]


def _sittings(kept: KeptSeat, asked: dict[str, Any]) -> list[Sitting]:
    made = kept_seat(kept)
    bodies = bodies_of(asked["bodies"]) if asked["bodies"] else ordered_bodies(kept)
    return [sit(one, made, load_n=asked["load_n"], posture=asked["posture"]) for one in bodies]
