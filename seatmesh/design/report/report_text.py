"""The report in words, for the maker."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from seatmesh.design.log.log_report import log_lines
from seatmesh.design.report.advice_report import spot_lines
from seatmesh.design.report.boards_report import board_lines
from seatmesh.design.report.plain import SOME_ORDER
from seatmesh.design.report.price_report import price_lines
from seatmesh.design.report.reach_report import reach_lines
from seatmesh.design.report.stage_report import stage_lines
from seatmesh.design.report.unmeasured_report import UNMEASURED, unmeasured_sentences
from seatmesh.design.shape import Design
from seatmesh.place_words import Side, ahead, aside
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.units import format_area, format_length, format_no_less, format_no_more, peak_square, wrapped

OVER_MM = 0.5


def report_text(design: Design, figures: dict[str, Any], width: int = 96) -> str:
    """Return the report in words."""
    units = design.order.units
    lines = [figures["title"], "=" * len(figures["title"]), ""]
    lines += _wood_lines(figures, units) + reach_lines(figures["reach"], units)
    if figures["wood"] is not None:
        lines += ["", "Boards", *_wrapped(board_lines(figures["wood"], units), width)]
    if figures["stages"]:
        lines += ["", "Stages, each from the one before", *stage_lines(figures["stages"], units)]
    file = design.order.file or SOME_ORDER
    for sitter in figures["sitters"]:
        lines += ["", *_sitter_lines(sitter, units)]
        if "hot_spots" in sitter:
            lines += ["", *spot_lines(sitter["name"], sitter["hot_spots"], units, file)]
        if sitter.get("not_measured"):
            said = unmeasured_sentences(sitter["not_measured"], sitter["best"]["peak_kpa"], units)
            lines += ["", UNMEASURED, *_wrapped(said, width)]
    if figures.get("price_of_form") is not None:
        lines += ["", *price_lines(figures["price_of_form"], units)]
    if figures["adjustments"]:
        lines += ["", "Adjustments, each after the one before", *log_lines(figures["adjustments"], units)]
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
        f"Deck           {_deck(blank, units)} stays flat",
    ]
    if hollow["deepest_mm"] > 0:
        lines += [
            f"Deepest        {format_no_more(hollow['deepest_mm'], units)}, {_place_of_deepest(hollow, units)}",
            *_deepest_from(hollow, length),
            f"Wood left      {format_no_more(hollow['floor_left_mm'], units)} there (floor asked for: "
            f"{format_no_less(blank['floor_mm'], units)})",
            _pommel(hollow, length),
            f"Undulations    {figures['fairness_count']} beyond those that wishes and joints call for",
        ]
    if figures["ending"] is not None:
        lines.append(f"Search         {figures['ending']['words']}")
    return lines


def _place_of_deepest(hollow: dict[str, Any], units: str) -> str:
    side: Side = "both" if hollow["mirrored"] else "one"
    return f"{ahead(hollow['deepest_y_mm'], units)}, {aside(hollow['deepest_x_mm'], units, side)}"


def _deepest_from(hollow: dict[str, Any], length: Callable[[float], str]) -> list[str]:
    """Return where the deepest place lies between each sitter's sit bones and the end of the spine."""
    lines = []
    for one in hollow["deepest_from"]:
        behind = one["behind_sit_bones_mm"]
        way = "behind" if behind >= 0.0 else "ahead of"
        ahead = one["ahead_of_tailbone_mm"]
        beyond = "ahead of" if ahead >= 0.0 else "behind"
        lines.append(
            f"               {one['name']}: {length(abs(behind))} {way} the sit bones, "
            f"{length(abs(ahead))} {beyond} the tip of the tailbone"
        )
    return lines


def _pommel(hollow: dict[str, Any], length: Callable[[float], str]) -> str:
    """Return how high the ridge is, and why it is higher than asked for: what must stay of the wood beside it."""
    height, wish = hollow["pommel_mm"], hollow["pommel_wish_mm"]
    why = ""
    if height > wish + OVER_MM:
        why = "; bounds beside edges or joints, or the sitter's own shape, leave more"
    return f"Pommel         {length(height)} at its highest (asked for: {length(wish)}{why})"


