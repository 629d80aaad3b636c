"""What a job sheet says in words: wood, wishes, figures, measures, and the sitters side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from seatmesh.body.body import Measure
from seatmesh.body.measures import MEASURES
from seatmesh.design.report.boards_report import board_lines, boards_report
from seatmesh.design.report.unmeasured_report import unmeasured_sentences
from seatmesh.design.shape import Design
from seatmesh.place_words import aside
from seatmesh.seating.figures import FELT_SHARE
from seatmesh.seating.load import GRAVITY
from seatmesh.seating.sureness.model_error import BODIES_TIE_SHARE
from seatmesh.sheets.bench.seat_height import height_words, seat_height
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.units import peak_square

ORIGINS = {"measured": "", "given": " given", "estimated": " est."}
"""What stands behind a measure: est. is estimated from the others."""
Table = tuple[tuple[str, ...], ...]
UNMEASURED_SENTENCES = 2
"""Of what was not measured of a sitter, the most that has room under a table of four sitters."""


UNSETTLED = (
    "The search for the shape that presses least was stopped before it settled: a longer one may find a shape that "
    "presses a little less."
)


def percent(share: float) -> str:
    """Return a share as whole percent."""
    return f"{100.0 * share:.0f} %"


def wood_words(design: Design, wood: str, says: Speech) -> list[str]:
    """Return what the blank and the chair are."""
    blank = design.seat.blank
    size = " x ".join(says.length(one) for one in (blank.width_mm, blank.depth_mm, blank.thickness_mm))
    boards = "one board" if blank.boards == 1 else f"{blank.boards} boards side by side"
    out = [
        f"Blank {size} (across, front to rear, thick), {wood}, {boards}.",
        f"Deck {says.length(blank.deck_mm)} from the rear edge stays flat; at least {says.keep(blank.floor_mm)} of "
        "wood stay under the hollow.",
    ]
    known = boards_report(design.order, design.seat)
    if known is not None:
        out += board_lines(known, says.units)
    if blank.joints:
        count = sum(2 if one.side == "both" else 1 for one in blank.joints)
        out.append(f"Wood is kept at {count} places, for legs, posts and whatever else is let in.")
    bodies = [guest.sitter.body for guest in design.guests]
    return [*out, *height_words(design.seat, seat_height(design.seat, bodies), says)]


def wish_words(design: Design, says: Speech) -> list[str]:
    """Return what was asked for."""
    wishes = design.order.wishes
    out = [f"Hollow {says.depth(wishes.depth_mm)} deep at its deepest."]
    if wishes.deepest_y_mm is not None:
        out.append(f"Deepest line {says.length(wishes.deepest_y_mm)} from the rear edge.")
    if wishes.pommel_mm > 0.0:
        out.append(
            f"Pommel {says.length(wishes.pommel_mm)} high, gone {says.length(wishes.pommel_length_mm)} behind the "
            "front edge."
        )
    roll = wishes.front_roll_mm
    out.append(f"Front roll of {says.length(roll)} radius." if roll > 0.0 else "No front roll.")
    if wishes.tailbone_relief_mm > 0.0:
        out.append(f"{says.length(wishes.tailbone_relief_mm)} more depth under the tip of the tailbone.")
    out.append(
        f"Follows the body by {percent(wishes.closeness)}: 0 % is a gentle dish, 100 % the body itself."
    )
    if design.order.log:
        count = len(design.order.log)
        out.append("1 adjustment after a fitting." if count == 1 else f"{count} adjustments after fittings.")
    return out


def seat_words(figures: dict[str, Any], says: Speech) -> list[str]:
    """Return what came of it, of the seat as a whole."""
    hollow = figures["hollow"]
    if hollow["deepest_mm"] <= 0.0:
        return ["The top face stays flat."]
    where = aside(hollow["deepest_x_mm"], says.units, "both" if hollow["mirrored"] else "one")
    count = figures["fairness_count"]
    fair = "The surface is fair: no undulation beyond those that wishes and joints call for."
    ending = figures.get("ending")
    stopped = [] if ending is None or ending["converged"] else [UNSETTLED]
    return [
        f"The hollow is {says.depth(hollow['deepest_mm'])} at its deepest, {says.length(hollow['deepest_y_mm'])} "
        f"from the rear edge, {where}.",
        f"{says.depth(hollow['floor_left_mm'])} of wood are left there.",
        fair if count == 0 else f"{count} undulations more than wishes and joints call for.",
        *stopped,
    ]


def sitter_words(sitter: dict[str, Any], says: Speech) -> list[str]:
    """Return what the seat does for one sitter, against the flat blank."""
    flat, best = sitter["flat"], sitter["best"]
    peak, bare = best["peak_kpa"], flat["peak_kpa"]
    change = peak / bare - 1.0
    felt = "a difference that can be felt" if abs(change) >= FELT_SHARE else "too little to be felt"
    out = [
        f"Where it presses hardest the pressure is {peak:.0f} kPa; a flat board would press with {bare:.0f} kPa. "
        f"That is {100.0 * abs(change):.0f} % {'less' if change <= 0.0 else 'more'}, {felt}. {_kpa_words(says)}",
        f"{says.area(best['contact_area_cm2'])} of the seat carry what {says.mass(best['load_n'] / GRAVITY, 0)} weigh; "
        f"of a flat board it would be {says.area(flat['contact_area_cm2'])}. The feet carry "
        f"{percent(best['feet_share'])} of the weight.",
        f"Front edge to knee-back {says.length(best['knee_clearance_mm'])}; tailbone "
        f"{says.length(best['tailbone_clearance_mm'])} above the seat.",
    ]
    if "loss_percent" in sitter:
        loss = sitter["loss_percent"]
        small = "" if abs(loss) >= 100.0 * FELT_SHARE else ", less than can be felt"
        out.append(f"Sharing the seat costs {loss:+.0f} % against one made for this sitter alone{small}.")
    return out


def _kpa_words(says: Speech) -> str:
    """Return what a kPa is to somebody who has never met one (1 kPa = 1000 N on 1 m2; 1 psi = 6.894757 kPa)."""
    if says.units == "in":
        return "(7 kPa are about one pound on each square inch.)"
    return "(10 kPa are about the weight of 100 g on each square centimetre.)"


def figure_words(says: Speech) -> str:
    """Return what the figures of pressure in tables are."""
    return (
        f"Pressure is told in kPa. {_kpa_words(says)[1:-1]} The peak is the pressure where it presses hardest, the "
        f"mean of {peak_square(says.units)}."
    )


def unmeasured_words(sitters: Sequence[dict[str, Any]], says: Speech) -> list[str]:
    """Return what quantities that nobody measured do to the peak of each sitter, the greatest of them first."""
    return [
        f"{one['name']}: {words}"
        for one in sitters
        for words in unmeasured_sentences(one["not_measured"], one["best"]["peak_kpa"], says.units)[
            :UNMEASURED_SENTENCES
        ]
    ]


def measures_table(design: Design, says: Speech) -> Table:
    """Return every sitter's measures, a row each; what was not measured is marked."""
    bodies = [guest.sitter.body for guest in design.guests]
    rows = [("", *(body.name for body in bodies))]
    for kind in MEASURES.values():
        known = [body.measures.get(kind.name) for body in bodies]
        if any(known):
            rows.append((kind.title, *(_measure_cell(kind.unit, one, says) for one in known)))
    return tuple(rows)


