"""The look that all pictures share: sheet, ink, lettering, and how a picture is written."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from seatmesh.errors import FileRefusedError, NotAmongError
from seatmesh.picture import mpl
from seatmesh.units import ALLOWED_UNITS, MM_PER_INCH, peak_square, shown

Look = dict[str, Any]
"""How something is drawn, in matplotlib's own words."""

Target = str | Path | IO[bytes]
"""Where a picture goes: a path, written as given, or a binary stream."""

DPI = 150
A4_MM, A5_MM = (210.0, 297.0), (148.0, 210.0)
MARGIN_MM = 12.0

INK, PENCIL, PAPER = "#2b2622", "#75695c", "#ffffff"
WOOD, WOOD_CUT, EDGE = "#f1e7d6", "#e3d2b5", "#4a3b2c"
SKIN, BONE, WARNING = "#9c4a3c", "#33567a", "#9b2a1a"
PALE_EDGE, HATCH = "#cbbba3", "#b79f7b"
TITLE_PT, HEADING_PT, TEXT_PT, SMALL_PT = 13.0, 9.5, 8.0, 7.0

FONT = "DejaVu Sans"
_SETTINGS: dict[str, Any] = {
    "figure.dpi": DPI,
    "font.family": FONT,
    "font.size": TEXT_PT,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.6,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.labelsize": SMALL_PT,
    "ytick.labelsize": SMALL_PT,
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
    "hatch.linewidth": 0.35,
    "path.simplify": True,
}


def peak_words(units: str) -> str:
    """Return what a peak is the mean over, as pictures write it."""
    return f"over {peak_square(units)}".replace("cm2", "cm²")


_DRAWING = threading.RLock()
"""Matplotlib keeps its settings and fonts once per process, so pictures are drawn one at a time."""


@contextmanager
def sheet(size_mm: tuple[float, float], target: Target) -> Iterator[mpl.Figure]:
    """Give an empty figure of `size_mm`; when the block ends well, write it to `target` as PNG.

    The same drawing gives the same bytes: the user's own matplotlib settings are set aside, and neither clock
    nor version goes into the file. Raises `FileRefusedError` when `target` cannot be written.
    """
    with (
        _DRAWING,
        mpl.context(["default", _SETTINGS]),
        warnings.catch_warnings(),
    ):
        # `letters_missing` says so once, in words.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        figure = mpl.Figure(figsize=(size_mm[0] / MM_PER_INCH, size_mm[1] / MM_PER_INCH), facecolor=PAPER)
        mpl.FigureCanvasAgg(figure)
        yield figure
        try:
            figure.savefig(
                target, format="png", dpi=DPI, metadata={"Software": None}, pil_kwargs={"compress_level": 3}
            )
        except OSError as error:
            raise FileRefusedError(
                f"picture {target}: cannot be written ({error.strerror}); choose a folder that exists and "
                "can be written"
            ) from error


def letters_missing(texts: Iterable[str]) -> str:
    """Return the letters of some texts that the lettering of pictures and sheets has not; boxes stand there."""
    texts = list(texts)
    if all(text.isascii() for text in texts):
        return ""
    has = mpl.get_font(mpl.findfont(FONT)).get_charmap()
    letters = dict.fromkeys(letter for text in texts for letter in text if letter.isprintable())
    return "".join(letter for letter in letters if ord(letter) not in has)


def axes_at_mm(figure: mpl.Figure, left: float, bottom: float, width: float, height: float) -> mpl.Axes:
    """Add axes at a place on the sheet, all in mm from its lower left corner."""
    sheet_width, sheet_height = (side * MM_PER_INCH for side in figure.get_size_inches())
    return figure.add_axes(
        (left / sheet_width, bottom / sheet_height, width / sheet_width, height / sheet_height)
    )


def write_at_mm(figure: mpl.Figure, x: float, y: float, words: str, **how: Any) -> None:
    """Write words on the sheet at a place in mm from its lower left corner."""
    sheet_width, sheet_height = (side * MM_PER_INCH for side in figure.get_size_inches())
    figure.text(x / sheet_width, y / sheet_height, words, **how)


def write_beside(
    axes: mpl.Axes, words: str, at: tuple[float, float], offset_pt: tuple[float, float], **how: Any
) -> None:
    """Write words at a place of the drawing, moved by an offset in points; the place may be off the axes."""
    axes.annotate(words, at, offset_pt, textcoords="offset points", annotation_clip=False, **how)


def write_title(figure: mpl.Figure, title: str, beneath: str) -> None:
    """Write the sheet's title and one line beneath it, at the top left."""
    height = figure.get_size_inches()[1] * MM_PER_INCH
    write_at_mm(figure, MARGIN_MM, height - MARGIN_MM - 3, title, size=TITLE_PT, weight="bold", va="baseline")
    write_at_mm(
        figure, MARGIN_MM, height - MARGIN_MM - 8.5, beneath, size=TEXT_PT, color=PENCIL, va="baseline"
    )


def plain(words: str) -> str:
    """Return words as they are to be read, with no sign in them taken for mathematics."""
    return words.replace("$", r"\$")


def shortened(words: str, longest: int) -> str:
    """Return words cut to `longest` signs, an ellipsis showing the cut."""
    return words if len(words) <= longest else words[: longest - 1].rstrip() + "…"


def check_units(units: str) -> None:
    """Refuse units that no picture speaks."""
    if units not in ALLOWED_UNITS:
        raise NotAmongError("units", shown(units), ALLOWED_UNITS)
