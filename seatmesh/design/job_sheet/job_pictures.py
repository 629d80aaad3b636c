"""The pictures of a job sheet, as PNG in memory."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from seatmesh.design.shape import Design
from seatmesh.picture.contact.contact_map import contact_map
from seatmesh.picture.plan.sitter_plan import plan
from seatmesh.picture.section.sections import sections
from seatmesh.picture.style import Target
from seatmesh.picture.view.view3d import ViewJob, start_views
from seatmesh.picture.wood.figure import figure_picture
from seatmesh.seating.place import places


@dataclass(frozen=True)
class JobPictures:
    """Contact map, one plan a sitter, sections, figure of an order's boards, view; `note` says why there is no view."""

    contact: bytes
    plans: tuple[bytes, ...]
    sections: bytes
    figure: bytes | None
    view: bytes | None
    note: str | None


def job_pictures(design: Design, units: str) -> JobPictures:
    """Draw the pictures of a design; the view meanwhile, in a process of its own."""
    seat, best = design.seat, [one.best for one in design.results]
    with tempfile.TemporaryDirectory(prefix="seatmesh-job-") as folder:
        view = Path(folder) / "view.png"
        views = start_views([ViewJob(seat, view, (), units, design.order.layup)])
        contact = _png(lambda target: contact_map(best, target, units=units))
        plans = []
        for guest, ordered in zip(design.guests, design.order.sitters, strict=True):
            body = guest.sitter.body
            marks = [(mark.x_mm, mark.y_mm) for _, mark in ordered.marks]
            found = places(body, seat.blank, ordered.along_error_mm)
            plans.append(
                _png(
                    lambda target, found=found, body=body, marks=marks: plan(  # type: ignore[misc]
                        seat, found, target, units=units, sitter=body.name, marks_mm=marks
                    )
                )
            )
        cut = _png(lambda target: sections(seat, best[0], target, units=units))
        figure = None
        if design.order.boards:
            figure = _png(lambda target: figure_picture(seat, design.order.layup, target, units=units))
        note = views.finish()
        seen = view.read_bytes() if note is None else None
        return JobPictures(contact, tuple(plans), cut, figure, seen, note)


def _png(draw: Callable[[Target], None]) -> bytes:
    out = io.BytesIO()
    draw(out)
    return out.getvalue()
