"""SVG drawings: shapes, arcs, curves, transforms, groups, units, view boxes, each against corners worked out by hand.

The rules are those of SVG 1.1 and 2 (W3C: path data, coordinate systems, units), from memory. One rule is ours: a
drawing that states no size in a unit of length, or states pixels, is drawn in mm.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from seatmesh.wood.outline.svg_curves import svg_pieces

SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
PAGE = 'width="480mm" height="430mm" viewBox="0 0 480 430"'
FAR, LOW = (
    float(np.hypot(120.0 * np.cos(0.5), 60.0 * np.sin(0.5))),
    float(np.hypot(120.0 * np.sin(0.5), 60.0 * np.cos(0.5))),
)
"""Half the width and height of an ellipse of 120 and 60 that is turned by half a radian."""
END = f"{120.0 * np.cos(0.5)} {120.0 * np.sin(0.5)}"
_ARC = f"A 120 60 {np.degrees(0.5)} 0 1"
TURNED = f'd="M {END} {_ARC} -{END.replace(" ", " -")} {_ARC} {END} Z"'

Corners = tuple[float, float, float, float]
DRAWINGS: dict[str, tuple[str, str, Corners]] = {
    "circle": (PAGE, '<circle cx="240" cy="215" r="200"/>', (40, 15, 440, 415)),
    "two units a millimetre": (
        'width="480mm" height="430mm" viewBox="0 0 960 860"', '<circle cx="480" cy="430" r="400"/>',
        (40, 15, 440, 415),
    ),
    "view box with an origin": (
        'width="480mm" height="430mm" viewBox="-240 -215 480 430"',
        '<rect x="-100" y="-100" width="200" height="150"/>', (140, 115, 340, 265),
    ),
    "view box of another shape, in the middle": (
        'width="400mm" height="200mm" viewBox="0 0 100 100"', '<rect width="100" height="100"/>', (100, 0, 300, 200),
    ),
    "view box stretched": (
        'width="400mm" height="200mm" viewBox="0 0 100 100" preserveAspectRatio="none"',
        '<rect width="100" height="100"/>', (0, 0, 400, 200),
    ),
    "inches": ('width="10in" height="10in" viewBox="0 0 10 10"', '<rect width="10" height="10"/>', (0, 0, 254, 254)),
    "centimetres": (
        'width="48cm" height="43cm" viewBox="0 0 48 43"', '<rect width="48" height="43"/>', (0, 0, 480, 430),
    ),
    "points": (
        'width="1440pt" height="1440pt" viewBox="0 0 1440 1440"', '<rect width="720" height="1440"/>', (0, 0, 254, 508),
    ),
    "picas": (
        'width="120pc" height="60PC" viewBox="0 0 120 60"', '<rect width="120" height="60"/>', (0, 0, 508, 254),
    ),
    "quarter millimetres": (
        'width="400Q" height="400Q" viewBox="0 0 4 4"', '<rect width="4" height="4"/>', (0, 0, 100, 100),
    ),
    "no size": ("", '<rect x="10" y="10" width="100" height="50"/>', (10, 10, 110, 60)),
    "lengths with units": (
        'width="480mm" height="430mm"', '<rect x="1cm" y="10mm" width="2in" height="72pt"/>', (10, 10, 60.8, 35.4),
    ),
    "percent": (PAGE, '<rect x="25%" y="10%" width="50%" height="80%"/>', (120, 43, 360, 387)),
    "long arc": (PAGE, '<path d="M 140 215 A 100 100 0 1 1 240 315 Z"/>', (140, 115, 340, 315)),
    "flags run together": (PAGE, '<path d="M140 215a100 100 0 11100 100z"/>', (140, 115, 340, 315)),
    "arcs of a turned ellipse": (
        PAGE, f'<path transform="translate(240 215)" {TURNED}/>', (240 - FAR, 215 - LOW, 240 + FAR, 215 + LOW),
    ),
    "cubic and smooth cubic": (
        PAGE, '<path d="M100 200C100 100 200 100 200 200S300 300 300 200L300 350H100Z"/>', (100, 125, 300, 350),
    ),
    "quadratic and smooth quadratic": (
        PAGE, '<path d="M100 200Q150 100 200 200T300 200V350H100z"/>', (100, 150, 300, 350),
    ),
    "groups in groups": (
        PAGE,
        '<g transform="translate(100 50)"><g transform="scale(2)"><g transform="rotate(90 20 20)">'
        '<rect x="10" y="10" width="40" height="20"/></g></g></g>',
        (120, 70, 160, 150),
    ),
    "skewed, and a matrix": (
        PAGE, '<g transform="skewX(45)"><path transform="matrix(1 0 0 1 10 20)" d="M0 0H100V100H0Z"/></g>',
        (30, 20, 230, 120),
    ),
    "arc stretched one way": (
        PAGE, '<path transform="scale(2 1)" d="M 20 215 A 100 100 0 1 1 120 315 Z"/>', (40, 115, 440, 315),
    ),
    "rectangle turned a quarter": (
        PAGE, '<rect transform="rotate(90 20 20)" x="10" y="10" width="40" height="20"/>', (10, 10, 30, 50),
    ),
    "rectangle turned over": (
        PAGE, '<rect transform="rotate(180 100 100)" x="10" y="20" width="40" height="20"/>', (150, 160, 190, 180),
    ),
    "rectangle mirrored": (
        PAGE, '<rect transform="matrix(-1 0 0 1 200 0)" x="10" y="20" width="40" height="20"/>', (150, 20, 190, 40),
    ),
    "page with y up": (
        PAGE, '<g transform="matrix(1,0,0,-1,0,430)"><rect x="10" y="20" width="40" height="20"/></g>',
        (10, 390, 50, 410),
    ),
    "ellipse turned a quarter": (
        PAGE, '<ellipse transform="rotate(90 100 100)" cx="100" cy="100" rx="50" ry="20"/>', (80, 50, 120, 150),
    ),
    "rounded rectangle": (PAGE, '<rect x="40" y="15" width="400" height="400" rx="60"/>', (40, 15, 440, 415)),
    "ellipse and polygon": (
        PAGE, '<ellipse cx="240" cy="215" rx="200" ry="100"/><polygon points="40,15 60,15 50,300"/>',
        (40, 15, 440, 315),
    ),
    "drawing in a drawing": (
        PAGE,
        '<svg x="100" y="50" width="200" height="100" viewBox="0 0 20 10">'
        '<rect x="5" y="5" width="10" height="5"/></svg>',
        (150, 100, 250, 150),
    ),
    "used from a definition": (
        PAGE,
        '<defs><rect id="a" width="50" height="40"/></defs>'
        '<use href="#a" xlink:href="#a" x="100" y="60" transform="scale(2)"/>',
        (200, 120, 300, 200),
    ),
    "a hidden shape": (
        PAGE,
        '<rect width="20" height="20" style="display:none"/><rect x="100" y="100" width="50" height="50"/>',
        (100, 100, 150, 150),
    ),
}  # fmt: skip
"""Size, shapes, and where they end: left, top, right and bottom in mm, y down the page."""


def written(name: str, folder: Path, encoding: str = "utf-8") -> Path:
    """Write one of the drawings."""
    size, shapes, _ = DRAWINGS[name]
    path = folder / "drawing.svg"
    path.write_text(
        f'<?xml version="1.0" encoding="{encoding}"?><svg {SPACES} {size}>{shapes}</svg>', encoding=encoding
    )
    return path


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_ends_where_the_standard_says(name: str, tmp_path: Path) -> None:
    points = np.vstack(svg_pieces(written(name, tmp_path), None)) * (1.0, -1.0)
    # Points along a curve lie up to 1 mm apart, so they miss its extreme by 0.002 mm at most.
    np.testing.assert_allclose((*points.min(axis=0), *points.max(axis=0)), DRAWINGS[name][2], atol=0.003)


def test_the_encoding_of_a_drawing_does_not_matter(tmp_path: Path) -> None:
    one = svg_pieces(written("points", tmp_path), None)
    other = svg_pieces(written("points", tmp_path, "utf-16"), None)
    np.testing.assert_array_equal(one, other)
