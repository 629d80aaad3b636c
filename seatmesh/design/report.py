"""What a report says of a seat: one object for programs, one text for the maker."""

from __future__ import annotations

import textwrap
from typing import Any

from seatmesh.design.shape import Design, SitterResult
from seatmesh.design.wood_notes import wood_notes
from seatmesh.fit.bounds import held_back_mm
from seatmesh.fit.fairness import undulations
from seatmesh.fit.hollow import deepest
from seatmesh.seating.describe import notes
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.units import format_length

DIGITS = 6
"""Significant digits of figures in reports: more than they are worth, few enough to be the same everywhere."""

CAUTIONS = (
    "Pressure figures compare shapes for healthy adults; they are not medical advice. Anyone with reduced sensation "
    "or skin at risk needs a seating clinician.",
    "A seat must hold its sitter: the floor is a guide, not a proof. Test it as the local furniture standard asks, "
    "and defer to local codes and qualified people.",
    "Powered cutters injure: keep the guard on and both hands on the tool, protect eyes, ears and lungs, and follow "
    "the tool's manual.",
)


def report(design: Design) -> dict[str, Any]:
    """Return the figures of a design under the keys of the project's reference."""
    seat = design.seat
    figures: dict[str, Any] = rounded(
        {
            "title": seat.title,
            "units": seat.units,
            "blank": _blank(seat),
            "chair": {"front_height_mm": seat.chair.front_height_mm, "rake_deg": seat.chair.rake_deg},
            "hollow": _hollow(seat),
            "fairness_count": undulations(seat),
            "sitters": [_sitter(result, seat) for result in design.results],
            "notes": _notes(design),
            "cautions": list(CAUTIONS),
        }
    )
    return figures


def rounded(value: Any) -> Any:
    """Return plain values with every float rounded to `DIGITS` significant digits."""
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(one) for one in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value


def sitting_report(sitting: Sitting) -> dict[str, Any]:
    """Return one entry of `sittings`, as the command `sit` prints it."""
    figures: dict[str, Any] = rounded(
        {
            "body": sitting.body.name,
            "seat": sitting.seat.title,
            "posture": sitting.posture,
            **sitting.figures,
            "verdict": sitting.verdict,
        }
    )
    return figures


def _blank(seat: Seat) -> dict[str, Any]:
    blank = seat.blank
    return {
        "width_mm": blank.width_mm,
        "depth_mm": blank.depth_mm,
        "thickness_mm": blank.thickness_mm,
        "floor_mm": blank.floor_mm,
        "deck_mm": blank.deck_mm,
        "outline": blank.outline,
    }


def _hollow(seat: Seat) -> dict[str, Any]:
    if seat.hollow is None:
        return {"deepest_mm": 0.0, "floor_left_mm": seat.blank.thickness_mm}
    x, y, depth = deepest(seat.hollow)
    return {
        "deepest_mm": depth,
        "deepest_x_mm": x,
        "deepest_y_mm": y,
        "floor_left_mm": seat.blank.thickness_mm - float(seat.blank.underside_rise_mm(x, y)) - depth,
        **held_back_mm(seat, x, y),
        "front_roll_mm": seat.front_roll_mm,
    }


def _sitter(result: SitterResult, seat: Seat) -> dict[str, Any]:
    return {
        "name": result.best.body.name,
        "peak_flat_kpa": result.flat.figures["peak_kpa"],
        "peak_closed_form_kpa": result.closed_form.figures["peak_kpa"],
        "peak_best_kpa": result.best.figures["peak_kpa"],
        "contact_area_flat_cm2": result.flat.figures["contact_area_cm2"],
        "contact_area_best_cm2": result.best.figures["contact_area_cm2"],
        "fairness_count": undulations(seat),
        "peak_by_depth": [{"depth_mm": depth, "peak_kpa": peak} for depth, peak in result.peak_by_depth],
        "flat": sitting_report(result.flat),
        "best": sitting_report(result.best),
    }


def _notes(design: Design) -> list[str]:
    seat = design.seat
    out = wood_notes(seat)
    for guest, result in zip(design.guests, design.results, strict=True):
        out += notes(guest.sitter, seat)
        out += _place_notes(result, seat, guest.sitter.at_mm[1], guest.sitter.seated.tailbone_tip[1])
    return list(dict.fromkeys(out))


