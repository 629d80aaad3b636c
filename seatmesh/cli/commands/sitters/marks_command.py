"""`seatmesh marks`: marks of a fitting from a photograph of the marked blank, ready to be put into the order."""

from __future__ import annotations

import argparse
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import read_source
from seatmesh.design.report.seat_report import rounded
from seatmesh.marks.mark import MARK_ERROR_MM
from seatmesh.marks.photograph_file import ReadPhotograph, read_photograph


def run(options: argparse.Namespace) -> None:
    """Print the marks in mm, and how far the photograph is off at its check points."""
    read = read_photograph(options.photograph, read_source(options.blank, flat=True).seat.blank)
    facts = _facts(read)
    if read.found.check_rms_mm > MARK_ERROR_MM:
        say(
            f"note: the check points are off by {read.found.check_rms_mm:.1f} mm, more than a mark itself; measure the "
            "corners again, hold the camera level over the blank, or give lens = true with image_size_px"
        )
    if options.json:
        print_json(facts)
        return
    print_text(_text(facts))


def _facts(read: ReadPhotograph) -> dict[str, Any]:
    found = read.found
    marks = []
    for mark, sitter in zip(found.marks, read.sitters, strict=True):
        entry: dict[str, Any] = {"sitter": sitter} if sitter else {}
        x = abs(mark.x_mm) if mark.side == "left" else mark.x_mm
        entry |= {"name": mark.name, "side": mark.side, "x_mm": round(x, 1), "y_mm": round(mark.y_mm, 1)}
        marks.append(entry | {"standard_error_mm": round(mark.standard_error_mm, 2)})
    facts: dict[str, Any] = rounded(
        {
            "check_points": [
                {"name": name, "error_mm": error}
                for name, error in zip(read.checks, found.check_errors_mm, strict=True)
            ],
            "check_rms_mm": found.check_rms_mm,
            "check_worst_mm": found.check_worst_mm,
            "check_worst": found.check_worst,
            "marks": marks,
        }
    )
    return facts


def _text(facts: dict[str, Any]) -> str:
    lines = [
        f"# {len(facts['check_points'])} check points: off by {facts['check_rms_mm']:.2f} mm (root mean square), "
        f"{facts['check_worst_mm']:.2f} mm at worst ({facts['check_worst']})"
    ]
    for mark in facts["marks"]:
        lines += ["", "[[mark]]"]
        lines += [
            f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value:g}"
            for key, value in mark.items()
        ]
    return "\n".join(lines)
