"""Draw the pictures of the guide anew: the commands of its first three chapters, and what they drew made small.

    python tests/guide/draw_pictures.py

The pictures go to `seatmesh/guide/pictures/`, each below 150 kB.
"""

import contextlib
import tempfile
from pathlib import Path

from PIL import Image
from run_chapter import run_blocks

from seatmesh import shape_seat
from seatmesh.design.orders.order import order_from_table
from seatmesh.fit.wished.characters import CHARACTERS
from seatmesh.picture.characters_chart import Shown, characters_chart

PICTURES = Path(__file__).resolve().parents[2] / "seatmesh" / "guide" / "pictures"
DRAWN = {
    "view.png": "out/anna-s-chair/view.png",
    "contact.png": "out/anna-s-chair/contact.png",
    "sections.png": "out/anna-s-chair/sections.png",
    "plan.png": "out/anna-s-chair/plan.png",
    "gauge-map.png": "anna-map.png",
    "figure-variants.png": "out/anna-s-wood/wood/figure-variants.png",
    "characters.png": "characters.png",
}
"""Where the commands of the guide leave each picture."""
BODY = "woman-p50"
WIDTH_PX = 900
COLOURS = 256
"""Chosen to cover all that occur, so that the steps of a scale keep their colours."""


OF_WOOD = {"figure-variants.png": (700, 64)}
"""Pictures of nothing but wood pack badly: they are narrower, in fewer colours."""


def small(source: Path, target: Path) -> None:
    """Write a picture at the guide's width, with a palette."""
    width, colours = OF_WOOD.get(target.name, (WIDTH_PX, COLOURS))
    with Image.open(source) as picture:
        height = round(picture.height * width / picture.width)
        at_width = picture.convert("RGB").resize((width, height), Image.Resampling.LANCZOS)
    few = at_width.quantize(colours, Image.Quantize.MAXCOVERAGE, kmeans=2, dither=Image.Dither.NONE)
    few.save(target, optimize=True)


def characters(target: Path) -> None:
    """Draw the characters of seats for one body on a usual blank."""
    shown = [
        Shown(
            one.name,
            one.says,
            shape_seat(
                order_from_table(
                    {"sitter": [{"body": BODY}], "wishes": {"character": one.name}}, "order", one.name
                )
            ),
        )
        for one in CHARACTERS
    ]
    characters_chart(shown, target)


def main() -> None:
    """Run the chapters and keep their pictures."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        for topic in ("first-seat", "wood", "bench"):
            run_blocks(topic)
        characters(Path("characters.png"))
        for name, source in DRAWN.items():
            small(Path(source), PICTURES / name)


if __name__ == "__main__":
    main()