def _deck(blank: dict[str, Any], units: str) -> str:
    """Return in words what the deck takes up."""
    deck = format_length(blank["deck_mm"], units)
    if blank["deck_line"] == "offset":
        return f"{deck} along the outline"
    bow = blank["deck_bow_mm"]
    if blank["deck_line"] == "straight" or not bow:
        return f"{deck} from the rear edge"
    way = "farther forward" if bow > 0.0 else "farther back"
    return f"{deck} from the rear edge, {format_length(abs(bow), units)} {way} at the sides,"


def _sitter_lines(sitter: dict[str, Any], units: str) -> list[str]:
    flat, best = sitter["flat"], sitter["best"]
    last = "adjusted" if "peak_adjusted_kpa" in sitter else "finished"
    lines = [
        sitter["name"],
        "-" * len(sitter["name"]),
        f"Load on the seat           {best['load_n']:.0f} N; the feet carry {best['feet_share']:.0%} of the weight",
        _peak_line(sitter, units),
        *_loss_lines(sitter),
        f"Contact area               {format_area(flat['contact_area_cm2'], units)} flat, "
        f"{format_area(best['contact_area_cm2'], units)} {last}",
        f"Mean pressure              {flat['mean_kpa']:.1f} kPa flat, {best['mean_kpa']:.1f} {last}",
        f"Front edge to knee-back    {format_length(best['knee_clearance_mm'], units)}",
        f"Tailbone above the seat    {format_length(best['tailbone_clearance_mm'], units)}",
        *_mark_lines(sitter, units),
        "Peak against depth of the hollow (seats as shaped, before the search)",
    ]
    return lines + _depth_lines(sitter["peak_by_depth"], units)


def _peak_line(sitter: dict[str, Any], units: str) -> str:
    line = (
        f"{f'Peak over {peak_square(units)}':<27}{sitter['peak_flat_kpa']:.0f} kPa flat, "
        f"{sitter['peak_closed_form_kpa']:.0f} as shaped for the body, {sitter['peak_best_kpa']:.0f} after the search "
        "for less"
    )
    return line + (f", {sitter['peak_adjusted_kpa']:.0f} adjusted" if "peak_adjusted_kpa" in sitter else "")


def _loss_lines(sitter: dict[str, Any]) -> list[str]:
    """Return what sharing costs; nothing for who has the seat alone."""
    if "loss_percent" not in sitter:
        return []
    loss, own = sitter["loss_percent"], sitter["peak_own_seat_kpa"]
    felt = "" if abs(loss) >= 100.0 * FELT_SHARE else ", less than can be felt"
    return [f"On a seat of their own     {own:.0f} kPa; sharing costs {loss:+.0f} %{felt}"]


def _mark_lines(sitter: dict[str, Any], units: str) -> list[str]:
    """Return what the marks made of place and splay; nothing without marks."""
    if "marks" not in sitter:
        return []
    known = sitter["marks"]["estimates"]
    words = [
        f"{what} {format_length(known[key]['value'], units, decimals=0)} (was "
        f"{format_length(known[key]['before'], units, decimals=0)})"
        for what, key in (("sit bones", "along_mm"), ("spacing", "sit_bone_spacing_mm"))
    ]
    splay = known["splay_deg"]
    words.append(f"each thigh {splay['value']:.0f} deg outward (was {splay['before']:.0f})")
    count = sitter["marks"]["count"]
    marks = "1 mark" if count == 1 else f"{count} marks"
    return [f"{f'Corrected by {marks}':<26} {', '.join(words)}"]


def _depth_lines(rows: list[dict[str, float]], units: str) -> list[str]:
    lines, last = [], rows[0]
    for number, row in enumerate(rows):
        word, than = "", format_length(last["depth_mm"], units)
        change = row["peak_kpa"] / last["peak_kpa"] - 1.0
        if number and abs(change) >= FELT_SHARE:
            word, last = f"can be felt to press {'less' if change < 0.0 else 'more'} than {than}", row
        elif number:
            word = f"feels like {than}"
        depth = format_length(row["depth_mm"], units)
        lines.append(f"  {depth:>10}  {row['peak_kpa']:5.1f} kPa  {word}".rstrip())
    return lines


def _wrapped(texts: list[str], width: int) -> list[str]:
    return [line for text in texts for line in wrapped(text, width, first="- ", then="  ")]
