"""Pictures of a marked blank as a known camera would show them: wood, crosses, marks in pencil, on a bench."""

from __future__ import annotations

import io
from itertools import pairwise
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

FINER = 2
"""Drawn so much larger, then averaged, so that edges are smooth."""
STEP_MM = 4.0
BENCH, WOOD, GRAIN, PENCIL, RED = (86, 92, 88), (206, 172, 122), (188, 152, 104), (52, 46, 44), (150, 32, 22)


def picture(photo: Any, outline_mm: np.ndarray, crosses: Any, marks: Any) -> Image.Image:
    """Return the image of a blank; `crosses` and `marks` are places on it, mm."""
    width, height = photo.camera.size_px
    image = Image.new("RGB", (FINER * width, FINER * height), BENCH)
    pen = ImageDraw.Draw(image)

    def shown(places: np.ndarray) -> list[tuple[float, float]]:
        # A pixel's middle is at half of one: its number counts from its corner.
        return [(FINER * float(u), FINER * float(v)) for u, v in photo.pixels(places)]

    pen.polygon(shown(fine(np.vstack([outline_mm, outline_mm[:1]]))), fill=WOOD)
    low, high = outline_mm.min(axis=0), outline_mm.max(axis=0)
    inside = np.linspace(low[0] + 30.0, high[0] - 30.0, 14)
    for k, x in enumerate(inside):
        y = np.arange(low[1] + 25.0, high[1] - 25.0, STEP_MM)
        grain = np.column_stack([x + 3.0 * np.sin(y / 55.0 + k), y])
        pen.line(shown(grain), fill=GRAIN, width=FINER * 2)
    stroke(pen, shown, np.array([[0.0, low[1]], [0.0, high[1]]]), 0.6, PENCIL)
    for place in crosses:
        cross(pen, shown, np.asarray(place, float), 9.0, PENCIL)
    for place in marks:
        cross(pen, shown, np.asarray(place, float), 7.0, RED)
    return image.resize((width, height), Image.Resampling.BOX)


def cross(pen: Any, shown: Any, at: np.ndarray, arm: float, colour: tuple[int, int, int]) -> None:
    for way in (np.array([arm, 0.0]), np.array([0.0, arm])):
        stroke(pen, shown, np.array([at - way, at + way]), 1.2, colour)


def stroke(pen: Any, shown: Any, ends: np.ndarray, width_mm: float, colour: tuple[int, int, int]) -> None:
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    beside = 0.5 * width_mm * np.array([-along[1], along[0]])
    line = fine(ends)
    pen.polygon(shown(np.vstack([line + beside, (line - beside)[::-1]])), fill=colour)


def fine(line: np.ndarray) -> np.ndarray:
    """Return a line with points every few millimetres: a lens bends what is straight."""
    parts = []
    for one, two in pairwise(line):
        count = max(1, int(np.ceil(np.linalg.norm(two - one) / STEP_MM)))
        share = np.linspace(0.0, 1.0, count, endpoint=False)[:, None]
        parts.append((1.0 - share) * one + share * two)
    return np.vstack([*parts, line[-1:]])


def as_file(image: Image.Image, name: str = "blank.jpg", **how: Any) -> dict[str, Any]:
    """Return an image as a file that a browser is given."""
    data = io.BytesIO()
    form = "PNG" if name.endswith("png") else "JPEG"
    image.save(data, form, **({"quality": 92} if form == "JPEG" else {}), **how)
    return {"name": name, "mimeType": f"image/{form.lower()}", "buffer": data.getvalue()}
