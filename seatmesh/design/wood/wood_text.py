"""The report on a seat's wood in words, for the maker."""

from __future__ import annotations

from typing import Any

from seatmesh.design.wood.floor_text import floor_lines, items, titled
from seatmesh.place_words import aside, roughly
from seatmesh.units import (
    format_change,
    format_length,
    format_mass,
    format_no_less,
    format_no_more,
    format_size,
    format_volume,
    wrapped,
)
from seatmesh.wood.boards.movement import cup_words
from seatmesh.wood.joint import FROM_ABOVE

WIDTH = 96


def wood_text(figures: dict[str, Any], units: str, width: int = WIDTH) -> str:
    """Return the report in words."""
    title = f"{figures['title']}: the wood"
    lines = [title, "=" * len(title), ""]
    for heading, part in (
        ("Boards, from the sitter's left", _boards(figures, units)),
        ("The plank", _plank(figures, units, width)),
        ("Movement", _movement(figures, units, width)),
        ("The floor", floor_lines(figures["floor"], units, width)),
        ("Short grain", _short(figures, units, width)),
        ("The way to cut", _cut(figures)),
        ("Ways to lay the boards, most even figure first", _variants(figures)),
        ("Woods for this seat", _species(figures, units)),
    ):
        lines += [heading, "-" * len(heading), *part, ""]
    if figures["notes"]:
        lines += ["To note", *items(figures["notes"], width), ""]
    lines += ["Cautions", *items(figures["cautions"], width), ""]
    return "\n".join(lines)


def _boards(figures: dict[str, Any], units: str) -> list[str]:
    out = []
    for one in figures["boards"]:
        turned = ", turned end for end" if one["turned"] else ""
        out.append(
            f"{one['number']}  {format_length(one['width_mm'], units)} {one['species']}, {one['rings']} "
            f"(rings at {one['ring_angle_deg']:.0f} deg), bark side {one['bark']}{turned}"
        )
    if figures["glue_lines_mm"]:
        lines = ", ".join(aside(x, units) for x in figures["glue_lines_mm"])
        out.append(f"Glue lines     {lines}")
    return out


def _plank(figures: dict[str, Any], units: str, width: int) -> list[str]:
    plank = figures["plank"]
    # A board a little too small is a board too few: fractions are rounded up.
    widths = " + ".join(format_no_less(one, units) for one in plank["widths_mm"])
    rows = [
        (
            "Rough",
            f"{widths} wide, {format_no_less(plank['length_mm'], units)} long, "
            f"{format_no_less(plank['thickness_mm'], units)} thick",
        ),
        (
            "Finished seat",
            f"{format_mass(figures['mass_kg'], units)}; {format_volume(figures['carved_cm3'], units)} are carved out, "
            f"{format_volume(figures['removed_cm3'], units)} ({format_mass(figures['removed_kg'], units)}) taken off "
            "in all",
        ),
    ]
    if "at_hand" in plank:
        hand = plank["at_hand"]
        said = (
            "it holds the boards of this seat" if hand["enough"] else f"it is not enough: {hand['why_not']}"
        )
        boards = f"{hand['boards']} board{'' if hand['boards'] == 1 else 's'} as wide as the widest"
        rows.append(("Your plank", f"gives {boards}; {said}"))
    return [line for name, words in rows for line in titled(name, words, width)]


def _movement(figures: dict[str, Any], units: str, width: int) -> list[str]:
    move = figures["movement"]
    out = [f"Made with wood at {move['from_percent']:.1f} %."]
    for room in move["rooms"]:
        out.append(room["words"])
        wide, thick = (format_change(room[f"{one}_change_mm"], units) for one in ("width", "thickness"))
        board, panel = (cup_words(room[one], units) for one in ("cup_mm", "panel_cup_mm"))
        told = [
            f"width {wide}, thickness {thick}, cup of a board {board}, of the glued panel left free {panel}",
            *(_joint(joint, units) for joint in room["joints"]),
        ]
        out += [line for words in told for line in wrapped(words, width, first="  ", then="    ")]
    return out + items([*_allow(move, units), move["left_out"]], width)


def _joint(joint: dict[str, Any], units: str) -> str:
    bore = joint["bore_change_mm"]
    way = "squeezes its part by" if bore < 0.0 else "opens by"
    which = "the bore that moves more" if joint["apart_mm"] else "the bore"
    said = f"joint {joint['joint']} ({joint['label']}): across the grain {which} {way} "
    said += format_size(bore, units, 2)
    if joint["apart_mm"]:
        apart = format_length(joint["apart_mm"], units, decimals=0)
        by = joint["apart_change_mm"]
        nearer = "nearer together" if by < 0.0 else "farther apart"
        said += f"; the pair, {apart} apart, comes {format_size(by, units)} {nearer}"
    return said


