"""The tasks that make files of a kept seat, by name: a job that waits is written down by it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from .. import orders
from . import (
    fields,
    gauge,
    kept,
    many_sittings,
    meshes,
    mock_ups,
    people,
    pictures,
    rings,
    sheets,
    sittings,
    wood,
)  # fmt: skip

FILE_TASKS: Mapping[str, Callable[..., bytes]] = {
    "mesh": meshes.mesh,
    "step": meshes.step,
    "heights": meshes.heights,
    "depths": meshes.depths,
    "depth-grid": fields.depth_grid,
    "gauge-sheet": gauge.sheet,
    "gauge-paper": gauge.printed,
    "mock-up": mock_ups.mock_up_zip,
    "seat-file": kept.seat_file,
    "order": orders.order_text,
    "picture": pictures.picture,
    "sheets": sheets.sheets,
    "job-sheet": sheets.job,
    "contact-maps-json": sittings.contact_maps_json,
    "contact-maps-csv": sittings.contact_maps_csv,
    "contact-maps-png": sittings.contact_maps_png,
    "comparisons": sittings.comparisons,
    "report": sittings.full_report,
    "report-text": sittings.report_words,
    "wood": wood.wood,
    "rings": rings.rings,
    "sittings": many_sittings.sittings_table,
    "people-json": people.people_json,
    "people-png": people.people_png,
    "people-parquet": people.people_parquet,
}
"""Each takes a kept seat and plain values."""
