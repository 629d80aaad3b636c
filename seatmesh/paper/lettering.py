"""The lettering of pages: its two fonts, how wide words are, and how they break into lines."""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

MM_PER_PT = 25.4 / 72.0
REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"


@lru_cache(maxsize=1)
def load_fonts() -> None:
    """Make the fonts known to the PDF library; the same as the pictures', and with letters of most languages."""
    # matplotlib brings the fonts; it is not loaded for them.
    (package,) = find_spec("matplotlib").submodule_search_locations  # type: ignore[union-attr,misc]
    folder = Path(package) / "mpl-data" / "fonts" / "ttf"
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))


def width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Return how wide words are."""
    return size_mm * _width(text, BOLD if bold else REGULAR)


@lru_cache(maxsize=20_000)
def _width(text: str, font: str) -> float:
    """Return how wide words are at a size of 1: lines are broken by trying, and pages say the same words again."""
    load_fonts()
    widths = pdfmetrics.getFont(font).face
    return float(sum(widths.charWidths.get(ord(letter), widths.defaultWidth) for letter in text)) / 1000.0


def broken(text: str, size_mm: float, room_mm: float, bold: bool = False) -> list[str]:
    """Return words as lines no wider than the room; a word that is wider than that is cut."""
    lines, line = [], ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if not line or width_mm(longer, size_mm, bold) <= room_mm:
            line = longer
        else:
            lines.append(line)
            line = word
    return [fitted(one, size_mm, room_mm, bold) for one in ([*lines, line] if line else lines)]


def fitted(text: str, size_mm: float, room_mm: float, bold: bool = False) -> str:
    """Return words cut to the room, an ellipsis showing the cut."""
    if width_mm(text, size_mm, bold) <= room_mm:
        return text
    while text and width_mm(f"{text}…", size_mm, bold) > room_mm:
        text = text[:-1]
    return f"{text.rstrip()}…"
