"""`seatmesh read`: a carved or scanned seat becomes a seat file."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import blank_of
from seatmesh.design.report.plain import rounded
from seatmesh.errors import ValueRefusedError
from seatmesh.files.whole_or_nothing import atomic_path
from seatmesh.fit.hollow import deepest_place
from seatmesh.formats.mesh_scale import parse_scale
from seatmesh.formats.seat_file import read_seat, write_seat
from seatmesh.place_words import roughly
from seatmesh.reading.carved import AsDrawn, Carved, RimPoints, read_carved
from seatmesh.reading.handedness import check_meant
from seatmesh.reading.placing import Placing
from seatmesh.reading.pose.judged.refusals import direction_words
from seatmesh.reading.quality.maps import Quality, meant_figures, quality
from seatmesh.surface import Seat
from seatmesh.units import (
    format_length,
    format_no_more,
    format_size,
    in_unit,
    parse_length_mm,
    shown,
)

KEYS = (
    "unit",
    "points_used",
    "outliers",
    "residual_rms_mm",
    "residual_95_mm",
    "noise_mm",
    "sure_within_mm",
    "coverage",
    "widest_hole_mm",
    "deck_rms_mm",
    "outline_rms_mm",
    "thickness_mm",
    "strays",
    "stray_points",
    "notes",
)


def run(options: argparse.Namespace) -> None:
    """Read the scan, write the seat, and print how well it was met."""
    roll = (
        None if options.front_roll_mm is None else parse_length_mm(options.front_roll_mm, "--front-roll-mm")
    )
    blank, chair, units = blank_of(options.blank)
    meant = None if options.meant is None else read_seat(options.meant)
    carved = read_carved(
        options.scan,
        blank,
        unit=options.unit,
        scale=parse_scale(options.scale),
        up=_direction(options.up, "--up"),
        front=_direction(options.front, "--front"),
        placing=_placing(options),
        front_roll_radius_mm=roll,
        chair=chair,
        title=Path(options.scan).stem,
        units=units,
    )
    compared = quality(carved.seat, carved.face, meant)
    more = () if meant is None else check_meant(carved.seat, meant, f"scan '{options.scan}'")
    if options.picture:
        _draw(compared, carved.seat, options.picture, Path(options.scan).name)
    write_seat(carved.seat, options.to)
    found: dict[str, Any] = {key: getattr(carved, key) for key in KEYS}
    found["frame"] = {key: [list(map(float, row)) if hasattr(row, "__len__") else float(row) for row in value]
                      for key, value in asdict(carved.frame).items()}  # fmt: skip
    found["notes"] = [in_unit(note, units) for note in (*carved.notes, *more)]
    against = meant_figures(compared)
    facts = rounded({"file": str(options.to), **found, **against})
    for note in found["notes"]:
        say(f"note: {note}")
    if options.json:
        print_json(facts)
    else:
        print_text("\n".join([_words(str(options.to), carved), *_against_words(against, units)]))


def _words(path: str, carved: Carved) -> str:
    """Return how well the scan was met, how it lay, and how deep the seat is."""
    seat, units = carved.seat, carved.seat.units
    x, y, depth = deepest_place(seat)
    frame = carved.frame
    return "\n".join([
        f"{path}: from {carved.points_used} points, residual "
        f"{format_size(carved.residual_rms_mm, units, 3)} rms, {carved.coverage:.0%} of the carved face seen, "
        f"widest hole {format_length(carved.widest_hole_mm, units, decimals=0)}",
        f"  it lay with up along {direction_words(frame.axes[2])} and the front along {direction_words(frame.axes[1])} "
        f"in the file; its edge lies {format_size(carved.outline_rms_mm, units, 2)} off the blank's outline, rms",
        f"  deepest {format_no_more(max(depth, 0.0), units)}, {roughly(x, y, units)}; front roll "
        f"{format_length(seat.front_roll_mm, units, decimals=0)}; depths sure within "
        f"{format_size(carved.sure_within_mm, units, 2)} in most places",
    ])  # fmt: skip


def _draw(found: Quality, seat: Seat, path: str, title: str) -> None:
    """Draw the maps of the scan's quality; matplotlib is loaded here, where it is wanted."""
    from seatmesh.reading.quality.picture import quality_picture

    with atomic_path(path) as lent:
        quality_picture(found, seat, lent, title=title)


def _against_words(against: dict[str, float], units: str) -> list[str]:
    """Return how far the seat read lies off the one meant."""
    if not against:
        return []
    mean = against["deeper_than_meant_mean_mm"]
    way = "deeper" if mean > 0.0 else "shallower"
    return [
        f"  off the seat meant by {format_size(against['off_meant_rms_mm'], units, 2)} rms, 95 % of it within "
        f"{format_size(against['off_meant_95_mm'], units, 2)}; on the whole {format_size(abs(mean), units, 2)} {way}"
    ]


def _placing(options: argparse.Namespace) -> Placing | None:
    """Return how the user lays the scan: as drawn, on points of the rim, or not at all."""
    if options.rim is None:
        return AsDrawn() if options.as_drawn else None
    if options.as_drawn:
        raise ValueRefusedError(
            "--rim", "--as-drawn too", "allowed is one of the two", "leave one of them out"
        )
    points = [_direction(text, "--rim") or () for text in options.rim]
    if len(points) != 3 or any(len(point) != 3 for point in points):
        raise ValueRefusedError(
            "--rim",
            shown(" ".join(options.rim)),
            "allowed are three points of three numbers each",
            "give --rim X,Y,Z three times, in the file's axes and unit",
        )
    first, second, third = ((point[0], point[1], point[2]) for point in points)
    return RimPoints(None, (first, second, third))


def _direction(text: str | None, name: str) -> tuple[float, ...] | None:
    if text is None:
        return None
    try:
        return tuple(float(word) for word in text.split(","))
    except ValueError as error:
        raise ValueRefusedError(
            name, shown(text), "allowed are three numbers with commas between", "give X,Y,Z, such as 0,0,1"
        ) from error
