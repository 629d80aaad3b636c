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
from seatmesh.seating.place import places
from seatmesh.seating.sit import sit
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat

from .kept import kept_order, kept_seat


def picture(folder: Path, seat: str, kind: str, units: str) -> bytes:
    """Return a picture of one of `KINDS` as PNG, in the seat's own units where none are given."""
    made = kept_seat(folder, seat)
    sittings = [sit(one.body, made) for one in kept_order(folder, seat).sitters]
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


def _view(seat: Seat, sittings: list[Sitting], units: str) -> bytes:
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "view.png"
        note = render_views([ViewJob(seat, path, sittings[0], units)])
        if note is not None:
            raise FileRefusedError(note)
        return path.read_bytes()


KINDS: Mapping[str, Callable[[Seat, list[Sitting], str], bytes]] = {
    "contact": _contact,
    "sections": _sections,
    "plan": _plan,
    "light-lines": _light_lines,
    "view": _view,
}
