"""The boards of an order: what its tables say of them, held against the blank and made into boards as they lie."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from seatmesh.design.orders.keys.board import OWN_VALUES, GivenBoard
from seatmesh.errors import InputError, ValueRefusedError
from seatmesh.refused import Advice, Piece, Said, at, bare, exactly, leave_out, mm, said, word
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import (
    RINGS,
    UNTURNED,
    Board,
    Signs,
    pith_at,
    turned_end_for_end,
    turned_over,
)
from seatmesh.wood.boards.layup import layup_of
from seatmesh.wood.species import USUAL, species_named

LEAST_WIDTH_MM, WIDEST_MM = 20.0, 900.0
ADDS_UP_MM = 0.5
"""Boards may differ from the blank's width by as much as a pencil line."""
SAME_MM = 0.5
WORD_ANGLE_DEG = {"flat": 0.0, "rift": 45.0, "quarter": 90.0}
"""Where only a word was given, rings meet the face like this at the board's middle."""
USUAL_PITH_MM = 120.0
BEYOND_MM = 60.0
"""How far the pith of a board is that nobody measured, and at least how far outside the board it lies."""
FLAG_KEYS = ("species", "rings", "bark")


def boards_of(
    given: Sequence[GivenBoard], fields: Mapping[str, Any], blank: Blank
) -> tuple[Blank, tuple[Board, ...]]:
    """Return the blank with the glue lines of its boards, and the boards; `fields` were given of the blank.

    Raises
    ------
    ValueRefusedError
        The boards do not add up to the blank, contradict it, or have rings that cannot be.
    """
    if not given:
        return blank, ()
    _check_count(given, fields)
    widths = _widths(given, blank)
    boards = tuple(
        _board(one.fields, width, number, blank)
        for number, (one, width) in enumerate(zip(given, widths, strict=True), start=1)
    )
    lines = layup_of(boards, blank).glue_lines_mm
    lines_said = fields.get("glue_lines_mm")
    if lines_said is not None and any(
        abs(a - b) > SAME_MM for a, b in zip(sorted(lines_said), lines, strict=False)
    ):
        raise ValueRefusedError(
            at("blank.glue_lines_mm"),
            _listed(lines_said),
            said("the widths of the [[board]] tables put them at {}", _lengths(lines, ".4g")),
            Advice((leave_out("blank.glue_lines_mm"),), more="correct the widths"),
        )
    return replace(blank, boards=len(boards), glue_lines_mm=lines), boards


def check_boards(boards: Sequence[Board], blank: Blank) -> None:
    """Refuse boards of an order made in Python that do not make up its blank, by width and glue lines.

    Raises
    ------
    ValueRefusedError
        It names both.
    """
    if not boards:
        return
    whole = sum(board.width_mm for board in boards)
    lines = layup_of(tuple(boards), blank).glue_lines_mm
    said = blank.glue_lines()
    if abs(whole - blank.width_mm) > ADDS_UP_MM or len(said) != len(lines):
        raise ValueRefusedError(
            "boards",
            f"{len(boards)} boards, {whole:g} mm together",
            f"the blank is {blank.width_mm:g} mm wide with {len(said)} glue lines",
            "let widths and glue_lines_mm of the blank agree",
        )
    if any(abs(a - b) > SAME_MM for a, b in zip(said, lines, strict=True)):
        raise ValueRefusedError(
            "boards",
            f"glue lines at {', '.join(f'{x:.4g}' for x in lines)}",
            f"the blank's lie at {', '.join(f'{x:.4g}' for x in said)}",
            "let widths of the boards and glue_lines_mm of the blank agree",
        )


def _check_count(given: Sequence[GivenBoard], fields: Mapping[str, Any]) -> None:
    count = fields.get("boards")
    lines = fields.get("glue_lines_mm")
    if count is not None and count != len(given):
        raise ValueRefusedError(
            at("blank.boards"),
            f"{count}",
            f"there are {len(given)} [[board]] tables",
            Advice((leave_out("blank.boards"),), more="write a table for each board"),
        )
    if lines is not None and len(lines) != len(given) - 1:
        raise ValueRefusedError(
            at("blank.glue_lines_mm"),
            f"{len(lines)} lines",
            f"{len(given)} [[board]] tables meet at {len(given) - 1}",
            Advice((leave_out("blank.glue_lines_mm"),), more="write a table for each board"),
        )


