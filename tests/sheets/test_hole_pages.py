"""What the sheets say of depth holes, read back from the files: on every page with holes, and on pages of their own."""

from __future__ import annotations

import re

import pytest
from read_back import pages, words_on

from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.holes.bit import read_bit
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes

BITS = {"mm": read_bit("brad point 6 mm, tip 2.5 mm"), "in": read_bit("Forstner 1 in")}
ORIGIN = {"mm": "as you measured it", "in": "a usual length (common practice)"}
SAID = {"mm": "brad point 6 mm, point 2.5 mm at most", "in": 'Forstner 1", point 1/8" at most'}


@pytest.fixture(scope="module", params=["mm", "in"])
def made(request, seat, viola):
    wishes = SheetWishes(paper="A4", units=request.param, holes=HoleWishes(BITS[request.param], 30.0))
    return sheets_of(seat, (viola,), wishes)


def text_of(page) -> str:
    return " ".join(words_on(page).split())


def test_every_page_with_holes_names_the_bit_and_what_the_stop_is_set_to(made) -> None:
    found = pages(made.files["sheets.pdf"])
    with_holes = [page for page, name in zip(found, made.pages, strict=True) if name.startswith("Plan, ")]
    assert len(with_holes) == 6
    for page in with_holes:
        text = text_of(page)
        assert SAID[made.units] in text
        assert "STOP: set to the cutting edges" in text
        assert "SEAT: finished depth, never a setting" in text


def test_stop_and_finished_depth_are_labelled_apart_at_every_hole(made) -> None:
    svg = made.files["sheets.svg"].decode()
    length = r"[\d.]+ mm" if made.units == "mm" else r"[\d/ ]+&quot;|[\d/ ]+\""
    stops = re.findall(rf">(\d+): stop ({length})<", svg)
    seats = re.findall(rf">seat ({length})<", svg)
    assert [int(number) for number, _ in stops] == [one.number for one in made.holes]
    assert len(seats) == len(stops)
    assert SAID[made.units].replace('"', "") in svg.replace("&quot;", "").replace('"', "")


def test_a_page_of_their_own_lists_every_hole(made) -> None:
    found = pages(made.files["sheets.pdf"])
    own = [
        text_of(page) for page, name in zip(found, made.pages, strict=True) if name.startswith("Depth holes")
    ]
    whole = " ".join(own)
    for words in (
        "3 degrees from upright",
        "bevel of the underside",
        "Measure the point of your bit",
        ORIGIN[made.units],
    ):
        assert words in whole
    assert "Set the stop to the cutting edges" in own[0]
    last = made.holes[-1].number
    assert re.search(rf"\b{last}\b", own[-1])
    # Of each row the stop comes before the finished depth, and is the less.
    assert all(one.stop_mm + one.tip_mm < one.finished_depth_mm for one in made.holes)


def test_no_other_unit_stands_on_their_page(made) -> None:
    (number,) = [i for i, name in enumerate(made.pages) if name.startswith("Depth holes")][:1]
    text = text_of(pages(made.files["sheets.pdf"])[number]).replace("100 mm", "").replace("4 in", "")
    if made.units == "in":
        assert not re.search(r"\d mm", text)
    else:
        assert '"' not in text.replace('"brad point 6 mm, tip ..."', "")


def test_stages_say_when_to_drill_and_when_the_holes_are_gone(made) -> None:
    found = dict(zip(made.pages, pages(made.files["sheets.pdf"]), strict=True))
    first = text_of(found["Stage 1: terraces"])
    assert "First the depth holes" in first
    assert SAID[made.units] in first
    assert "None should still show at the end of this stage" in text_of(
        found["Stage 4: all but the allowance"]
    )
    assert "depth hole" not in text_of(found["Stage 2: half of the depth"]).lower()


def test_without_holes_nothing_is_said_of_them(seat, viola) -> None:
    made = sheets_of(seat, (viola,), SheetWishes(paper="A4"), ("pdf",))
    assert "depth hole" not in " ".join(text_of(page) for page in pages(made.files["sheets.pdf"])).lower()
