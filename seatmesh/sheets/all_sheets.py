"""All sheets of a seat as files in memory: what the command and the service hand out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from seatmesh.body.body import Body
from seatmesh.cautions import CUTTERS
from seatmesh.errors import NotAmongError
from seatmesh.paper.drawing import Drawing
from seatmesh.paper.page import Page
from seatmesh.paper.paper_sizes import Paper, paper_named, to_read
from seatmesh.paper.pdf_file import pdf_bytes
from seatmesh.paper.svg_file import svg_bytes
from seatmesh.paper.tile_pages import pages_of, with_feet
from seatmesh.sheets.bench.bench_card import BenchFacts, bench_card
from seatmesh.sheets.bench.differences import ALIKE, NOTHING, differences, hole_differences
from seatmesh.sheets.cards.card import Card, card_of
from seatmesh.sheets.cards.card_drawing import holding
from seatmesh.sheets.cards.card_stack import AROUND_MM, merged, stacked, stacks
from seatmesh.sheets.cover import cover_page, page_words
from seatmesh.sheets.holes.depth_hole import DepthHole, DepthHoles, holes_csv, holes_of
from seatmesh.sheets.holes.hole_page import hole_pages
from seatmesh.sheets.holes.hole_words import hole_notes, short_rule
from seatmesh.sheets.plan.plan import plan
from seatmesh.sheets.sheet_wishes import (
    SheetWishes,
    Speech,
    bit_of,
    check,
    spacing_mm,
    speech,
    stop_step_mm,
    timber_of,
    told_allowance_mm,
)
from seatmesh.sheets.stages.stage import Stage, stages_of
from seatmesh.sheets.stages.stage_page import stage_page
from seatmesh.sheets.stages.stage_words import heading
from seatmesh.station import Station, stations_at
from seatmesh.surface import Seat
from seatmesh.units import shown

UNDER_PLAN_MM = 30.0
"""Room between plan and cards in a drawing that holds both."""


@dataclass(frozen=True)
class Sheets:
    """Files by name, and what is worth a remark.

    `sheets.pdf` has the bench card, the tiled plan, the section cards and a page for each stage; `sheets.dxf` and
    `sheets.svg` hold plan and cards in one drawing in the frame of the blank, the cards under the rear edge;
    `stage-N-....pdf` has each stage at full size; `holes.csv` is there with depth holes. `differences` are those of a
    repeat from the proven seat, a sentence each.

    Examples
    --------
    >>> from seatmesh import flat_seat, sheets_of
    >>> sheets = sheets_of(flat_seat(), kinds=("pdf",))
    >>> sheets.pages[:2], sheets.holes
    (('Bench card', 'Contents and cautions'), ())
    """

    files: Mapping[str, bytes]
    units: str
    pages: tuple[str, ...]
    stations: tuple[Station, ...]
    depth_holes: DepthHoles | None
    stages: tuple[Stage, ...]
    notes: tuple[str, ...]
    differences: tuple[str, ...] = ()

    @property
    def holes(self) -> tuple[DepthHole, ...]:
        """The depth holes; empty where none were wished for."""
        return () if self.depth_holes is None else self.depth_holes.holes


KINDS = ("pdf", "dxf", "svg", "stages")


def sheets_of(
    seat: Seat,
    sitters: Sequence[Body] = (),
    wishes: SheetWishes | None = None,
    kinds: Sequence[str] = KINDS[:3],
) -> Sheets:
    """Return the sheets of a seat; `kinds` are those wished for, of "pdf", "dxf", "svg" and "stages".

    Stages at full size are many pages, so they come on request only; each has a page in `sheets.pdf` anyway.

    Raises
    ------
    ValueRefusedError, UnknownKeyError
        Unknown paper, wood, units or kind; a step, bit or station that this seat has no place for; a roll too narrow.

    Examples
    --------
    >>> from pathlib import Path
    >>> from seatmesh import Adjustment, Seat, SheetWishes, sheets_of
    >>> seat = Seat(adjustments=(Adjustment(0.0, 200.0, 120.0, 10.0),))
    >>> sheets = sheets_of(seat, wishes=SheetWishes(paper="A3"), kinds=("pdf", "dxf"))
    >>> for name, data in sheets.files.items():
    ...     _ = Path(name).write_bytes(data)
    >>> sorted(sheets.files)
    ['sheets.dxf', 'sheets.pdf']
    """
    wishes = SheetWishes() if wishes is None else wishes
    check(seat, wishes)
    _check_kinds(kinds)
    timber_of(wishes)
    holes = _holes(seat, wishes)
    wanted = {"pdf", "stages"} & set(kinds) and not wishes.is_repeat
    stages = stages_of(seat, wishes) if wanted else ()
    cards = tuple(card_of(seat, one) for one in card_stations(seat, wishes))
    drawn = plan(seat, sitters, [one.station for one in cards], holes, wishes)
    differing = _differences(seat, holes, wishes)
    files: dict[str, bytes] = {}
    pages: tuple[Page, ...] = ()
    if "pdf" in kinds:
        pages = _all_pages(seat, sitters, drawn, cards, stages, holes, wishes, differing)
        files["sheets.pdf"] = pdf_bytes(pages, f"{seat.title}: sheets")
    files |= _drawing_files(seat, drawn, cards, wishes, kinds)
    if "stages" in kinds:
        files |= _stage_files(seat, stages, sitters, holes, wishes)
    if holes is not None:
        files["holes.csv"] = holes_csv(holes, speech(seat, wishes).units).encode("utf-8")
    return Sheets(
        files,
        speech(seat, wishes).units,
        tuple(page.name for page in pages),
        tuple(one.station for one in cards),
        holes,
        stages,
        _notes(seat, cards, holes, speech(seat, wishes)),
        differing,
    )


def _differences(seat: Seat, holes: DepthHoles | None, wishes: SheetWishes) -> tuple[str, ...]:
    """Return what differs from the proven seat, holes and all; that nothing does; or nothing of a first seat."""
    if not wishes.is_repeat:
        return ()
    if wishes.proven is None:
        return (NOTHING,)
    says = speech(seat, wishes)
    out = differences(wishes.proven, seat, says)
    before = _holes(replace(wishes.proven, units=seat.units), wishes)
    if holes is not None and before is not None:
        out += hole_differences(before, holes, says)
    return out or (ALIKE,)


def _drawing_files(
    seat: Seat, drawn: Drawing, cards: Sequence[Card], wishes: SheetWishes, kinds: Sequence[str]
) -> dict[str, bytes]:
    """Return DXF and SVG, as far as they are wished for."""
    writers = {"dxf": _as_dxf, "svg": svg_bytes}
    wished = [kind for kind in writers if kind in kinds]
    if not wished:
        return {}
    whole = _whole(seat, drawn, cards, wishes)
    return {f"sheets.{kind}": writers[kind](whole) for kind in wished}


def _stage_files(
    seat: Seat,
    stages: Sequence[Stage],
    sitters: Sequence[Body],
    holes: DepthHoles | None,
    wishes: SheetWishes,
) -> dict[str, bytes]:
    """Return a PDF for each stage but the last; `sheets.pdf` shows the finished seat."""
    return {
        f"stage-{one.number}-{one.name}.pdf": pdf_bytes(
            _stage_pages(seat, one, sitters, holes, wishes), f"{seat.title}: {heading(one)}"
        )
        for one in stages[:-1]
    }


def _holes(seat: Seat, wishes: SheetWishes) -> DepthHoles | None:
    if wishes.holes is None:
        return None
    says = speech(seat, wishes)
    bit, allowance = bit_of(wishes.holes, says), told_allowance_mm(wishes, says)
    return holes_of(seat, bit, spacing_mm(wishes.holes, says), allowance, stop_step_mm(says))


def _check_kinds(kinds: Sequence[str]) -> None:
    for one in kinds:
        if one not in KINDS:
            raise NotAmongError("format", shown(one), KINDS)


def card_stations(seat: Seat, wishes: SheetWishes) -> tuple[Station, ...]:
    """Return the stations of the section cards; every stage of a seat has the same."""
    return stations_at(seat, wishes.across_mm, wishes.along_mm, speech(seat, wishes).length)


def _all_pages(
    seat: Seat,
    sitters: Sequence[Body],
    drawn: Drawing,
    cards: Sequence[Card],
    stages: Sequence[Stage],
    holes: DepthHoles | None,
    wishes: SheetWishes,
    differing: tuple[str, ...],
) -> tuple[Page, ...]:
    paper, says, wood = paper_named(wishes.paper), speech(seat, wishes), timber_of(wishes)
    note = short_rule(holes, says) if holes and holes.holes else ""
    pages = [*pages_of(drawn, paper, "Plan", note=note), *hole_pages(holes, says, to_read(paper))]
    pages += _card_pages(cards, seat.title, paper, says)
    pages += [stage_page(one, wood, holes, cards, wishes, says, to_read(paper)) for one in stages]
    # Who makes a seat again has printed and joined its pages before.
    covers = [] if wishes.is_repeat else [cover_page(seat, pages, wood, says, paper)]
    facts = BenchFacts(
        seat, sitters, wood, cards, stages, holes, page_words(pages, 2 + len(covers)), differing
    )
    return with_feet([bench_card(facts, says, to_read(paper)), *covers, *pages], seat.title, CUTTERS)


def _card_pages(cards: Sequence[Card], title: str, paper: Paper, says: Speech) -> list[Page]:
    piles = stacks(cards, paper, title, says)
    out: list[Page] = []
    for number, pile in enumerate(piles, 1):
        name = f"Section cards, {number} of {len(piles)}" if len(piles) > 1 else "Section cards"
        out += pages_of(pile, paper, name, AROUND_MM)
    return out


def _stage_pages(
    seat: Seat, stage: Stage, sitters: Sequence[Body], holes: DepthHoles | None, wishes: SheetWishes
) -> tuple[Page, ...]:
    """Return a stage's own pages: its words, its plan at full size, and its cards; terraces need no cards."""
    paper, says, wood = paper_named(wishes.paper), speech(seat, wishes), timber_of(wishes)
    places = card_stations(seat, wishes)
    cards = () if stage.name == "terraces" else tuple(card_of(stage.seat, one) for one in places)
    finished = tuple(card_of(seat, one) for one in places)
    named = replace(stage.seat, title=f"{seat.title}, stage {stage.number}")
    # Terraces have steps, no slopes to cut down.
    own = replace(wishes, layup=None) if stage.name == "terraces" else wishes
    drawn = plan(named, sitters, places, None, own, stage.lines_mm)
    pages = [stage_page(stage, wood, holes, finished, wishes, says, to_read(paper))]
    pages += [*pages_of(drawn, paper, "Plan of the stage"), *_card_pages(cards, named.title, paper, says)]
    return with_feet(pages, named.title, CUTTERS)


def _whole(seat: Seat, drawn: Drawing, cards: Sequence[Card], wishes: SheetWishes) -> Drawing:
    """Return plan and cards as one drawing in the frame of the blank, the cards under the plan."""
    low = drawn.bounds_mm[1] - UNDER_PLAN_MM
    pile = stacked(cards, seat.title, speech(seat, wishes), low)
    return Drawing(drawn.title, merged((*drawn.layers, *pile.layers)))


def _notes(seat: Seat, cards: Sequence[Card], holes: DepthHoles | None, says: Speech) -> tuple[str, ...]:
    out = [
        f"card {one.station.name}: {holding(one)[0].lower()}{holding(one)[1:]}"
        for one in cards
        if not one.holds_itself and seat.hollow is not None
    ]
    return (*out, *(() if holes is None else hole_notes(holes, says)))


def _as_dxf(drawing: Drawing) -> bytes:
    from seatmesh.paper.dxf_file import dxf_bytes  # noqa: PLC0415 - its library is slow to load, and PDF needs it not

    return dxf_bytes(drawing)
