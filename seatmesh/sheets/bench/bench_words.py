"""What the bench card says in words: deepest place, stations, datum points, order of work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from seatmesh.deepest import deepest_places
from seatmesh.place_words import place
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.cards.card_drawing import where
from seatmesh.sheets.holes.bit import STOP_SET_TO, bit_words
from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.holes.hole_words import NAME as HOLES_NAME
from seatmesh.sheets.sheet_wishes import Speech
from seatmesh.sheets.stages.stage import Stage, datum_points
from seatmesh.sheets.stages.stage_words import HEADINGS, last_works
from seatmesh.surface import Seat

Pages = Mapping[str, str]
"""On which page each drawing stands, in words, by the drawing's name."""


def deepest_words(seat: Seat, says: Speech) -> tuple[str, ...]:
    """Return the deepest place, how deep it is and what wood is left there."""
    places = deepest_places(seat)
    if not places:
        return ("The top face stays flat.",)
    out = []
    for one in places:
        left = float(seat.wood_left_mm(one.x_mm, one.y_mm))
        at = place(one.x_mm, one.y_mm, says.units, step=says.inch_step)
        out.append(f"{says.depth(one.depth_mm)} deep, {at}; {says.depth(left)} of wood are left under it.")
    return (*out, f"The floor asked for is {says.keep(seat.blank.floor_mm)} everywhere.")


def station_rows(cards: Sequence[Card], says: Speech) -> tuple[str, ...]:
    """Return every station with its letter, its place and its greatest depth behind the front roll."""
    out = []
    for card in cards:
        u, height = card.edge_mm.T
        last = card.roll_mm if card.station.runs == "along" and card.roll_mm is not None else u[-1]
        most = says.depth(float(-height[u <= last].min()))
        out.append(f"{card.station.name}  {where(card, says)}: {most} at most")
    return tuple(out)


def datum_rows(seat: Seat, says: Speech) -> tuple[str, ...]:
    """Return the datum points by rows: they stay uncut until the last works, so all is measured from them."""
    rows: dict[float, list[tuple[str, float]]] = {}
    for name, x, y in datum_points(seat):
        rows.setdefault(y, []).append((name.split(" ", 1)[0], abs(x)))
    out = []
    for y, found in rows.items():
        aside = max(x for _, x in found)
        middle = ", and one on the centre line" if any(x == 0.0 for _, x in found) else ""
        out.append(
            f"{found[0][0]}: {says.length(y)} from the rear edge, {says.length(aside)} to either side{middle}"
        )
    return tuple(out)


def work_order(
    seat: Seat, stages: Sequence[Stage], holes: DepthHoles | None, pages: Pages
) -> tuple[str, ...]:
    """Return the order of work, a step a line, with the pages that each needs; nothing that the seat lacks."""
    blank = seat.blank
    steps = []
    if blank.glue_lines():
        steps.append("Glue up the boards, plane top face and underside flat and parallel.")
    steps.append(
        f"Lay the plan{_on(pages, 'Plan')} on the blank; prick through centre line, stations and datum points."
    )
    drilled = [one for one in blank.joints if one.diameter_mm > 0.0 and one.kind != "circle"]
    if drilled:
        steps.append("Drill the joints to the table, each face while it is still flat.")
    if holes is not None and holes.holes:
        steps.append(f"Drill the depth holes to their stops{_on(pages, HOLES_NAME)}.")
    for stage in stages[:-1]:
        name = f"Stage {stage.number}: {HEADINGS[stage.name]}"
        steps.append(f"Carve {HEADINGS[stage.name]}{_on(pages, name)}.")
    if not stages and holes is not None and holes.holes:
        steps.append(
            "Carve until every hole is all but gone, the deepest last; where one is gone, stop there."
        )
    if seat.hollow is not None:
        steps.append(
            f"Scrape and sand to the section cards{_on(pages, 'Section cards')}; sit on it, read the gauge."
        )
    steps.append(f"Then {', '.join(last_works(seat))}.")
    return tuple(f"{number}. {step}" for number, step in enumerate(steps, 1))


def _on(pages: Pages, name: str) -> str:
    found = pages.get(name)
    return f" ({found})" if found else ""


def hole_lines(holes: DepthHoles | None, says: Speech) -> tuple[str, ...]:
    """Return bit, rule and stops: all holes of one setting of the stop in a line, the shallowest first."""
    if holes is None or not holes.holes:
        return ()
    by_stop: dict[str, list[str]] = {}
    for one in sorted(holes.holes, key=lambda one: one.stop_mm):
        by_stop.setdefault(says.depth(one.stop_mm), []).append(f"{one.number}{'*' if one.is_deepest else ''}")
    return tuple(f"stop {stop}: {', '.join(numbers)}" for stop, numbers in by_stop.items())


def hole_rule(holes: DepthHoles, says: Speech) -> str:
    """Return what bit the stops are for and what they are set to."""
    return (
        f"Only with this bit: {bit_words(holes.bit, says.units)}. Stop set to the {STOP_SET_TO}; after each stop the "
        "numbers of its holes on the plan, * at the deepest place."
    )
