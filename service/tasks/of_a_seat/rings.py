"""The wood of a kept seat as a solid to draw: the rings of its boards, how they look, and the underside."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

from seatmesh.design.report.plain import rounded
from seatmesh.picture.wood.wood_colour import WoodLook, look_of
from seatmesh.surface import Seat
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.rings import (
    UNEVEN_LENGTHS_YEARS,
    UNEVEN_YEARS,
    WANDER_LENGTHS_MM,
    board_middle_mm,
    wander_phases,
    year_phases,
)

from ...keeping.kept import KeptSeat
from ..plain import json_bytes
from .fields import places
from .kept import kept_order, kept_seat

UNDERSIDE_SPACING_MM = 10.0


def rings(kept: KeptSeat) -> bytes:
    """Return what the rings of the boards are at any place of a seat, and where its underside is."""
    layup, seat = kept_order(kept).layup, kept_seat(kept)
    answer = {
        "id": kept.seat,
        "boards_given": layup.given,
        "boards": [_board(layup, which) for which in range(len(layup.boards))],
        "wander_lengths_mm": list(WANDER_LENGTHS_MM),
        "uneven_years": UNEVEN_YEARS,
        "uneven_lengths_years": list(UNEVEN_LENGTHS_YEARS),
        "thickness_mm": seat.blank.thickness_mm,
        "underside": _underside(seat) if seat.blank.has_bevel else None,
    }
    return json_bytes(answer)


def _board(layup: Layup, which: int) -> dict[str, Any]:
    board, (left, right) = layup.boards[which], layup.spans_mm[which]
    aside, rise = radians(board.aside_deg), radians(board.rise_deg)
    plain = {
        "number": board.number,
        "left_mm": left,
        "right_mm": right,
        "species": board.species.name,
        "middle_mm": list(board_middle_mm(layup, which)),
        "signs": list(board.signs),
        "pith_aside_mm": board.pith_aside_mm,
        "pith_away_mm": board.pith_away_mm,
        "ring_width_mm": board.ring_width_mm,
        "taper_mm_per_m": board.taper_mm_per_m,
        "wander_mm": board.wander_mm,
        "look": _look(look_of(board)),
    }
    exact = {
        "fibre": [cos(rise) * sin(aside), cos(rise) * cos(aside), sin(rise)],
        "wander_phases": wander_phases(board).tolist(),
        "year_phases": year_phases(board).tolist(),
    }
    return {**rounded(plain), **exact}


def _look(look: WoodLook) -> dict[str, Any]:
    return {
        "early": list(look.early),
        "late": list(look.late),
        "contrast_share": look.contrast,
        "pores_share": look.pores,
        "rays_share": look.rays,
    }


def _underside(seat: Seat) -> dict[str, Any]:
    x, y = places(seat, UNDERSIDE_SPACING_MM)
    rise = seat.blank.underside_rise_mm(x[None, :], y[:, None])
    return {"x_mm": x.round(3).tolist(), "y_mm": y.round(3).tolist(), "rise_mm": rise.round(3).tolist()}
