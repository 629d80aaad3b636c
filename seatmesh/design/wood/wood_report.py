"""What is said of a seat's wood, as one object for programs; `seatmesh.design.wood.wood_text` puts it in words."""

from __future__ import annotations

from typing import Any

from seatmesh.cautions import STRENGTH
from seatmesh.design.report.plain import rounded
from seatmesh.design.wood.wood_study import WoodStudy
from seatmesh.place_words import roughly
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.moisture import HIGH_PERCENT, LOW_PERCENT, extrapolates
from seatmesh.wood.boards.wood_wishes import LOAD_N
from seatmesh.woodwork.floor.floor_bending import FloorCase
from seatmesh.woodwork.floor.floor_load import LEG_GPA, LEG_LONG_MM
from seatmesh.woodwork.floor.weak_places import WeakPlace
from seatmesh.woodwork.seat_movement import LEFT_OUT, RoomMovement
from seatmesh.woodwork.variants import places, ranked

FLOOR_GUIDE = (
    "A guide, not a proof. Strengths are means of small clear pieces at 12 % moisture; knots, short grain, a dry joint "
    "or a blow are none of them. Shear, wear, joints that work loose, a load on the back and the sideways push of "
    "splayed legs are left out, and glue is taken to be as strong as the wood. Test a chair as your local furniture "
    "standard asks."
)
LOAD_SOURCE = "static seat load of a domestic chair, ten times (EN 12520, from memory)"
PAD_SOURCE = (
    "on a pad 200 mm across at the sitting place, and again near the front edge (EN 1728, from memory)"
)


def wood_report(study: WoodStudy) -> dict[str, Any]:
    """Return the figures of a study."""
    figures: dict[str, Any] = rounded(
        {
            "title": study.seat.title,
            "boards": [_board(study, number) for number in range(len(study.layup.boards))],
            "boards_given": study.layup.given,
            "glue_lines_mm": list(study.layup.glue_lines_mm),
            "plank": _plank(study),
            "movement": _movement(study),
            "mass_kg": study.masses.mass_kg,
            "carved_cm3": study.masses.carved_mm3 / 1000.0,
            "removed_cm3": study.masses.off_rough_mm3 / 1000.0,
            "removed_kg": study.masses.off_rough_kg,
            "species": [_species(one) for one in study.species],
            "variants": _variants(study),
            "short_grain": [
                {"what": one.what, "x_mm": one.x_mm, "y_mm": one.y_mm, "length_mm": one.length_mm}
                for one in study.short
            ],
            "scrape_share": study.scrape_share,
            "floor": _floor(study),
            "notes": notes(study),
            "cautions": [STRENGTH],
        }
    )
    return figures


def notes(study: WoodStudy) -> list[str]:
    """Return what is assumed, stands in, or runs where it should not."""
    layup = study.layup
    out = []
    if not layup.given:
        out.append(
            "the order has no [[board]]: boards of white oak, flat-sawn, bark side up are assumed, and every figure "
            "here holds for those alone"
        )
    for board in layup.boards if layup.given else ():
        if board.assumed:
            out.append(f"board {board.number}: not stated, so taken as usual: {_assumed(board)}")
    for name, more in {board.species.name: board.species.notes for board in layup.boards}.items():
        out += [f"{name}: {one}" for one in more]
    if all(board.rise_deg == 0.0 and board.aside_deg == 0.0 for board in layup.boards):
        out.append("no board states its slope of grain: fibres are taken to run level, front to rear")
    for room in (study.order.wood.shop, *study.order.wood.rooms):
        if extrapolates(room.moisture_percent):
            out.append(
                f"{room.name}: {room.moisture_percent:.1f} % moisture lies outside {LOW_PERCENT:g} to "
                f"{HIGH_PERCENT:g} %, for which the coefficients of movement hold: its figures are an extrapolation"
            )
    if study.floor is not None and study.floor.least.factor < study.order.wood.factor:
        least = study.floor.least.factor
        said = (
            "it would break" if least < 1.0 else f"less than the factor {study.order.wood.factor:g} asked for"
        )
        out.append(
            f"the floor is {least:.1f} times as strong as the load of {study.order.wood.load_n:.0f} N: {said}; leave "
            "more wood, choose a stronger one, or move glue lines and legs"
        )
    return [*out, *study.glue_notes, *([study.floor_note] if study.floor_note else [])]


def _assumed(board: Board) -> str:
    usual = {"species": board.species.name, "rings": board.cut_word, "bark": f"bark side {board.bark}"}
    return ", ".join(usual[one] for one in board.assumed)


def _board(study: WoodStudy, which: int) -> dict[str, Any]:
    board = study.layup.boards[which]
    left, right = study.layup.spans_mm[which]
    aside, up = board.pith_lies_mm
    rough = study.rough[which]
    return {
        "number": board.number,
        "left_mm": left,
        "right_mm": right,
        "width_mm": board.width_mm,
        "species": board.species.name,
        "rings": board.cut_word,
        "ring_angle_deg": board.ring_angle_deg,
        "pith_aside_mm": aside,
        "pith_above_mm": up,
        "bark": board.bark,
        "turned": board.is_turned,
        "rise_deg": board.rise_deg,
        "aside_deg": board.aside_deg,
        "assumed": list(board.assumed),
        "rough_mm": [rough.width_mm, rough.length_mm, rough.thickness_mm],
    }


