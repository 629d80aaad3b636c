"""`seatmesh gauge`: sheet, check, save, copy."""

from __future__ import annotations

import argparse
from io import BytesIO
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import blank_of, read_source
from seatmesh.design.adapt import adapted
from seatmesh.design.orders.order import find_body
from seatmesh.errors import FileRefusedError, InputError, NotAmongError, NotSolvedError, ValueRefusedError
from seatmesh.files.whole_or_nothing import write_together
from seatmesh.fit.stages import stage
from seatmesh.formats.seat_file import write_seat
from seatmesh.gauge.bar.gauge_sheet import SHEET_HEAD, gauge_sheet, sheet_csv, sheet_text, usual_spacing_mm
from seatmesh.gauge.bar.rod_gauge import LIES, Gauge, Lie
from seatmesh.gauge.check.check_readings import GaugeCheck, check_readings
from seatmesh.gauge.check.check_report import gauge_report, gauge_text
from seatmesh.gauge.check.further.further_sheet import further_csv
from seatmesh.gauge.copy.copy_error import mirrored_error
from seatmesh.gauge.copy.copy_seat import copy_seat, mirrored_seat
from seatmesh.gauge.copy.copy_words import error_facts, error_words, size
from seatmesh.gauge.printed.gauge_pages import gauge_pdf, is_gauge_pdf
from seatmesh.gauge.printed.walk import readings_printed
from seatmesh.gauge.readings.readings_file import read_readings
from seatmesh.gauge.readings.several_files import read_several
from seatmesh.gauge.save.gouge import Gouge
from seatmesh.gauge.save.pressure_effect import pressure_effect
from seatmesh.gauge.save.save_cut import save_cut
from seatmesh.gauge.save.saved_report import saved_report, saved_text
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.units import ALLOWED_UNITS, format_length, parse_length_mm, shown


def run(options: argparse.Namespace) -> None:
    """Do what was asked for."""
    {"sheet": _sheet, "check": _check, "save": _save, "copy": _copy}[options.action](options)


def _sheet(options: argparse.Namespace) -> None:
    first, second = _lengths(options.rest_heights_mm, "--rest-heights-mm", 2)
    rests = None if options.rests_mm is None else _lengths(options.rests_mm, "--rests-mm", 2)
    gauge = Gauge(
        bar_height_mm=parse_length_mm(options.bar_height_mm, "--bar-height-mm"),
        rod_offset_mm=parse_length_mm(options.rod_offset_mm, "--rod-offset-mm"),
        lie=options.lie,
        rests_mm=None if rests is None else (rests[0], rests[1]),
        rest_heights_mm=(first, second),
    )
    spacing = None if options.spacing_mm is None else parse_length_mm(options.spacing_mm, "--spacing-mm")
    path = _csv(options.to, "--to")
    _refuse_lost_readings(path)
    to_print = path.with_suffix(".txt")
    _refuse_lost_words(to_print)
    to_write_on = path.with_suffix(".pdf")
    _refuse_lost_pages(to_write_on)
    paper = paper_named(options.paper)
    seat = stage(read_source(options.seat, options.flat).seat, options.stage)
    units = _units(options.units, seat.units)
    sheet = gauge_sheet(seat, spacing or usual_spacing_mm(units), gauge)
    # All three are made before the first is written: one without the others would be taken for the whole.
    write_together(
        {
            path: sheet_csv(sheet, units).encode("utf-8"),
            to_print: sheet_text(sheet, units).encode("utf-8"),
            to_write_on: gauge_pdf(sheet, units, paper),
        }
    )
    notes = sheet.notes()
    for words in notes:
        say(f"note: {words}")
    if options.json:
        print_json(
            {
                "file": str(path),
                "printed": str(to_print),
                "pages": str(to_write_on),
                "printed_readings": readings_printed(sheet),
                "seat": seat.title,
                "crossings": len(sheet.crossings),
                "left_out": [{"x_mm": one.x_mm, "y_mm": one.y_mm, "why": one.why} for one in sheet.left_out],
                "notes": list(notes),
            }
        )
    else:
        print_text(
            f"{path}: {len(sheet.crossings)} crossings to read; {to_print} is to print, {to_write_on} to write on: "
            f"{readings_printed(sheet)} of them, those that tell most"
        )