def _widths(given: Sequence[GivenBoard], blank: Blank) -> list[float]:
    """Return the width of every board; those that have none share what the others leave."""
    widths = [one.fields.get("width_mm") for one in given]
    known = sum(one for one in widths if one is not None)
    silent = sum(one is None for one in widths)
    left = blank.width_mm - known
    if silent:
        share = left / silent
        if share < LEAST_WIDTH_MM:
            number = widths.index(None) + 1
            raise ValueRefusedError(
                at("board.width_mm", number),
                said("{} is what the others leave", bare("board.width_mm", max(share, 0.0))),
                said(
                    "{} is {}, the others are {} together; a board has {} or more",
                    word("the blank's width", "[blank] width_mm"),
                    bare("blank.width_mm", blank.width_mm),
                    Piece(None, known, "mm", text=f"{known:g}"),
                    mm(LEAST_WIDTH_MM),
                ),
                Advice(
                    (exactly("blank.width_mm", known + LEAST_WIDTH_MM * silent),),
                    text="make them narrower, or the blank wider",
                    more="make the others narrower",
                )
                if known + LEAST_WIDTH_MM * silent <= WIDEST_MM
                else "make the others narrower",
            )
        return [share if one is None else one for one in widths]
    last = float(widths[-1] or 0.0)
    if abs(left) > ADDS_UP_MM:
        raise ValueRefusedError(
            at("board.width_mm", len(widths)),
            said(
                f"{{}}: all {len(widths)} boards are {{}} together",
                bare("board.width_mm", last),
                mm(known),
            )
            if len(widths) > 1
            else said("{}", bare("board.width_mm", known)),
            said(
                "they add up to {}, {}, within {}",
                word("the blank's width", "[blank] width_mm"),
                bare("blank.width_mm", blank.width_mm),
                mm(ADDS_UP_MM),
            ),
            Advice(
                (
                    exactly("board.width_mm", last + left, len(widths)),
                    leave_out("board.width_mm", len(widths)),
                ),
                text=f"give {last + left:g} for it",
            )
            if last + left >= LEAST_WIDTH_MM
            else "make the others narrower",
        )
    # What a pencil line is out goes to the last board, so that boards and blank end together.
    return [*widths[:-1], last + left]


def _board(fields: Mapping[str, Any], width: float, number: int, blank: Blank) -> Board:
    label = f"[[board]] {number}"
    own = {name: fields[name] for name in OWN_VALUES if name in fields}
    try:
        species = species_named(fields.get("species", USUAL), own, f"{label} species")
    except InputError as refusal:
        named = str(getattr(refusal, "name", "")).rpartition(" ")[2]
        refusal.put(at(f"board.{named if named in own else 'species'}", number))
        raise
    aside, away = _pith(fields, width, blank, number)
    looks = ("rise_deg", "aside_deg", "ring_width_mm", "wander_mm", "taper_mm_per_m")
    told = "ring_angle_deg" in fields or "pith_mm" in fields
    board = Board(
        width,
        species,
        aside,
        away,
        **{name: fields[name] for name in looks if name in fields},
        rings=fields.get("rings", ""),
        number=number,
        signs=_signs(fields),
        assumed=tuple(one for one in FLAG_KEYS if one not in fields and not (one == "rings" and told)),
    )
    if board.holds_pith(blank.thickness_mm):
        raise _pith_inside(fields, board, blank, number)
    return board


def _pith_inside(fields: Mapping[str, Any], board: Board, blank: Blank, number: int) -> ValueRefusedError:
    """Return the refusal of a board that would hold its own pith: no saw-cut word is true of it, and it cracks."""
    word = f"no {fields['rings']}-sawn board has it, and " if fields.get("rings") else ""
    pith = fields["pith_mm"]
    todo: str | Advice
    if isinstance(pith, tuple):
        todo = "saw the pith out and give two boards, or measure how the rings run again"
    else:
        least = _way_out(board.ring_angle_deg, board.width_mm, blank.thickness_mm)
        todo = Advice(
            (
                exactly("board.pith_mm", float(np.floor(least)) + 1.0, number),
                leave_out("board.pith_mm", number),
            ),
            text=f"give more than {least:.4g}, or measure how the rings run",
            more="measure how the rings run",
        )
    return ValueRefusedError(
        at("board.pith_mm", number),
        _spoken(pith),
        said(
            f"the pith would lie inside a board {{}} wide and {{}} thick: {word}a board that holds its pith cracks as "
            "it dries",
            mm(board.width_mm),
            Piece(None, blank.thickness_mm, "mm", text=f"{blank.thickness_mm:g}"),
        ),
        todo,
    )


