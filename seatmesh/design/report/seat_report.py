"""What a report says of a seat, as one object for programs; `seatmesh.design.report.report_text` puts it in words."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from seatmesh.cautions import CAUTIONS
from seatmesh.design.log.log_bounds import bound_notes
from seatmesh.design.orders.order_sitters import OrderedSitter
from seatmesh.design.report.boards_report import boards_report
from seatmesh.design.report.plain import ending_notes, ending_report, rounded
from seatmesh.design.report.reach_report import reach_notes, reach_report
from seatmesh.design.report.stage_report import stages_report
from seatmesh.design.report.wish_notes import (
    fairness_notes,
    place_notes,
    rim_notes,
    shortfall_notes,
    wish_notes,
)
from seatmesh.design.report.wood_notes import built_notes, held_back_notes, pommel_mm, wood_notes
from seatmesh.design.shape import Design, SitterResult, depths_of
from seatmesh.fit.bounded.bounds import held_back_mm
from seatmesh.fit.fair.fairness import undulations
from seatmesh.fit.hollow import deepest, deepest_place, is_mirrored
from seatmesh.seating.figures_in_words import notes
from seatmesh.seating.sitting import Sitting
from seatmesh.solution import CONVERGED
from seatmesh.surface import Seat
from seatmesh.units import format_length


def report(design: Design) -> dict[str, Any]:
    """Return the figures of a design under the keys of the project's reference."""
    seat, order = design.seat, design.order
    reach = reach_report(seat, order.tools)
    pairs = zip(design.results, order.sitters, strict=True)
    figures: dict[str, Any] = rounded(
        {
            "title": seat.title,
            "units": seat.units,
            "blank": _blank(seat),
            "wood": boards_report(order, seat),
            "chair": {"front_height_mm": seat.chair.front_height_mm, "rake_deg": seat.chair.rake_deg},
            "hollow": _hollow(design),
            "fairness_count": undulations(seat),
            "fairness_mm": design.fairness_mm,
            "ending": ending_report(seat.ending),
            "reach": reach,
            "stages": stages_report(order, seat),
            "adjustments": list(design.effects),
            "sitters": [_sitter(result, ordered, design) for result, ordered in pairs],
            "notes": [*_notes(design), *reach_notes(reach, seat.units)],
            "cautions": list(CAUTIONS),
        }
    )
    return figures


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
        "deck_line": blank.deck_line,
        "deck_bow_mm": blank.deck_bow_mm,
        "outline": "the maker's own" if blank.own_outline_mm else blank.outline,
    }


def _hollow(design: Design) -> dict[str, Any]:
    seat, most = design.seat, design.held_back
    x, y, depth = deepest_place(seat)
    if depth <= 0.0:
        return {"deepest_mm": 0.0, "floor_left_mm": seat.blank.thickness_mm}
    held = {} if seat.hollow is None else held_back_mm(seat, *deepest(seat.hollow)[:2])
    return {
        "deepest_mm": depth,
        "deepest_x_mm": x,
        "deepest_y_mm": y,
        "mirrored": is_mirrored(seat),
        "floor_left_mm": float(seat.wood_left_mm(x, y)),
        **held,
        "held_back_most_mm": most.depth_mm if most.verdict == CONVERGED else None,
        "held_back_most_at_mm": [most.x_mm, most.y_mm] if most.depth_mm > 0.0 else None,
        "deepest_from": _deepest_from(design, y),
        "pommel_mm": pommel_mm(seat),
        "pommel_wish_mm": design.order.wishes.pommel_mm,
        "front_roll_mm": seat.front_roll_mm,
    }


def _deepest_from(design: Design, y_mm: float) -> list[dict[str, Any]]:
    """Return how far behind each sitter's sit bones the deepest place lies, and how far ahead of the tailbone's tip."""
    out = []
    for guest in design.guests:
        bones = guest.sitter.at_mm[1]
        tip = bones + guest.sitter.seated.tailbone_tip[1]
        out.append(
            {
                "name": guest.sitter.body.name,
                "behind_sit_bones_mm": bones - y_mm,
                "ahead_of_tailbone_mm": y_mm - tip,
            }
        )
    return out


def _sitter(result: SitterResult, ordered: OrderedSitter, design: Design) -> dict[str, Any]:
    figures = {
        "name": result.best.body.name,
        "peak_flat_kpa": result.flat.figures.peak_kpa,
        "peak_closed_form_kpa": result.closed_form.figures.peak_kpa,
        "peak_best_kpa": result.before_adjustments_kpa,
        "contact_area_flat_cm2": result.flat.figures.contact_area_cm2,
        "contact_area_best_cm2": result.best.figures.contact_area_cm2,
        "fairness_count": undulations(design.unadjusted),
        "peak_by_depth": [{"depth_mm": depth, "peak_kpa": peak} for depth, peak in result.peak_by_depth],
    }
    if design.order.log:
        figures["peak_adjusted_kpa"] = result.best.figures.peak_kpa
    if result.own_seat_kpa is not None:
        figures["peak_own_seat_kpa"] = result.own_seat_kpa
        figures["own_seat_ending"] = ending_report(result.own_seat_ending)
        figures["loss_percent"] = 100.0 * (result.before_adjustments_kpa / result.own_seat_kpa - 1.0)
    if ordered.correction is not None:
        figures["marks"] = _marks(ordered)
    return figures | {"flat": sitting_report(result.flat), "best": sitting_report(result.best)}


def _marks(ordered: OrderedSitter) -> dict[str, Any]:
    """Return what marks made of body and place, each estimate before and after."""
    correction = ordered.correction
    if correction is None:
        return {}
    return {
        "count": len(ordered.marks),
        "questions": ordered.questions("mm"),
        "uneven": [asdict(one) for one in correction.uneven],
        "estimates": {
            name: {
                "before": one.before,
                "before_error": one.before_error,
                "value": one.value,
                "standard_error": one.standard_error,
            }
            for name, one in correction.estimates.items()
        },
    }


def _depth_notes(result: SitterResult, design: Design) -> list[str]:
    """Say which depths are left out because the sitter finds no balance there."""
    units, known = design.order.units, {depth for depth, _ in result.peak_by_depth}
    missing = [format_length(one, units) for one in depths_of(design.order) if one not in known]
    if not missing:
        return []
    return [f"{result.best.body.name} finds no balance on seats {', '.join(missing)} deep"]


def _notes(design: Design) -> list[str]:
    seat = design.seat
    out = ending_notes(seat.ending)
    for result in design.results:
        out += ending_notes(result.own_seat_ending, f"the seat for {result.best.body.name} alone")
        out += _depth_notes(result, design)
    out += [words for one in design.order.sitters for words in one.questions(seat.units)]
    out += bound_notes(design.unadjusted, design.order.log)
    out += wish_notes(design.order.wishes, seat) + wood_notes(seat, design.order.wood.glue_clear_mm)
    out += built_notes(design.order.built, seat)
    out += shortfall_notes(design.order.wishes, design.unadjusted)
    out += rim_notes(design.order.wishes, [result.best for result in design.results])
    out += held_back_notes(design.held_back, seat.units) + fairness_notes(design.fairness_mm)
    for guest in design.guests:
        out += notes(guest.sitter, seat) + place_notes(guest, seat)
    return list(dict.fromkeys(out))
