"""The pictures of a design: drawn and rendered in two processes of their own, while the rest of its files is made."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Self

from seatmesh.design.shape import Design
from seatmesh.files.names import words
from seatmesh.picture.contact.contact_map import contact_map
from seatmesh.picture.depth_curve import depth_curve
from seatmesh.picture.light_lines import light_lines
from seatmesh.picture.meanwhile import Meanwhile
from seatmesh.picture.plan.sitter_plan import plan
from seatmesh.picture.section.sections import sections
from seatmesh.picture.sharing_chart import Sharer, sharing_chart
from seatmesh.picture.view.render_process import RenderProcess
from seatmesh.picture.view.view3d import ViewJob, Views
from seatmesh.seating.place import places


class Pictures:
    """Pictures on their way; both processes are ended when the block is left.

    They have perhaps been started before there was anything to draw.
    """

    def __init__(self, drawing: Meanwhile | None = None, rendering: RenderProcess | None = None) -> None:
        self._drawing = drawing or Meanwhile()
        self._rendering = rendering or RenderProcess()
        self._views = Views(self._rendering)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._drawing.end()
        self._rendering.end()

    def draw(self, design: Design, folder: Path) -> None:
        """Have all pictures drawn that need the design alone."""
        seat, units = design.seat, design.order.units
        sittings = tuple(result.best for result in design.results)
        self._views.add(ViewJob(seat, folder / "view.png", sittings, units, design.order.layup))
        self._drawing.draw(contact_map, list(sittings), folder / "contact.png", units=units)
        self._drawing.draw(sections, seat, sittings[0], folder / "sections.png", units=units)
        self._drawing.draw(light_lines, seat, folder / "light-lines.png", units=units)
        names = words([guest.sitter.body.name for guest in design.guests], "sitter")
        for guest, ordered, word in zip(design.guests, design.order.sitters, names, strict=True):
            body = guest.sitter.body
            name = "plan.png" if len(design.guests) == 1 else f"plan-{word}.png"
            self._drawing.draw(
                plan,
                seat,
                places(body, seat.blank, ordered.along_error_mm),
                folder / name,
                units=units,
                sitter=body.name,
                marks_mm=[(mark.x_mm, mark.y_mm) for _, mark in ordered.marks],
            )
        sharers = _sharers(design)
        if len(sharers) > 1:
            target = folder / "sharing.png"
            self._drawing.draw(sharing_chart, sharers, target, units=units, title=seat.title)

    def draw_curve(self, design: Design, figures: dict[str, Any], folder: Path) -> None:
        """Have the pressure over depth drawn, from the figures of a report."""
        rows = {one["name"]: one["peak_by_depth"] for one in figures["sitters"]}
        units, title = design.order.units, design.seat.title
        self._drawing.draw(depth_curve, rows, folder / "peak-by-depth.png", units=units, title=title)

    def finish(self) -> str | None:
        """Wait for all; return None, or a note in words if there are no views. Raises what a picture raises."""
        note = self._views.finish(self._drawing.draw)
        self._drawing.finish()
        return note


def _sharers(design: Design) -> list[Sharer]:
    """Return what the chart of a shared seat tells of each sitter; nothing where one has the seat alone."""
    return [
        Sharer(
            result.best.body.name,
            ordered.weight,
            result.flat.figures.peak_kpa,
            result.own_seat_kpa,
            result.before_adjustments_kpa,
        )
        for result, ordered in zip(design.results, design.order.sitters, strict=True)
        if result.own_seat_kpa is not None
    ]