def _allow(move: dict[str, Any], units: str) -> list[str]:
    """Return what to allow for."""
    widths = [room["width_change_mm"] for room in move["rooms"]]
    span = max(*widths, 0.0) - min(*widths, 0.0)
    out = [
        f"Allow for {format_size(span, units)} of width between the driest and the dampest: nothing that "
        "keeps its length, such as a rail or a screwed batten, may hold both sides of the seat fast across the grain."
    ]
    posts = [
        joint["apart_change_mm"]
        for room in move["rooms"]
        for joint in room["joints"]
        if joint["kind"] in FROM_ABOVE and joint["apart_mm"]
    ]
    if posts:
        most = max(map(abs, posts))
        out.append(
            f"Posts along the deck move by up to {format_size(most, units)} against each other: a crest "
            "rail that joins them has to give so much, by the spring of the posts or by play in one joint."
        )
    return out


def _short(figures: dict[str, Any], units: str, width: int) -> list[str]:
    if not figures["short_grain"]:
        return ["None found at corners, edges, pommel or mortises."]
    told = [
        f"{one['what']}: {roughly(one['x_mm'], one['y_mm'], units)}; {_how_short(one, units)}"
        for one in figures["short_grain"]
    ]
    return [line for words in told for line in wrapped(words, width, then="  ")]


def _how_short(one: dict[str, Any], units: str) -> str:
    if one["what"] != "over a mortise":
        return f"fibres run out after {format_length(one['length_mm'], units, decimals=0)}"
    if one["length_mm"] <= 0.0:
        return "its end breaks through the hollow: do not drill it so deep"
    # Wood that is promised to be there is never told as more than it is.
    return f"{format_no_more(one['length_mm'], units)} of wood is left under the hollow"


def _cut(figures: dict[str, Any]) -> list[str]:
    share = figures["scrape_share"]
    part = "less than 1" if share < 0.01 else f"{100.0 * share:.0f}"
    said = (
        "Everywhere some direction goes with the grain."
        if share <= 0.0
        else f"Over {part} % of the hollow no direction is good: scrape or abrade there."
    )
    return [said, "Arrows are in way-to-cut.png, and on plan and stage sheets of an order with boards."]


def _variants(figures: dict[str, Any]) -> list[str]:
    out = []
    for one in figures["variants"]:
        place = f"{one['place']}{'=' if one['tied'] else ''}"
        match = f", match at the glue line {one['match']:.2f}" if len(figures["boards"]) > 1 else ""
        out.append(f"{place:<4}{one['name']}: symmetry {one['symmetry']:.2f}{match}")
    ties = "; = marks a tie" if any(one["tied"] for one in figures["variants"]) else ""
    said = f"1 is alike{ties}. Rings are taken as even and piths as straight: look at the boards too."
    return [*out, *wrapped(said, WIDTH)]


def _species(figures: dict[str, Any], units: str) -> list[str]:
    head = f"{'':<16}{'weight':>9}{'winter':>11}{'summer':>11}{'bending':>10}{'stiff':>8}{'across':>8}"
    rows = [head]
    for one in figures["species"]:
        own = " (own)" if one["own"] else ""
        rows.append(
            f"{one['species'] + own:<16}{format_mass(one['mass_kg'], units):>9}"
            f"{format_change(one['winter_mm'], units):>11}"
            f"{format_change(one['summer_mm'], units):>11}{_value(one['bending_mpa'], 0):>10}"
            f"{_value(one['stiffness_gpa'], 1):>8}{_value(one['across_mpa'], 1):>8}{'  *' if one['notes'] else ''}"
        )
    own = (
        "; what is marked (own) is as the order gives it"
        if any(one["own"] for one in figures["species"])
        else ""
    )
    source = f"Wood Handbook, FPL-GTR-190, at 12 % moisture{own}"
    rows += wrapped(f"Bending and across the grain in MPa, stiffness in GPa: {source}.", WIDTH)
    starred = [f"* {one['species']}: {'; '.join(one['notes'])}" for one in figures["species"] if one["notes"]]
    return rows + [line for text in starred for line in wrapped(text, WIDTH, then="  ")]


def _value(value: float | None, digits: int) -> str:
    return "unknown" if value is None else f"{value:.{digits}f}"