def _signs(fields: Mapping[str, Any]) -> Signs:
    board = Board(1.0, signs=UNTURNED)
    if fields.get("bark") == "down":
        board = turned_over(board)
    if fields.get("turned"):
        board = turned_end_for_end(board)
    return board.signs


def _pith(fields: Mapping[str, Any], width: float, blank: Blank, number: int) -> tuple[float, float]:
    """Return where the pith is in the board's own frame, by word, angle, distance or place."""
    word, angle, pith = fields.get("rings"), fields.get("ring_angle_deg"), fields.get("pith_mm")
    if isinstance(pith, tuple):
        return _placed_pith(pith, word, angle, number)
    if word is not None and angle is not None and not _is_word(word, abs(angle)):
        low, high = RINGS[word]
        raise ValueRefusedError(
            at("board.ring_angle_deg", number),
            said(
                "{} with {}",
                bare("board.ring_angle_deg", angle),
                Piece(at("board.rings", number), word, text=f'rings = "{word}"'),
            ),
            f"{word} is {low:g} to {high:g} degrees, to either side",
            _one_of_both("board.ring_angle_deg", number),
        )
    if angle is None:
        angle = WORD_ANGLE_DEG[word or "flat"]
    if pith is None:
        pith = max(USUAL_PITH_MM, _way_out(angle, width, blank.thickness_mm) + BEYOND_MM)
    return pith_at(angle, pith)


def _placed_pith(
    pith: tuple[float, float], word: str | None, angle: float | None, number: int
) -> tuple[float, float]:
    aside, away = pith
    own = Board(1.0, pith_aside_mm=aside, pith_away_mm=away)
    if angle is not None:
        raise ValueRefusedError(
            at("board.ring_angle_deg", number),
            said("{}", bare("board.ring_angle_deg", angle)),
            said(
                f"{{}} already says that the rings run at {own.ring_angle_deg:.0f} degrees",
                Piece(at("board.pith_mm", number), text="pith_mm = [aside, away]"),
            ),
            Advice(
                (leave_out("board.ring_angle_deg", number), leave_out("board.pith_mm", number)),
                text="leave one of the two out, or give pith_mm as a distance alone",
            ),
        )
    if word is not None and not _is_word(word, own.ring_angle_deg):
        low, high = RINGS[word]  # type: ignore[index]
        raise ValueRefusedError(
            at("board.pith_mm", number),
            _spoken(pith),
            said(
                f"with it the rings run at {own.ring_angle_deg:.0f} degrees; {{}} is {low:g} to {high:g}",
                Piece(at("board.rings", number), word, text=f'rings = "{word}"'),
            ),
            Advice((leave_out("board.rings", number),), more="measure the pith again"),
        )
    return aside, away


def _one_of_both(path: str, number: int) -> Advice:
    ways = (leave_out(path, number), leave_out("board.rings", number))
    return Advice(ways, text="leave one of the two out")


def _listed(lines: Sequence[float]) -> Said:
    return said("{}", _lengths(lines, "g"))


def _lengths(lines: Sequence[float], spec: str) -> Piece:
    """Return lengths as one part: they are said as they stand, in mm."""
    return Piece(None, ", ".join(f"{x:{spec}}" for x in lines))


def _is_word(word: str, angle_deg: float) -> bool:
    low, high = RINGS[word]  # type: ignore[index]
    return low - 1e-9 <= angle_deg <= high + 1e-9


def _way_out(angle_deg: float, width: float, thickness: float) -> float:
    """Return how far it is from the middle of the end grain to its edge on the way to the pith."""
    aside, away = (abs(one) for one in pith_at(angle_deg, 1.0))
    return min(
        0.5 * width / aside if aside > 1e-9 else float("inf"),
        0.5 * thickness / away if away > 1e-9 else float("inf"),
    )


def _spoken(pith: float | tuple[float, float]) -> Said:
    if not isinstance(pith, tuple):
        return said("{}", bare("board.pith_mm", pith))
    return said("[{}, {}]", *(Piece(None, one, "mm", text=f"{one:g}") for one in pith))


__all__ = ["boards_of", "check_boards"]