def _measure_cell(unit: str, one: Measure | None, says: Speech) -> str:
    if one is None:
        return "not stated"
    # A tape is read to 1 mm; in inches the fraction is that of the measure itself, as everywhere else.
    millimetre = round(one.value) if says.units == "mm" else one.value
    spoken = {"kg": lambda: says.mass(one.value, 0), "mm": lambda: says.length(millimetre)}
    text = spoken[unit]() if unit in spoken else f"{one.value:.0f} {'%' if unit == 'percent' else unit}"
    return f"{text}{ORIGINS[one.origin]}"


def comparison_table(figures: dict[str, Any], says: Speech) -> Table:
    """Return the sitters side by side on the finished seat."""
    sitters = figures["sitters"]
    rows = (
        ("peak on the flat blank, kPa", lambda one: f"{one['flat']['peak_kpa']:.0f}"),
        ("peak on this seat, kPa", lambda one: f"{one['best']['peak_kpa']:.0f}"),
        ("mean on this seat, kPa", lambda one: f"{one['best']['mean_kpa']:.1f}"),
        ("contact area", lambda one: says.area(one["best"]["contact_area_cm2"])),
        ("weight on the seat", lambda one: says.mass(one["best"]["load_n"] / GRAVITY, 0)),
        ("front edge to knee-back", lambda one: says.length(one["best"]["knee_clearance_mm"])),
        ("tailbone above the seat", lambda one: says.length(one["best"]["tailbone_clearance_mm"])),
    )
    return (("", *(one["name"] for one in sitters)), *((words, *map(of, sitters)) for words, of in rows))


def comparison_words(figures: dict[str, Any]) -> str:
    """Return who is pressed hardest against who least; differences that the model cannot tell are called equal."""
    sitters = figures["sitters"]
    if len(sitters) < 2:
        return ""
    by_peak = sorted(sitters, key=lambda one: float(one["best"]["peak_kpa"]))
    least, most = by_peak[0], by_peak[-1]
    share = most["best"]["peak_kpa"] / least["best"]["peak_kpa"] - 1.0
    tie = percent(BODIES_TIE_SHARE)
    if share < BODIES_TIE_SHARE:
        return f"All sitters are pressed alike: their peaks differ by less than {tie}, which the estimate cannot tell."
    return (
        f"{most['name']} is pressed hardest, {percent(share)} more than {least['name']}, who is pressed least. "
        f"Differences between people under {tie} cannot be told."
    )
