"""`seatmesh marks`: marks of a fitting from a photograph of the marked blank, ready to be put into the order."""

from __future__ import annotations

import argparse
from typing import Any

from seatmesh.cli.output import print_json, print_text, say
from seatmesh.cli.sources import read_source
from seatmesh.design.report.plain import rounded
from seatmesh.marks.mark import MARK_ERROR_MM
from seatmesh.marks.photograph_file import ReadPhotograph, ReadThroughLens, read_photograph
from seatmesh.units import in_unit


def run(options: argparse.Namespace) -> None:
    """Print the marks in mm, and how far the photograph is off at its check points."""
    source = read_source(options.blank, flat=True).seat
    read = read_photograph(options.photograph, source.blank)
    if isinstance(read, ReadThroughLens):
        _print_through_lens(read, options.json, source.units)
        return
    facts = _facts(read)
    if read.found.check_rms_mm > MARK_ERROR_MM:
        say(
            f"note: the check points are off by {read.found.check_rms_mm:.1f} mm, more than a mark itself; measure the "
            "corners again, hold the camera level over the blank, or give image_size_px, so that the lens is found"
        )
    if options.json:
        print_json(facts)
        return
    print_text(_text(facts))


ORDER_KEYS = ("sitter", "name", "side", "x_mm", "y_mm", "standard_error_mm")


def _print_through_lens(read: ReadThroughLens, as_json: bool, units: str) -> None:
    facts = read.facts()
    for words in facts["doubts"]:
        say(f"note: {in_unit(words, units)}")
    if as_json:
        print_json(facts)
        return
    lines = [f"# {_fit_words(facts)}"]
    for mark, found in zip(facts["marks"], read.found.marks, strict=True):
        x = abs(mark["x_mm"]) if found.mark.side == "left" else mark["x_mm"]
        entry = {key: mark[key] for key in ORDER_KEYS if key in mark} | {
            "x_mm": round(x, 1),
            "y_mm": round(mark["y_mm"], 1),
        }
        sure = "sure" if found.sure else "not sure"
        lines += ["", f"# {sure}: within {found.within_mm:.1f} mm", *_mark_lines(entry)]
    print_text("\n".join(lines))


def _fit_words(facts: dict[str, Any]) -> str:
    points = len(facts["points"])
    if facts["rms_mm"] is None:
        return f"{points} points, and nothing that checks them"
    return (
        f"{points} points, each off where all others put it by {facts['rms_mm']:.2f} mm (root mean square), "
        f"{facts['worst_mm']:.2f} mm at worst ({facts['worst']})"
    )


def _mark_lines(mark: dict[str, Any]) -> list[str]:
    entries = [
        f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value:g}"
        for key, value in mark.items()
    ]
    return ["[[mark]]", *entries]


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
        lines += ["", *_mark_lines(mark)]
    return "\n".join(lines)
