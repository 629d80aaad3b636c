"""Pictures of a kept seat."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from seatmesh.errors import FileRefusedError
from seatmesh.picture.contact.contact_map import contact_map
from seatmesh.picture.light_lines import light_lines
from seatmesh.picture.plan.sitter_plan import plan
from seatmesh.picture.section.sections import sections
from seatmesh.picture.view.view3d import ViewJob, render_views
from seatmesh.picture.wood.cut_picture import cut_picture
from seatmesh.picture.wood.figure import figure_picture
from seatmesh.picture.wood.figure_variants import figure_variants
from seatmesh.seating.place import places
from seatmesh.seating.sit import sit
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.woodwork.variants import ranked, variants

from ...keeping.kept import KeptSeat
from .kept import kept_order, kept_seat


def picture(kept: KeptSeat, kind: str, units: str) -> bytes:
    """Return a picture of one of `KINDS` as PNG, in the seat's own units where none are given."""
    made, order = kept_seat(kept), kept_order(kept)
    if kind in OF_WOOD:
        return OF_WOOD[kind](made, order.layup, units or made.units)
    sittings = [sit(one.body, made) for one in order.sitters]
    if kind == "view":
        return _view(made, sittings, units or made.units, order.layup)
    return KINDS[kind](made, sittings, units or made.units)


def _contact(_seat: Seat, sittings: list[Sitting], units: str) -> bytes:
    out = io.BytesIO()
    contact_map(sittings, out, units=units)
    return out.getvalue()


def _sections(seat: Seat, sittings: list[Sitting], units: str) -> bytes:
    out = io.BytesIO()
    sections(seat, sittings[0], out, units=units)
    return out.getvalue()


def _plan(seat: Seat, sittings: list[Sitting], units: str) -> bytes:
    out = io.BytesIO()
    body = sittings[0].body
    plan(seat, places(body, seat.blank), out, units=units, sitter=body.name)
    return out.getvalue()


def _light_lines(seat: Seat, _sittings: list[Sitting], units: str) -> bytes:
    out = io.BytesIO()
    light_lines(seat, out, units=units)
    return out.getvalue()


def _figure(seat: Seat, layup: Layup, units: str) -> bytes:
    out = io.BytesIO()
    figure_picture(seat, layup, out, units=units)
    return out.getvalue()


def _variants(seat: Seat, layup: Layup, _units: str) -> bytes:
    out = io.BytesIO()
    figure_variants(seat, ranked(variants(seat, layup)), out)
    return out.getvalue()


def _way_to_cut(seat: Seat, layup: Layup, units: str) -> bytes:
    out = io.BytesIO()
    cut_picture(seat, layup, out, units=units)
    return out.getvalue()


def _view(seat: Seat, sittings: list[Sitting], units: str, layup: Layup) -> bytes:
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "view.png"
        note = render_views([ViewJob(seat, path, tuple(sittings), units, layup)])
        if note is not None:
            raise FileRefusedError(note)
        return path.read_bytes()


KINDS: Mapping[str, Callable[[Seat, list[Sitting], str], bytes]] = {
    "contact": _contact,
    "sections": _sections,
    "plan": _plan,
    "light-lines": _light_lines,
}
OF_WOOD: Mapping[str, Callable[[Seat, Layup, str], bytes]] = {
    "figure": _figure,
    "figure-variants": _variants,
    "way-to-cut": _way_to_cut,
}
"""Pictures of the boards; no sitter is needed for them."""