def _plank(study: WoodStudy) -> dict[str, Any]:
    rough = study.rough
    one = study.plank
    out: dict[str, Any] = {
        "thickness_mm": rough[0].thickness_mm,
        "length_mm": rough[0].length_mm,
        "widths_mm": [board.width_mm for board in rough],
        "volume_cm3": sum(board.volume_mm3 for board in rough) / 1000.0,
    }
    if one is not None:
        out["at_hand"] = {
            "boards": one.boards,
            "enough": one.enough,
            "why_not": one.why_not(study.seat.units),
        }
    return out


def _movement(study: WoodStudy) -> dict[str, Any]:
    most = max(study.movement, key=lambda one: abs(one.width_change_mm))
    return {
        "from_percent": most.from_percent,
        "to_percent": most.to_percent,
        "width_change_mm": most.width_change_mm,
        "cup_mm": most.cup_mm,
        "rooms": [_room(one, study.seat.units) for one in study.movement],
        "extrapolated": any(
            extrapolates(one.moisture_percent) for one in (study.order.wood.shop, *study.order.wood.rooms)
        ),
        "left_out": LEFT_OUT,
    }


def _room(one: RoomMovement, units: str) -> dict[str, Any]:
    return {
        "room": one.room.name,
        "words": one.room.words,
        "from_percent": one.from_percent,
        "to_percent": one.to_percent,
        "width_change_mm": one.width_change_mm,
        "thickness_change_mm": max((board.thickness_change_mm for board in one.boards), key=abs),
        "cup_mm": one.cup_mm,
        "panel_cup_mm": one.panel_cup_mm,
        "boards": [
            {"width_change_mm": board.width_change_mm, "cup_mm": board.cup_mm} for board in one.boards
        ],
        "joints": [
            {
                "joint": joint.number,
                "kind": joint.joint.kind,
                "label": joint.joint.said(units),
                "apart_mm": joint.apart_mm,
                "apart_change_mm": joint.apart_change_mm,
                "bore_change_mm": joint.bore_change_mm,
            }
            for joint in one.joints
        ],
    }


def _variants(study: WoodStudy) -> list[dict[str, Any]]:
    some = ranked(study.variants)
    all_ = places(some)
    return [
        {
            "place": place,
            "tied": all_.count(place) > 1,
            "name": one.name,
            "symmetry": one.symmetry,
            "match": one.match,
        }
        for place, one in zip(all_, some, strict=True)
    ]


def _species(one: Any) -> dict[str, Any]:
    wood = one.species
    return {
        "species": wood.name,
        "own": wood.own,
        "density_kg_m3": wood.density_kg_m3,
        "mass_kg": one.mass_kg,
        "winter_mm": one.winter_mm,
        "summer_mm": one.summer_mm,
        "bending_mpa": wood.bending_mpa,
        "stiffness_gpa": wood.stiffness_gpa,
        "across_mpa": wood.across_mpa,
        "notes": list(wood.notes),
    }


def _floor(study: WoodStudy) -> dict[str, Any]:
    wishes, floor = study.order.wood, study.floor
    source = LOAD_SOURCE if wishes.load_n == LOAD_N else "as the order gives it"
    base: dict[str, Any] = {
        "load_n": wishes.load_n,
        "load_source": f"{source}; {PAD_SOURCE}",
        "guide": FLOOR_GUIDE,
        "least_factor": None,
        "where": None,
    }
    if floor is None:
        return base | {"note": study.floor_note}
    thinnest = study.thinnest
    ratios = {board.species.name: board.species.ratios.source for board in study.layup.boards}
    return base | {
        "least_factor": floor.least.factor,
        "where": _where(floor.worst, floor.least, study.seat.units),
        "floor_mm": floor.floor_mm,
        "deflection_mm": floor.worst.deflection_mm,
        "legs": [{"x_mm": leg.x_mm, "y_mm": leg.y_mm, "diameter_mm": leg.diameter_mm} for leg in floor.legs],
        "legs_given": floor.own_legs,
        "leg_words": f"legs {LEG_LONG_MM:g} mm long of {LEG_GPA:g} GPa along the grain",
        "cases": [_case(one, study.seat.units) for one in floor.cases],
        "wanted_factor": wishes.factor,
        "thinnest_floor_mm": None if thinnest is None else thinnest.floor_mm,
        "thinnest_factor": None if thinnest is None else thinnest.reached,
        "tried": []
        if thinnest is None
        else [{"floor_mm": mm, "factor": factor} for mm, factor in thinnest.tried],
        "elastic_ratios": ratios,
    }


def _case(one: FloorCase, units: str) -> dict[str, Any]:
    return {
        "load_at": one.pad.name,
        "x_mm": one.pad.x_mm,
        "y_mm": one.pad.y_mm,
        "deflection_mm": one.deflection_mm,
        "legs_n": list(one.legs_n),
        "weakest": [
            {
                "way": weak.said(units),
                "factor": weak.factor if weak.factor < 1e6 else None,
                "stress_mpa": weak.stress_mpa,
                "x_mm": weak.x_mm,
                "y_mm": weak.y_mm,
                "face": weak.face,
                "where": roughly(weak.x_mm, weak.y_mm, units),
            }
            for weak in one.weakest
        ],
    }


def _where(case: FloorCase, weak: WeakPlace, units: str) -> str:
    there = roughly(weak.x_mm, weak.y_mm, units)
    return f"{weak.said(units)}, {weak.face}, {there}, with the load at {case.pad.name}"
