"""The figure of the boards: how their rings show on the carved surface, on the edges and on the end grain."""

from __future__ import annotations

import numpy as np

from seatmesh.arrays import Floats
from seatmesh.picture import mpl
from seatmesh.picture.plan.blank_plan import write_sides
from seatmesh.picture.style import (
    A4_MM,
    EDGE,
    INK,
    MARGIN_MM,
    PENCIL,
    SMALL_PT,
    Target,
    axes_at_mm,
    check_units,
    plain,
    sheet,
    shortened,
    write_at_mm,
    write_beside,
    write_title,
)
from seatmesh.picture.wood.wood_colour import wood_rgb
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.outline.chords import ACROSS, ALONG, chords_mm

DOT_MM = 0.6
TITLE_MM, HIGH_MM, FOOT_MM = 16.0, 8.0, 12.0
"""Paper for the title, free above every strip of wood, and for the note."""
MOST_IN_WORDS = 4
"""Of more boards only the numbers have room beneath them; the report lists them."""
LIGHT = np.array([-0.45, 0.35, 0.82])
"""Where the light comes from: the left, ahead, above, as on a bench before a window."""
NOTE = (
    "Rings follow the boards of the order: pith, bark side, turn. Their wander and the width of single years are\n"
    "drawn for looks, as are colours. Left and right are the sitter's."
)
GUESSED = "The order has no [[board]]: usual boards are drawn, flat-sawn, bark side up. "


def figure_picture(seat: Seat, layup: Layup, target: Target, *, units: str | None = None) -> None:
    """Draw the figure from above with the end grain of rear and front edge and both sides, and write it as PNG."""
    units = seat.units if units is None else units
    check_units(units)
    blank = seat.blank
    width = A4_MM[0] - 2.0 * MARGIN_MM - 26.0
    scale = width / blank.width_mm
    strip = blank.thickness_mm * scale
    plan_high = blank.depth_mm * scale
    long = 0.47 * width
    sides = long * blank.thickness_mm / blank.depth_mm
    height = 2.0 * MARGIN_MM + TITLE_MM + plan_high + 2.0 * strip + sides + 4.0 * HIGH_MM + FOOT_MM
    with sheet((A4_MM[0], height), target) as figure:
        write_title(figure, "Figure", plain(shortened(seat.title, 100)))
        left, low = MARGIN_MM + 13.0, height - MARGIN_MM - TITLE_MM - strip
        _end(figure, (left, low, width, strip), seat, layup, True)
        low -= plan_high + HIGH_MM
        _from_above(figure, (left, low, width, plan_high), seat, layup, units)
        low -= strip + HIGH_MM + 4.0
        _end(figure, (left, low, width, strip), seat, layup, False)
        low -= sides + HIGH_MM
        for number, right in enumerate((False, True)):
            _side(figure, (left + number * (width - long), low, long, sides), seat, layup, right)
        note = NOTE if layup.given else GUESSED + NOTE
        write_at_mm(
            figure, MARGIN_MM, MARGIN_MM, note, size=SMALL_PT, color=PENCIL, va="bottom", linespacing=1.5
        )


def face_rgb(
    seat: Seat, layup: Layup, dot_mm: float = DOT_MM
) -> tuple[Floats, tuple[float, float, float, float]]:
    """Return the carved surface from above in its wood, shaded, shape (ny, nx, 4), and its extent."""
    blank = seat.blank
    half = 0.5 * blank.width_mm
    x = np.arange(-half + 0.5 * dot_mm, half, dot_mm)
    y = np.arange(0.5 * dot_mm, blank.depth_mm, dot_mm)
    depth = seat.depth_mm(x[None, :], y[:, None])
    by_y, by_x = np.gradient(-depth, y, x)
    normals = np.stack([-by_x, -by_y, np.ones_like(depth)], axis=-1)
    normals /= np.linalg.norm(normals, axis=-1)[..., None]
    column, row = np.broadcast_arrays(x[None, :], y[:, None])
    points = np.stack([column, row, -depth], axis=-1)
    colour = wood_rgb(layup, points, normals) * shade(normals)[..., None]
    inside = blank.inside_mm(column, row) > 0.0
    return np.dstack([np.clip(colour, 0.0, 1.0), inside.astype(float)]), (-half, half, 0.0, blank.depth_mm)


def shade(normals: Floats) -> Floats:
    """Return how light a surface is, 1 where it is level."""
    light = LIGHT / np.linalg.norm(LIGHT)
    return np.asarray(np.clip(0.30 + 0.70 * (normals @ light) / light[2], 0.25, 1.30))


def draw_face(axes: mpl.Axes, seat: Seat, layup: Layup, dot_mm: float = DOT_MM) -> None:
    """Draw the carved surface from above, with its outline."""
    image, extent = face_rgb(seat, layup, dot_mm)
    axes.imshow(image, extent=extent, origin="lower", interpolation="lanczos", zorder=1)
    axes.add_patch(
        mpl.Polygon(seat.blank.polygon_mm(), facecolor="none", edgecolor=EDGE, linewidth=1.0, zorder=3)
    )
    half = 0.5 * seat.blank.width_mm
    axes.set_xlim(-half, half)
    axes.set_ylim(0.0, seat.blank.depth_mm)
    axes.set_aspect("equal")
    axes.set_axis_off()