def _check(options: argparse.Namespace) -> None:
    tolerance = parse_length_mm(options.tolerance_mm, "--tolerance-mm")
    rows = read_several(options.readings)
    if options.further:
        _refuse_lost_readings(_csv(options.further, "--further"))
    seat = stage(read_source(options.seat).seat, options.stage)
    units = _units(options.units, seat.units)
    check = check_readings(seat, rows, tolerance, _where(options.readings), _lie(options.lie))
    report = gauge_report(check, units)
    files: dict[Path, bytes] = {}
    if options.map:
        # Matplotlib is loaded here, where it is wanted.
        from seatmesh.gauge.check.map_picture import gauge_map

        drawn = BytesIO()
        gauge_map(check, drawn, units=units)
        files[Path(options.map)] = drawn.getvalue()
    if options.further and check.further:
        files[Path(options.further)] = further_csv(check).encode("utf-8")
    write_together(files)
    if options.further:
        report["further_file"] = _further(Path(options.further), check)
    for note in report["notes"]:
        say(f"note: {note}")
    if options.json:
        print_json(report)
    else:
        print_text(gauge_text(report, units))


def _further(path: Path, check: GaugeCheck) -> str | None:
    """Say where the readings that would decide are written; return it, None where there is nothing to read."""
    if not check.further:
        say(f"{path} is not written: no further reading is needed")
        return None
    say(f"{path}: {len(check.further)} rows to fill in; give the file after the first one next time")
    return str(path)


def _save(options: argparse.Namespace) -> None:
    gouges = [Gouge(*_lengths(one, "--gouge", 4)) for one in options.gouge]
    scatter = parse_length_mm(options.scatter_mm, "--scatter-mm")
    bodies = [find_body(name, Path()) for name in options.body]
    rows = read_several(options.readings) if options.readings else None
    lie = _lie(options.lie)
    seat = read_source(options.seat).seat
    check = None
    if rows is not None:
        check = check_readings(seat, rows, where=_where(options.readings), lie=lie)
    saved = save_cut(seat, check, gouges, "as cut" if options.as_cut else "symmetric", scatter)
    effects = [] if saved.seat is None else [pressure_effect(body, seat, saved.seat) for body in bodies]
    if saved.seat is not None and options.to:
        write_seat(saved.seat, options.to)
    report = saved_report(saved, seat.units, effects)
    report["file"] = str(options.to) if saved.seat is not None and options.to else None
    for note in saved.notes:
        say(f"note: {note}")
    if options.json:
        print_json(report)
    else:
        print_text(saved_text(report))
    if saved.seat is None:
        raise NotSolvedError(saved.verdict)


