"""Two bars on every page: what a rule laid on the print would read."""

from __future__ import annotations

import numpy as np
import pytest
from read_back import drawn_on, pages, size_mm

from seatmesh.paper.drawing import Drawing, DrawingLayer, Look, line
from seatmesh.paper.paper_sizes import PAPERS, paper_named
from seatmesh.paper.pdf_file import pdf_bytes
from seatmesh.paper.tile_pages import pages_of, with_feet
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import SheetWishes

# ISO 216 and ANSI/ASME Y14.1, mm.
SIZES = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}


def square() -> Drawing:
    ring = line([(0, 0), (500, 0), (500, 450), (0, 450)], closed=True)
    return Drawing("square", (DrawingLayer("edge", Look(0.5), (ring,)),))


@pytest.mark.parametrize("name", [*SIZES, "roll:610"])
def test_every_page_of_every_size_bears_both_bars(name: str, carved_seat) -> None:
    data = sheets_of(carved_seat, (), SheetWishes(paper=name), ("pdf",)).files["sheets.pdf"]
    for page in pages(data):
        lengths = [one.size_mm[0] for one in drawn_on(page) if not one.filled and 2.0 < one.size_mm[1] < 3.5]
        assert min(abs(one - 100.0) for one in lengths) <= 0.1
        assert min(abs(one - 4.0 * 25.4) for one in lengths) <= 0.004 * 25.4


def test_bars_rasterised_are_as_long() -> None:
    """Counted in dark pixels at 600 dpi on the lower rows of the page, where a bar's frame runs through."""
    page = pages(pdf_bytes(with_feet(pages_of(square(), PAPERS["a4"], "Square"), "seat", "Mind."), "x"))[0]
    dark = np.asarray(page.render(scale=600.0 / 72.0, grayscale=True).to_numpy()).squeeze() < 140
    runs = []
    for row in dark[int(0.9 * len(dark)) :]:
        ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        runs += list((ends[1::2] - ends[::2]) * 25.4 / 600.0)
    frames = np.array([one for one in runs if 90.0 < one < 110.0])
    # A frame is drawn 0.12 mm wide, half of it beyond either end.
    assert np.abs(frames - 100.12).min() <= 0.1
    assert np.abs(frames - 101.72).min() <= 0.1


@pytest.mark.parametrize("name", list(SIZES))
def test_pages_have_the_paper_s_size(name: str) -> None:
    for page in pages(pdf_bytes(pages_of(square(), paper_named(name), "Square"), "x")):
        assert sorted(size_mm(page)) == pytest.approx(sorted(SIZES[name]), abs=0.05)
