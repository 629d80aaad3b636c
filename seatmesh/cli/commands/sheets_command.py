"""`seatmesh sheets`: full-size plan, section cards and stages, to print or to cut from."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.progress import step
from seatmesh.cli.sources import Source, job_of, read_source
from seatmesh.design.folders.lettering import lettering_notes
from seatmesh.design.folders.sheet_folder import Printed, SheetFolder, write_sheets
from seatmesh.design.report.plain import ending_notes, rounded
from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.formats.seat_file import read_seat, seat_digest
from seatmesh.gauge.bar.gauge_sheet import gauge_sheet, usual_spacing_mm
from seatmesh.gauge.bar.rod_gauge import Gauge
from seatmesh.gauge.printed.gauge_pages import gauge_pdf
from seatmesh.jobs.place import place_for
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.sheets.all_sheets import KINDS, Sheets, sheets_of
from seatmesh.sheets.holes.bit import STOP_SET_TO, bit_words, read_bit
from seatmesh.sheets.holes.hole_room import LEAN_DEG, STOP_OFF_MM
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes, Speech
from seatmesh.surface import Seat
from seatmesh.units import parse_length_mm, shown
from seatmesh.wood.species import wood_named

JOB_SHEET, GAUGE_SHEET = "job-sheet.pdf", "gauge-sheet.pdf"


def run(options: argparse.Namespace) -> None:
    """Write the sheets into a folder of their own and print what they are."""
    wishes, kinds = wishes_of(options), kinds_of(options.format, options.stage)
    paper_named(wishes.paper)
    wood_named(wishes.wood)
    if options.blank is not None and not options.repeat:
        raise ValueRefusedError(
            "--blank", shown(options.blank), "it goes with --repeat", "add --repeat, or leave it out"
        )
    job, out = job_of(options.blank or options.seat), Path(options.out)
    place_for(out, job, overwrite=options.overwrite)
    gauge = _gauge(options)
    made = (
        _made(options.seat, wishes, kinds)
        if options.blank is None
        else _again(options.seat, options.blank, wishes, kinds)
    )
    if gauge is not None:
        made = replace(made, more={**made.more, GAUGE_SHEET: _gauge_pages(made, gauge, wishes)})
    job = replace(job, seat=seat_digest(made.seat))
    printed = Printed(paper_named(wishes.paper).name, wishes.units or made.seat.units)
    there = write_sheets(made.sheets, job, out, printed, made.more, options.overwrite)
    facts = facts_of(made, there)
    facts["notes"] += lettering_notes(job)
    for note in facts["notes"]:
        say(f"note: {note}")
    print_json(facts) if options.json else print_text(_words(facts, Speech(made.sheets.units)))


@dataclass(frozen=True)
class Made:
    """The sheets of a seat, and the job sheet where an order says whose it is."""

    seat: Seat
    sheets: Sheets
    more: Mapping[str, bytes]
    notes: tuple[str, ...]


def _made(path: str, wishes: SheetWishes, kinds: tuple[str, ...]) -> Made:
    if path.lower().endswith(".json"):
        return _of_source(read_source(path), wishes, kinds)
    from seatmesh.design.orders.order import read_order

    order = read_order(path)
    own = replace(wishes, tools=order.tools or None, layup=order.layup)
    if wishes.is_repeat or "pdf" not in kinds:
        return _of_source(read_source(path), own, kinds)
    from seatmesh.design.job_sheet.job_pages import job_sheet
    from seatmesh.design.shape import design

    step(f"shaping '{order.title}' for {', '.join(one.body.name for one in order.sitters)}")
    one = design(order)
    sheets = sheets_of(one.seat, tuple(guest.sitter.body for guest in one.guests), own, kinds)
    step("drawing the job sheet")
    sheet, notes = job_sheet(one, own)
    notes = (*ending_notes(one.seat.ending, order.title), *notes)
    return Made(one.seat, sheets, {JOB_SHEET: sheet}, notes)


def _again(path: str, blank: str, wishes: SheetWishes, kinds: tuple[str, ...]) -> Made:
    """Return the sheets of a proven seat on the blank of another order or seat."""
    from seatmesh.design.orders.order import read_order
    from seatmesh.design.repeat import made_again

    proven, other = read_source(path).seat, read_source(blank, flat=True)
    order = None if blank.lower().endswith(".json") else read_order(blank)
    title = read_seat(blank).title if order is None else order.title
    seat = made_again(proven, other.seat.blank, other.seat.chair)
    seat = replace(seat, title=title, units=other.seat.units)
    own = replace(wishes, proven=proven, layup=None if order is None else order.layup)
    return Made(seat, sheets_of(seat, other.bodies, own, kinds), {}, ())


def _of_source(source: Source, wishes: SheetWishes, kinds: tuple[str, ...]) -> Made:
    """Return the sheets of a seat without a job sheet."""
    return Made(source.seat, sheets_of(source.seat, source.bodies, wishes, kinds), {}, ())


def _gauge(options: argparse.Namespace) -> Gauge | None:
    """Return the gauge that a repeat is to be read with; None where no bar is stated."""
    if options.bar_height_mm is None:
        return None
    if not options.repeat:
        raise ValueRefusedError(
            "--bar-height-mm",
            shown(options.bar_height_mm),
            "it goes with --repeat",
            "add --repeat, or use gauge sheet",
        )
    return Gauge(parse_length_mm(options.bar_height_mm, "--bar-height-mm"))


def _gauge_pages(made: Made, gauge: Gauge, wishes: SheetWishes) -> bytes:
    units = made.sheets.units
    sheet = gauge_sheet(made.seat, usual_spacing_mm(units), gauge)
    return gauge_pdf(sheet, units, paper_named(wishes.paper))


def wishes_of(options: argparse.Namespace) -> SheetWishes:
    """Return the wishes that the options state."""
    bit = None if options.bit is None else read_bit(options.bit)
    holes = HoleWishes(bit) if options.depth_holes or options.repeat or bit is not None else None
    return SheetWishes(
        paper=options.paper,
        units=options.units,
        inch_step=options.inch_step,
        contour_step_mm=_length("contour_step_mm", options.contour_step_mm),
        across_mm=_lengths("--stations-mm", options.stations_mm),
        along_mm=_lengths("--along-mm", options.along_mm),
        allowance_mm=parse_length_mm(options.allowance_mm, "allowance_mm"),
        holes=holes,
        wood=options.wood,
        is_repeat=options.repeat,
    )


def kinds_of(form: str, stages: str) -> tuple[str, ...]:
    """Return the kinds of file that the options wish for."""
    if form not in (*KINDS[:3], "all"):
        raise NotAmongError("--format", shown(form), (*KINDS, "all"))
    if stages not in ("all", "none"):
        raise NotAmongError("--stage", shown(stages), ("all", "none"))
    kinds = KINDS[:3] if form == "all" else (form,)
    return (*kinds, "stages") if stages == "all" and form in ("all", "pdf") else kinds


def _length(name: str, text: str | None) -> float | None:
    return None if text is None else parse_length_mm(text, name)


def _lengths(name: str, text: str | None) -> tuple[float, ...] | None:
    if text is None:
        return None
    return tuple(parse_length_mm(one.strip(), name) for one in text.split(",") if one.strip())


def facts_of(made: Made, there: SheetFolder) -> dict[str, Any]:
    """Return what `--json` prints."""
    sheets = made.sheets
    facts: dict[str, Any] = rounded(
        {
            "folder": str(there.folder),
            "files": list(there.files),
            "pages": list(sheets.pages),
            "holes": len(sheets.holes),
            "depth_holes": _holes(sheets),
            "stations": [{"name": one.name, "runs": one.runs, "at_mm": one.at_mm} for one in sheets.stations],
            "stages": [
                {
                    "number": one.number,
                    "name": one.name,
                    "removed_cm3": one.removed_mm3 / 1000.0,
                    "datum_points_uncut": [name for name, _, _ in one.uncut],
                }
                for one in sheets.stages
            ],
            "differences": list(sheets.differences),
            "notes": [*sheets.notes, *made.notes, *there.notes],
        }
    )
    return facts


def _holes(sheets: Sheets) -> dict[str, Any] | None:
    """Return what has to be known of depth holes besides their list; None where none were wished for."""
    made = sheets.depth_holes
    if made is None:
        return None
    return {
        "words": bit_words(made.bit, sheets.units),
        "bit": made.bit.kind,
        "bit_mm": made.bit.diameter_mm,
        "tip_mm": made.bit.tip_mm,
        "tip_is_measured": made.bit.tip_is_measured,
        "stop_set_to": STOP_SET_TO,
        "allowance_mm": made.allowance_mm,
        "lean_deg": LEAN_DEG,
        "stop_off_mm": STOP_OFF_MM,
    }


def _words(facts: dict[str, Any], says: Speech) -> str:
    lines = [f"{len(facts['files'])} files in {facts['folder']}: {', '.join(facts['files'])}"]
    if facts["pages"]:
        lines.append(
            f"{_first(facts, 'sheets', '.pdf')} has {len(facts['pages'])} pages; print at 100 % and measure both bars "
            "on each."
        )
    if facts["holes"]:
        lines.append(
            f"{facts['holes']} depth holes in {_first(facts, 'holes', '.csv')}, for one bit only: "
            f"{facts['depth_holes']['words']}. "
            f"Set the stop to its {STOP_SET_TO}."
        )
    if facts["differences"]:
        lines += ["Against the proven seat:", *(f"  {one}" for one in facts["differences"])]
    lines += [
        f"stage {one['number']}, {one['name']}: {says.volume(1000.0 * one['removed_cm3'])}"
        for one in facts["stages"]
    ]
    return "\n".join(lines)


def _first(facts: dict[str, Any], stem: str, suffix: str) -> str:
    """Return the file whose name begins and ends like this; words for paper and units may stand between."""
    return next(str(one) for one in facts["files"] if one.startswith(stem) and one.endswith(suffix))
