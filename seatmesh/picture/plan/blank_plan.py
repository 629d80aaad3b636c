"""The blank seen from above, as every plan shows it: outline, lines, words for its sides, lengths."""

from __future__ import annotations

import numpy as np

from seatmesh.picture import mpl
from seatmesh.picture.style import EDGE, INK, PALE_EDGE, PAPER, PENCIL, SMALL_PT, WOOD, Look, write_beside
from seatmesh.units import MM_PER_INCH, format_length
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint
from seatmesh.wood.joint_rings import axis_run_mm, rings_mm

DECK_POINTS = 241
"""Points along each axis at which a curved deck line is looked for."""
DECK_OVER_MM = 3.0
"""How far beyond the outline a curved deck line is looked for, so that it ends on it."""


def draw_blank(axes: mpl.Axes, blank: Blank) -> mpl.Polygon:
    """Draw wood, edge, centre, deck and glue lines and joints; return the edge, for others to be clipped to."""
    axes.add_patch(mpl.Polygon(blank.polygon_mm(), facecolor=WOOD, edgecolor="none", zorder=0.5))
    edge = mpl.Polygon(
        blank.polygon_mm(), facecolor="none", edgecolor=EDGE, linewidth=1.3, zorder=5, clip_on=False
    )
    axes.add_patch(edge)
    (centre,) = axes.plot(
        [0, 0], [0, blank.depth_mm], color=EDGE, linewidth=0.6, dashes=(14, 3, 3, 3), zorder=4
    )
    centre.set_clip_path(edge)
    _draw_deck(axes, blank, edge)
    for x in blank.glue_lines():
        (glue,) = axes.plot([x, x], [0, blank.depth_mm], color=PALE_EDGE, linewidth=0.9, zorder=0.8)
        glue.set_clip_path(edge)
    for joint in blank.joints:
        _draw_joint(axes, blank, joint)
    axes.set_aspect("equal")
    return edge


def _draw_deck(axes: mpl.Axes, blank: Blank, edge: mpl.Polygon) -> None:
    """Draw the deck line, dashed, and the far lip of the gutter, thin."""
    if not blank.deck_is_curved:
        half = blank.width_mm / 2
        (deck,) = axes.plot(
            [-half, half], [blank.deck_mm] * 2, color=EDGE, linewidth=0.6, dashes=(6, 3), zorder=4
        )
        lips = [deck]
        if blank.gutter_depth_mm > 0.0:
            far = [blank.deck_mm + blank.gutter_width_mm] * 2
            lips += axes.plot([-half, half], far, color=EDGE, linewidth=0.3, zorder=4)
        for line in lips:
            line.set_clip_path(edge)
        return
    x = np.linspace(-0.5 * blank.width_mm, 0.5 * blank.width_mm, DECK_POINTS)
    y = np.linspace(0.0, blank.depth_mm, DECK_POINTS)
    # Beyond the outline there is no deck to be drawn.
    wood = blank.inside_mm(x[None, :], y[:, None]) >= -DECK_OVER_MM
    ahead = np.where(wood, blank.ahead_of_deck_mm(x[None, :], y[:, None]), np.nan)
    levels = {0.0: ("--", 0.6)} | ({blank.gutter_width_mm: ("-", 0.3)} if blank.gutter_depth_mm > 0.0 else {})
    for level, (style, width) in levels.items():
        drawn = axes.contour(
            x, y, ahead, levels=[level], colors=EDGE, linestyles=style, linewidths=width, zorder=4
        )
        drawn.set_clip_path(edge)


