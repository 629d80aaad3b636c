"""One page for a stage: a small plan with the datum points that are left, and what to do in words."""

from __future__ import annotations

from collections.abc import Sequence

from seatmesh.cautions import CUTTERS, STRENGTH
from seatmesh.paper.drawing import Circle, Drawing, DrawingLayer, Item, Words, line
from seatmesh.paper.grounds import grounded
from seatmesh.paper.page import Page, View
from seatmesh.paper.paper_sizes import Paper
from seatmesh.paper.tiles import FOOT_MM, MARGIN_MM
from seatmesh.sheets import ink
from seatmesh.sheets.cards.card import Card
from seatmesh.sheets.column import column
from seatmesh.sheets.holes.depth_hole import DepthHoles
from seatmesh.sheets.ink import words
from seatmesh.sheets.plan.contours import Contour, contours
from seatmesh.sheets.plan.plan_cut import CUT_RULE, cut_layers
from seatmesh.sheets.plan.plan_lines import box, contour_figures, cover
from seatmesh.sheets.plan.plan_wood import wood_layers
from seatmesh.sheets.sheet_wishes import SheetWishes, Speech
from seatmesh.sheets.stages.stage import Stage
from seatmesh.sheets.stages.stage_words import SIT, cards_stand, drilling, heading, takes, tools, uncut, work
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.species import Timber

PAGE_MM = (210.0, 279.4)
"""What fits A4 and Letter alike, less than either in neither way."""
SCALES = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 20.0)
PLAN_WIDE_MM, PLAN_HIGH_MM = 150.0, 112.0
CENTRE_ROOM_MM = 0.8


def stage_page(
    stage: Stage,
    wood: Timber,
    holes: DepthHoles | None,
    cards: Sequence[Card],
    wishes: SheetWishes,
    speech: Speech,
    paper: Paper,
) -> Page:
    """Return the page, without its foot, that tells how a stage is worked; `cards` are the finished seat's."""
    height = paper.height_mm if paper.height_mm is not None else PAGE_MM[1]
    wide = min(paper.width_mm, PAGE_MM[0])
    top = height - MARGIN_MM
    small, scale = small_plan(stage, speech, _layup(stage, wishes))
    x0, y0, x1, y1 = small.bounds_mm
    plan_low = top - 22.0 - (y1 - y0)
    shift = 0.5 * wide - 0.5 * (x0 + x1), plan_low - y0
    stand = cards_stand(stage, cards, speech)
    text = _text(stage, wood, holes, wishes, speech, wide, plan_low - 9.0, scale, stand)
    drawn = Drawing(
        heading(stage),
        (
            DrawingLayer(
                "heading",
                ink.FINE,
                (words(heading(stage), MARGIN_MM, top - 6.0, ink.TITLE, bold=True), *text),
            ),
            *small.moved(*shift).layers,
        ),
    )
    window = (0.0, MARGIN_MM + FOOT_MM - 3.0, paper.width_mm, height)
    return Page(heading(stage), paper.width_mm, height, (View(drawn, window, window[:2]),))


def small_plan(stage: Stage, speech: Speech, layup: Layup | None = None) -> tuple[Drawing, float]:
    """Return the plan at a scale that fits the page, and the scale as 1 to what."""
    blank = stage.seat.blank
    needed = max(blank.width_mm / PLAN_WIDE_MM, blank.depth_mm / PLAN_HIGH_MM)
    scale = next((one for one in SCALES if one >= needed), needed)
    shown = {"outline", "centre line", "deck line", "gutter"}
    wood = [one for one in wood_layers(blank, 50.0, speech) if one.name in shown]
    lines = contours(stage.seat, stage.lines_mm) if stage.lines_mm else ()
    full = Drawing(
        "small plan",
        (DrawingLayer("contours", ink.CONTOUR, tuple(line(one.points_mm) for one in lines)), *wood),
    )
    marks = _marks(stage, scale)
    taken = [box(one) for layer in marks for one in layer.items if isinstance(one, Words)]
    # Figures keep off the centre line, which runs through every closed contour.
    taken.append((-CENTRE_ROOM_MM, -1.0, CENTRE_ROOM_MM, blank.depth_mm / scale))
    small = [Contour(one.depth_mm, one.points_mm / scale) for one in lines]
    ground, figures = contour_figures(
        small, speech, taken, (blank.depth_mm - stage.seat.front_roll_mm) / scale
    )
    labels = (
        DrawingLayer("contour grounds", ink.GROUND, tuple(ground)),
        DrawingLayer("contour depths", ink.CONTOUR, tuple(figures)),
    )
    return grounded(
        full.scaled(1.0 / scale).with_layers((*cut_layers(stage.seat, layup, scale), *labels, *marks))
    ), scale