def board_words(board: Board, units: str) -> str:
    """Return a board in a few words: width, wood, rings, bark, turn."""
    turned = ", turned" if board.is_turned else ""
    width = format_length(board.width_mm, units, decimals=0)
    return f"{width} {board.species.name}, {board.cut_word}, bark {board.bark}{turned}"


def _from_above(
    figure: mpl.Figure, box: tuple[float, float, float, float], seat: Seat, layup: Layup, units: str
) -> None:
    axes = axes_at_mm(figure, *box)
    draw_face(axes, seat, layup)
    write_sides(axes, seat.blank)
    for board, (left, right) in zip(layup.boards, layup.spans_mm, strict=True):
        how = {"size": SMALL_PT, "ha": "center", "va": "top", "color": INK}
        words = board_words(board, units)
        if len(layup.boards) > MOST_IN_WORDS:
            words = str(board.number)
        elif len(layup.boards) > 2:
            words = words.replace(", ", "\n", 1)
        write_beside(axes, words, (0.5 * (left + right), 0.0), (0, -4), **how)


def _end(
    figure: mpl.Figure, box: tuple[float, float, float, float], seat: Seat, layup: Layup, front: bool
) -> None:
    """Draw the end grain along the front or rear edge of the outline, left and right as in the plan beside it."""
    x, y = _edge_line(seat, front)
    _strip(figure, box, seat, layup, x, x, y, np.array([0.0, 1.0 if front else -1.0, 0.0]))
    left, low, _, high = box
    name = f"end grain at the {'front' if front else 'rear'} edge, left and right as in the plan"
    write_at_mm(figure, left, low + high + 1.2, name, size=SMALL_PT, color=PENCIL, va="bottom")


def _side(
    figure: mpl.Figure, box: tuple[float, float, float, float], seat: Seat, layup: Layup, right: bool
) -> None:
    """Draw the wood along one side of the outline, the front to the right."""
    y = np.arange(0.5 * DOT_MM, seat.blank.depth_mm, DOT_MM)
    x = np.array([_widest(seat, one) for one in y[::8]])
    x = np.interp(y, y[::8], x) * (1.0 if right else -1.0)
    _strip(figure, box, seat, layup, y, x, y, np.array([1.0 if right else -1.0, 0.0, 0.0]))
    name = "sitter's right side" if right else "sitter's left side"
    left, low, wide, high = box
    write_at_mm(figure, left, low + high + 1.2, name, size=SMALL_PT, color=PENCIL, va="bottom")
    write_at_mm(
        figure, left + wide, low + high + 1.2, "FRONT", size=SMALL_PT, color=INK, va="bottom", ha="right"
    )


def _strip(
    figure: mpl.Figure,
    box: tuple[float, float, float, float],
    seat: Seat,
    layup: Layup,
    at: Floats,
    x: Floats,
    y: Floats,
    normal: Floats,
) -> None:
    """Draw an upright strip of wood along a line in the plan, columns at `at`."""
    thick = seat.blank.thickness_mm
    z = np.arange(-thick + 0.5 * DOT_MM, 0.0, DOT_MM)
    column, row = np.broadcast_arrays(x[None, :], z[:, None])
    points = np.stack([column, np.broadcast_to(y[None, :], column.shape), row], axis=-1)
    colour = 0.94 * wood_rgb(layup, points, normal)
    depth, rise = seat.depth_mm(x, y), seat.blank.underside_rise_mm(x, y)
    wood = (row <= -depth[None, :]) & (row >= -thick + rise[None, :])
    axes = axes_at_mm(figure, *box)
    extent = (float(at[0]), float(at[-1]), -thick, 0.0)
    axes.imshow(
        np.dstack([colour, wood.astype(float)]),
        extent=extent,
        origin="lower",
        aspect="auto",
        interpolation="lanczos",
    )
    axes.plot(at, -depth, color=EDGE, linewidth=0.8)
    axes.plot(at, -thick + rise, color=EDGE, linewidth=0.8)
    axes.set_axis_off()


def _edge_line(seat: Seat, front: bool) -> tuple[Floats, Floats]:
    """Return x and y along the front or rear edge of the outline, just inside it."""
    half = 0.5 * seat.blank.width_mm
    x = np.arange(-half + 0.5 * DOT_MM, half, DOT_MM)
    rear, ahead = chords_mm(seat.blank.polygon_mm(), x, ALONG)
    return x, ahead - 0.3 if front else rear + 0.3


def _widest(seat: Seat, y: float) -> float:
    """Return how far the outline reaches to the right at a row."""
    return float(chords_mm(seat.blank.polygon_mm(), np.array([y]), ACROSS)[1][0]) - 0.3


__all__ = ["board_words", "draw_face", "face_rgb", "figure_picture", "shade"]