def _draw_joint(axes: mpl.Axes, blank: Blank, joint: Joint) -> None:
    """Draw a joint's outline, with a stroke the way that a leaning part's axis runs from the face into the wood."""
    for sign in (1.0, -1.0) if joint.side == "both" else (1.0,):
        for shape in rings_mm(joint):
            ring = shape * np.array([sign, 1.0])
            axes.add_patch(mpl.Polygon(ring, facecolor="none", edgecolor=PENCIL, linewidth=0.6, zorder=4))
        run = axis_run_mm(joint, blank.depth_mm, blank.thickness_mm)
        if run is not None:
            ends = run * np.array([sign, 1.0])
            axes.plot(ends[:, 0], ends[:, 1], color=PENCIL, linewidth=0.6, zorder=4)


CLEAR = {"boxstyle": "square,pad=0.15", "facecolor": PAPER, "edgecolor": "none"}
"""Behind words that lines may pass: these end at the words."""


def write_sides(axes: mpl.Axes, blank: Blank, size: float = SMALL_PT) -> None:
    """Write FRONT ahead of the blank, and which side is the sitter's left and right."""
    half = blank.width_mm / 2
    words = (
        (0.0, "center", "FRONT", INK, "bold"),
        (-half, "left", "SITTER'S LEFT", PENCIL, "normal"),
        (half, "right", "SITTER'S RIGHT", PENCIL, "normal"),
    )
    for x, align, word, colour, weight in words:
        how: Look = {
            "color": colour,
            "weight": weight,
            "ha": align,
            "va": "bottom",
            "bbox": CLEAR,
            "zorder": 6.5,
        }
        write_beside(axes, word, (x, blank.depth_mm), (0, 4), size=size, **how)


def write_lengths(axes: mpl.Axes, blank: Blank, units: str) -> None:
    """Label lengths from the centre line and from the rear edge, and rule a faint grid at them."""
    step = 100.0 if units == "mm" else 4.0 * MM_PER_INCH
    half = blank.width_mm / 2
    across = step * np.arange(-np.floor(half / step), np.floor(half / step) + 1)
    along = step * np.arange(np.floor(blank.depth_mm / step) + 1)
    axes.set_xticks(across, [_tick(x, units) for x in across])
    axes.set_yticks(along, [_tick(y, units) for y in along])
    axes.tick_params(length=2.0, pad=2.0, color=PENCIL, labelcolor=PENCIL)
    axes.vlines(across, 0.0, blank.depth_mm, color=PALE_EDGE, linewidth=0.35, zorder=0.6)
    axes.hlines(along[1:], -half, half, color=PALE_EDGE, linewidth=0.35, zorder=0.6)
    for side in axes.spines.values():
        side.set_visible(False)
    where = "from the centre line" if units == "mm" else "from the centre line, inches"
    axes.set_xlabel(f"{where}{', mm' if units == 'mm' else ''}", size=SMALL_PT, color=PENCIL, labelpad=1.5)
    axes.set_ylabel("from the rear edge", size=SMALL_PT, color=PENCIL, labelpad=1.5)


def scale_bar(axes: mpl.Axes, x_mm: float, y_mm: float, units: str) -> None:
    """Draw a bar of 100 mm, or 4 inches, from (x, y), in alternate black and white fields."""
    field = 25.0 if units == "mm" else MM_PER_INCH
    for i in range(4):
        colour = EDGE if i % 2 == 0 else PAPER
        corner = (x_mm + field * i, y_mm)
        axes.add_patch(mpl.Rectangle(corner, field, 4.0, facecolor=colour, edgecolor=EDGE, linewidth=0.5))
    end = (x_mm + 4 * field, y_mm + 2.0)
    # The deck line may run under it.
    how = {"size": SMALL_PT, "va": "center", "bbox": on_wood(), "zorder": 5}
    write_beside(axes, format_length(4 * field, units), end, (5, 0), **how)


def on_wood() -> Look:
    """Return the ground of words on the blank, so that no line runs through them."""
    return {"boxstyle": "square,pad=0.12", "facecolor": WOOD, "edgecolor": "none"}


def _tick(length_mm: float, units: str) -> str:
    return f"{length_mm / (1.0 if units == 'mm' else MM_PER_INCH):.0f}".replace("-", "−")
