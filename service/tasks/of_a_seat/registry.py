"""The tasks that make files of a kept seat, by name: a job that waits is written down by it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from .. import orders
from . import fields, gauge, many_sittings, meshes, people, pictures, sheets, sittings, wood

FILE_TASKS: Mapping[str, Callable[..., bytes]] = {
    "mesh": meshes.mesh,
    "step": meshes.step,
    "heights": meshes.heights,
    "depths": meshes.depths,
    "depth-grid": fields.depth_grid,
    "gauge-sheet": gauge.sheet,
    "order": orders.order_text,
    "picture": pictures.picture,
    "sheets": sheets.sheets,
    "job-sheet": sheets.job,
    "contact-maps-json": sittings.contact_maps_json,
    "contact-maps-csv": sittings.contact_maps_csv,
    "contact-maps-png": sittings.contact_maps_png,
    "comparisons": sittings.comparisons,
    "report": sittings.full_report,
    "wood": wood.wood,
    "sittings": many_sittings.sittings_table,
    "people-json": people.people_json,
    "people-png": people.people_png,
}
"""Each takes a kept seat and plain values."""