def _copy(options: argparse.Namespace) -> None:
    if (options.fits is None) != (options.to_fit is None):
        raise ValueRefusedError(
            "--fits, --for", "one of them", "both or neither", "name whom the seat fits and whom it is to fit"
        )
    bodies = [find_body(name, Path()) for name in (options.fits, options.to_fit) if name is not None]
    rows = read_several(options.readings)
    gauge = None
    if options.bar_height_mm is not None:
        gauge = Gauge(
            parse_length_mm(options.bar_height_mm, "--bar-height-mm"),
            parse_length_mm(options.rod_offset_mm or "0", "--rod-offset-mm"),
        )
    elif options.rod_offset_mm is not None:
        raise ValueRefusedError(
            "--rod-offset-mm", options.rod_offset_mm, "it goes with --bar-height-mm", "give both, or neither"
        )
    blank, chair, units = blank_of(options.blank)
    copied = copy_seat(
        rows,
        blank,
        sides="symmetric" if options.symmetric else "as carved",
        chair=chair,
        gauge=gauge,
        lie=_lie(options.lie),
        front_roll_mm=parse_length_mm(options.front_roll_mm or "0", "--front-roll-mm"),
        title=options.title,
        units=units,
        where=_where(options.readings),
    )
    made, error = copied.seat, copied.error
    if options.mirrored:
        made, error = mirrored_seat(made), None if error is None else mirrored_error(error)
    if bodies:
        made = adapted(made, *bodies)
        say("note: the intervals of depth are those of the copy before it was adapted")
    write_seat(made, options.to)
    if options.front_roll_mm is None:
        say(
            "note: no front roll is copied, since readings on a grid cannot tell it; state one by --front-roll-mm"
        )
    for note in copied.notes:
        say(f"note: {note}")
    facts: dict[str, Any] = {
        "file": str(options.to),
        "title": made.title,
        "readings_used": copied.used,
        "misread": list(copied.misread),
        "residual_rms_mm": round(copied.residual_rms_mm, 3),
        "uneven_mm": round(copied.uneven_mm, 3),
        "read_share": round(copied.seen, 3),
        **error_facts(error, copied.bars),
        "notes": list(copied.notes),
    }
    if options.json:
        print_json(facts)
    else:
        print_text(
            f"{options.to}: from {copied.used} readings, {size(copied.residual_rms_mm, units)} rms off "
            f"it; left and right differ by up to {format_length(copied.uneven_mm, units)}.\n"
            f"{error_words(error, units, options.symmetric)}"
        )


def _where(files: list[str]) -> str:
    """Return how refusals call readings; those of several files name the file themselves."""
    return f"readings '{files[0]}'" if len(files) == 1 else "readings"


def _csv(given: str, name: str) -> Path:
    path = Path(given)
    if path.suffix.lower() != ".csv":
        raise ValueRefusedError(name, shown(given), "allowed is a name that ends in .csv", "add .csv")
    return path


def _lie(given: str | None) -> Lie | None:
    if given is None:
        return None
    found: Lie | None = next((one for one in LIES if one == given), None)
    if found is None:
        raise NotAmongError("--lie", shown(given), LIES)
    return found


def _units(given: str | None, own: str) -> str:
    if given is not None and given not in ALLOWED_UNITS:
        raise NotAmongError("--units", shown(given), ALLOWED_UNITS)
    return own if given is None else given


def _lengths(text: str, name: str, count: int) -> list[float]:
    parts = text.split(",")
    if len(parts) != count:
        raise ValueRefusedError(
            name, shown(text), f"allowed are {count} lengths with commas between", "write them like 1,2"
        )
    return [parse_length_mm(part.strip(), name) for part in parts]


def _refuse_lost_words(path: Path) -> None:
    """Refuse to print a sheet over a text that is none: nobody named that file."""
    if not path.is_file():
        return
    with path.open("rb") as file:
        if not file.read(len(SHEET_HEAD)).startswith(SHEET_HEAD.encode()):
            raise FileRefusedError(
                f"'{path}' is no gauge sheet, and the sheet to print would take its place; give --to another name, or "
                "move that file."
            )


def _refuse_lost_pages(path: Path) -> None:
    """Refuse to print pages over a file that is no gauge sheet of this tool: nobody named that file."""
    if path.is_file() and not is_gauge_pdf(path.read_bytes()):
        raise FileRefusedError(
            f"'{path}' is no gauge sheet of this tool, or somebody wrote into it, and the pages to write on would take "
            "its place; give --to another name, or move that file."
        )


def _refuse_lost_readings(path: Path) -> None:
    """Refuse to write a new sheet over readings that somebody typed in."""
    if not path.is_file():
        return
    try:
        typed = any(
            row.reading_mm is not None or row.left_proud_mm is not None for row in read_readings(path)
        )
    except InputError as error:
        # One cell that cannot be read does not make the others worthless.
        raise FileRefusedError(
            f"'{path}' is there, and may hold readings, but cannot be read: {error} Choose another name, or remove it."
        ) from error
    if typed:
        raise FileRefusedError(
            f"'{path}' holds readings, which would be lost; choose another name, or remove it."
        )
