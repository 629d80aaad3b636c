"""The boards of an order: what its tables say of them, held against the blank and made into boards as they lie."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from seatmesh.design.orders.keys.board import OWN_VALUES, GivenBoard
from seatmesh.errors import ValueRefusedError
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
    said = fields.get("glue_lines_mm")
    if said is not None and any(abs(a - b) > SAME_MM for a, b in zip(sorted(said), lines, strict=False)):
        raise ValueRefusedError(
            "[blank] glue_lines_mm",
            ", ".join(f"{x:g}" for x in said),
            f"the widths of the [[board]] tables put them at {', '.join(f'{x:.4g}' for x in lines)}",
            "leave glue_lines_mm out, or correct the widths",
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
            "[blank] boards",
            f"{count}",
            f"there are {len(given)} [[board]] tables",
            "leave boards out, or write a table for each board",
        )
    if lines is not None and len(lines) != len(given) - 1:
        raise ValueRefusedError(
            "[blank] glue_lines_mm",
            f"{len(lines)} lines",
            f"{len(given)} [[board]] tables meet at {len(given) - 1}",
            "leave glue_lines_mm out, or write a table for each board",
        )


def _widths(given: Sequence[GivenBoard], blank: Blank) -> list[float]:
    """Return the width of every board; those that have none share what the others leave."""
    said = [one.fields.get("width_mm") for one in given]
    known = sum(one for one in said if one is not None)
    silent = sum(one is None for one in said)
    left = blank.width_mm - known
    if silent:
        share = left / silent
        if share < 20.0:
            number = said.index(None) + 1
            raise ValueRefusedError(
                f"[[board]] {number} width_mm",
                f"{max(share, 0.0):g} is what the others leave",
                f"[blank] width_mm is {blank.width_mm:g}, the others are {known:g} together; a board has 20 mm or more",
                "make them narrower, or the blank wider",
            )
        return [share if one is None else one for one in said]
    if abs(left) > ADDS_UP_MM:
        raise ValueRefusedError(
            f"[[board]] {len(said)} width_mm",
            f"{said[-1]:g}: all {len(said)} boards are {known:g} mm together"
            if len(said) > 1
            else f"{known:g}",
            f"they add up to [blank] width_mm, {blank.width_mm:g}, within {ADDS_UP_MM:g} mm",
            f"give {said[-1] + left:g} for it" if said[-1] + left >= 20.0 else "make the others narrower",
        )
    # What a pencil line is out goes to the last board, so that boards and blank end together.
    return [*said[:-1], said[-1] + left]


def _board(fields: Mapping[str, Any], width: float, number: int, blank: Blank) -> Board:
    label = f"[[board]] {number}"
    own = {name: fields[name] for name in OWN_VALUES if name in fields}
    species = species_named(fields.get("species", USUAL), own, f"{label} species")
    aside, away = _pith(fields, width, blank, label)
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
        raise _pith_inside(fields, board, blank, label)
    return board


def _pith_inside(fields: Mapping[str, Any], board: Board, blank: Blank, label: str) -> ValueRefusedError:
    """Return the refusal of a board that would hold its own pith: no saw-cut word is true of it, and it cracks."""
    word = f"no {fields['rings']}-sawn board has it, and " if fields.get("rings") else ""
    pith = fields["pith_mm"]
    if isinstance(pith, tuple):
        todo = "saw the pith out and give two boards, or measure how the rings run again"
    else:
        least = _way_out(board.ring_angle_deg, board.width_mm, blank.thickness_mm)
        todo = f"give more than {least:.4g}, or measure how the rings run"
    return ValueRefusedError(
        f"{label} pith_mm",
        _spoken(pith),
        f"the pith would lie inside a board {board.width_mm:g} mm wide and {blank.thickness_mm:g} thick: {word}a "
        "board that holds its pith cracks as it dries",
        todo,
    )


def _signs(fields: Mapping[str, Any]) -> Signs:
    board = Board(1.0, signs=UNTURNED)
    if fields.get("bark") == "down":
        board = turned_over(board)
    if fields.get("turned"):
        board = turned_end_for_end(board)
    return board.signs


def _pith(fields: Mapping[str, Any], width: float, blank: Blank, label: str) -> tuple[float, float]:
    """Return where the pith is in the board's own frame, by word, angle, distance or place."""
    word, angle, pith = fields.get("rings"), fields.get("ring_angle_deg"), fields.get("pith_mm")
    if isinstance(pith, tuple):
        return _placed_pith(pith, word, angle, label)
    if word is not None and angle is not None and not _is_word(word, abs(angle)):
        low, high = RINGS[word]
        raise ValueRefusedError(
            f"{label} ring_angle_deg",
            f'{angle:g} with rings = "{word}"',
            f"{word} is {low:g} to {high:g} degrees, to either side",
            "leave one of the two out",
        )
    if angle is None:
        angle = WORD_ANGLE_DEG[word or "flat"]
    if pith is None:
        pith = max(USUAL_PITH_MM, _way_out(angle, width, blank.thickness_mm) + BEYOND_MM)
    return pith_at(angle, pith)


def _placed_pith(
    pith: tuple[float, float], word: str | None, angle: float | None, label: str
) -> tuple[float, float]:
    aside, away = pith
    own = Board(1.0, pith_aside_mm=aside, pith_away_mm=away)
    if angle is not None:
        raise ValueRefusedError(
            f"{label} ring_angle_deg",
            f"{angle:g}",
            f"pith_mm = [aside, away] already says that the rings run at {own.ring_angle_deg:.0f} degrees",
            "leave one of the two out, or give pith_mm as a distance alone",
        )
    if word is not None and not _is_word(word, own.ring_angle_deg):
        low, high = RINGS[word]  # type: ignore[index]
        raise ValueRefusedError(
            f"{label} pith_mm",
            _spoken(pith),
            f'with it the rings run at {own.ring_angle_deg:.0f} degrees; rings = "{word}" is {low:g} to {high:g}',
            "leave rings out, or measure the pith again",
        )
    return aside, away


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


def _spoken(pith: float | tuple[float, float]) -> str:
    return f"[{pith[0]:g}, {pith[1]:g}]" if isinstance(pith, tuple) else f"{pith:g}"


__all__ = ["boards_of", "check_boards"]