def _place_notes(result: SitterResult, seat: Seat, sit_bones_y: float, tailbone: float) -> list[str]:
    """Say so when the deepest line lies ahead of the sit bones or behind the tip of the tailbone (common practice)."""
    if seat.hollow is None:
        return []
    _, y, _ = deepest(seat.hollow)
    name = result.best.body.name
    if y > sit_bones_y + MISPLACED_MM:
        return [
            f"{name}: the deepest line lies {y - sit_bones_y:.0f} mm ahead of the sit bones; the rise behind it can "
            "press the tailbone"
        ]
    if y < sit_bones_y + tailbone - MISPLACED_MM:
        return [f"{name}: the deepest line lies behind the tip of the tailbone; move it forward"]
    return []


MISPLACED_MM = 15.0
"""How far the deepest line may stray before it is remarked on: no finer than a sitter places himself."""


def report_text(design: Design, figures: dict[str, Any], width: int = 96) -> str:
    """Return the report in words."""
    units = design.order.units
    lines = [figures["title"], "=" * len(figures["title"]), ""]
    lines += _wood_lines(figures, units)
    for sitter in figures["sitters"]:
        lines += ["", *_sitter_lines(sitter, units)]
    if figures["notes"]:
        lines += ["", "To note", *_wrapped(figures["notes"], width)]
    lines += ["", "Cautions", *_wrapped(figures["cautions"], width), ""]
    return "\n".join(lines)


def _wood_lines(figures: dict[str, Any], units: str) -> list[str]:
    blank, hollow = figures["blank"], figures["hollow"]

    def length(value: float) -> str:
        return format_length(value, units)

    size = " x ".join(length(blank[key]) for key in ("width_mm", "depth_mm", "thickness_mm"))
    lines = [
        f"Blank          {size} (across, front to rear, thick), outline {blank['outline']}",
        f"Deck           {length(blank['deck_mm'])} from the rear edge stays flat",
    ]
    if hollow["deepest_mm"] > 0:
        lines += [
            f"Deepest        {length(hollow['deepest_mm'])}, {length(hollow['deepest_y_mm'])} from the rear edge, "
            f"{length(hollow['deepest_x_mm'])} to either side of the centre line",
            f"Wood left      {length(hollow['floor_left_mm'])} there (floor asked for: {length(blank['floor_mm'])})",
            f"Undulations    {figures['fairness_count']} beyond those the wishes call for",
        ]
    return lines


def _sitter_lines(sitter: dict[str, Any], units: str) -> list[str]:
    flat, best = sitter["flat"], sitter["best"]
    lines = [
        sitter["name"],
        "-" * len(sitter["name"]),
        f"Load on the seat           {best['load_n']:.0f} N; the feet carry {best['feet_share']:.0%} of the weight",
        f"Peak over 1 cm2            {flat['peak_kpa']:.0f} kPa flat, {sitter['peak_closed_form_kpa']:.0f} fitted, "
        f"{best['peak_kpa']:.0f} best",
        f"Contact area               {flat['contact_area_cm2']:.0f} cm2 flat, {best['contact_area_cm2']:.0f} best",
        f"Mean pressure              {flat['mean_kpa']:.1f} kPa flat, {best['mean_kpa']:.1f} best",
        f"Tissue left under sit bone {flat['tissue_left_ratio']:.0%} flat, {best['tissue_left_ratio']:.0%} best",
        f"Front edge to knee-back    {format_length(best['knee_clearance_mm'], units)}",
        f"Tailbone above the seat    {format_length(best['tailbone_clearance_mm'], units)}",
        "Peak against depth of the hollow (fitted seats)",
    ]
    return lines + _depth_lines(sitter["peak_by_depth"], units)


def _depth_lines(rows: list[dict[str, float]], units: str) -> list[str]:
    lines, last = [], rows[0]
    for number, row in enumerate(rows):
        word, than = "", format_length(last["depth_mm"], units)
        if number and row["peak_kpa"] <= last["peak_kpa"] * (1.0 - FELT_SHARE):
            word, last = f"can be felt to press less than {than}", row
        elif number:
            word = f"feels like {than}"
        depth = format_length(row["depth_mm"], units)
        lines.append(f"  {depth:>10}  {row['peak_kpa']:5.1f} kPa  {word}".rstrip())
    return lines


def _wrapped(texts: list[str], width: int) -> list[str]:
    return [
        line
        for text in texts
        for line in textwrap.wrap(text, width, initial_indent="- ", subsequent_indent="  ")
    ]
