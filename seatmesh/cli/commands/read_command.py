"""`seatmesh read`: a carved or scanned seat becomes a seat file."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import read_source
from seatmesh.design.report.seat_report import rounded
from seatmesh.formats.seat_file import write_seat
from seatmesh.reading.carved import read_carved
from seatmesh.wood.blank import Blank

KEYS = (
    "unit",
    "points_used",
    "outliers",
    "residual_rms_mm",
    "residual_95_mm",
    "noise_mm",
    "coverage",
    "widest_hole_mm",
    "deck_rms_mm",
    "strays",
    "stray_points",
    "notes",
)


def run(options: argparse.Namespace) -> None:
    """Read the scan, write the seat, and print how well it was met."""
    if options.blank is None:
        blank, chair, units = Blank(), None, "mm"
        say("note: no --blank given; the usual side-chair blank is assumed")
    else:
        seat = read_source(options.blank, flat=True).seat
        blank, chair, units = seat.blank, seat.chair, seat.units
    carved = read_carved(
        options.scan, blank, unit=options.unit, chair=chair, title=Path(options.scan).stem, units=units
    )
    write_seat(carved.seat, options.to)
    found: dict[str, Any] = {key: getattr(carved, key) for key in KEYS}
    found["frame"] = {key: [list(map(float, row)) if hasattr(row, "__len__") else float(row) for row in value]
                      for key, value in asdict(carved.frame).items()}  # fmt: skip
    facts = rounded({"file": str(options.to), **found})
    for note in carved.notes:
        say(f"note: {note}")
    if options.json:
        print_json(facts)
    else:
        print_text(
            f"{options.to}: from {facts['points_used']} points, residual {facts['residual_rms_mm']:.3f} mm rms, "
            f"{facts['coverage']:.0%} of the carved face seen, widest hole {facts['widest_hole_mm']:.0f} mm"
        )