def _marks(stage: Stage, scale: float) -> tuple[DrawingLayer, ...]:
    blank = stage.seat.blank
    dots: list[Item] = []
    names: list[Words] = []
    grounds: list[Item] = []
    for name, x, y in stage.uncut:
        u, v = x / scale, y / scale
        dots.append(Circle((u, v), 1.4))
        half = 0.5 * blank.width_mm / scale
        # Words of the sides stand outside the outline.
        if u < -1.0:
            names.append(words(name, -half - 3.0, v - 0.9, ink.SMALL, "right"))
        elif u > 1.0:
            names.append(words(name, half + 3.0, v - 0.9, ink.SMALL))
        else:
            names.append(words(name, u + 2.4, v - 0.9, ink.SMALL))
            grounds.append(cover(box(names[-1])))
    top, half = blank.depth_mm / scale, 0.5 * blank.width_mm / scale
    sides = (
        words("FRONT", 0.0, top + 3.5, ink.TEXT, "middle", bold=True),
        words("SITTER'S LEFT", -half, top + 3.5, ink.SMALL),
        words("SITTER'S RIGHT", half, top + 3.5, ink.SMALL, "right"),
    )
    filled = ink.DOT
    return (
        DrawingLayer("datum grounds", ink.GROUND, tuple(grounds)),
        DrawingLayer("datum points", filled, tuple(dots)),
        DrawingLayer("datum names", ink.PLACE, (*names, *sides)),
    )


def _way(stage: Stage, wishes: SheetWishes) -> tuple[str, ...]:
    """Return how the arrows are to be read; nothing where there are none."""
    return (CUT_RULE,) if _layup(stage, wishes) is not None else ()


def _layup(stage: Stage, wishes: SheetWishes) -> Layup | None:
    """Return the boards for the way to cut; None where none are known, or terraces are cut, which have steps."""
    known = wishes.layup is not None and wishes.layup.given and stage.name != "terraces"
    return wishes.layup if known else None


def _text(
    stage: Stage,
    wood: Timber,
    holes: DepthHoles | None,
    wishes: SheetWishes,
    speech: Speech,
    wide: float,
    top: float,
    scale: float,
    stand: tuple[str, ...],
) -> list[Item]:
    """Return two columns of words under the small plan, from a height down."""
    room = 0.5 * (wide - 2.0 * MARGIN_MM) - 5.0
    first = (
        (f"Plan 1:{scale:g}; do not measure from it.", ()),
        *drilling(stage, holes, speech),
        ("Work", (work(stage, wishes.allowance_mm, speech), *_way(stage, wishes))),
        ("Take off", (takes(stage, wood, speech),)),
        ("Measure from", (uncut(stage),)),
        *((("Check with the finished cards", stand),) if stand else ()),
    )
    second = (
        ("Tools", tools(stage, speech)),
        ("Sit before you go on", (SIT[stage.name],)),
        ("Cautions", (CUTTERS, STRENGTH)),
    )
    left = column(first, MARGIN_MM, top, room)
    return [*left, *column(second, MARGIN_MM + room + 10.0, top, room)]
