"""The sheets as files: the same bytes twice, refusals, what stands on them."""

from __future__ import annotations

import time

import pytest
from read_back import pages, words_on

from seatmesh.errors import InputError
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes


def test_the_same_seat_gives_the_same_bytes(seat, viola, on_a_roll) -> None:
    time.sleep(1.1)  # a clock in the files would have moved on
    again = sheets_of(seat, (viola,), SheetWishes(paper="roll", holes=HoleWishes()), ("pdf", "dxf", "svg"))
    assert again.files == on_a_roll.files


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"paper": "A5"}, "paper"),
        ({"paper": "roll:300"}, "needs a roll of"),
        ({"units": "cm"}, "units"),
        ({"inch_step": 8}, "inch step"),
        ({"contour_step_mm": 0.0}, "contour_step_mm = 0.0: allowed are 0.5 to 25 mm"),
        ({"contour_step_mm": float("nan")}, "contour_step_mm"),
        ({"contour_step_mm": -3.0}, "contour_step_mm"),
        ({"grid_mm": 0.0}, "grid_mm"),
        ({"across_mm": (430.0,)}, "stations_mm = 430.0: a card stands 10 to 420 mm from the rear edge"),
        ({"across_mm": (200.0, -5.0)}, "stations_mm"),
        ({"along_mm": (-300.0,)}, "along_mm"),
        ({"allowance_mm": -1.0}, "allowance_mm"),
        ({"holes": HoleWishes(spacing_mm=0.0)}, "spacing_mm"),
    ],
)
def test_wishes_that_no_sheet_can_fulfil_are_refused(carved_seat, wrong, words: str) -> None:
    with pytest.raises(InputError, match=words):
        sheets_of(carved_seat, (), SheetWishes(**wrong), ("pdf",))


def test_an_unknown_kind_is_refused(carved_seat) -> None:
    with pytest.raises(InputError, match="format = 'png'"):
        sheets_of(carved_seat, (), SheetWishes(), ("png",))


def test_the_plan_says_which_side_is_which(on_a_roll) -> None:
    text = words_on(pages(on_a_roll.files["sheets.pdf"])[on_a_roll.pages.index("Plan")])
    for word in (
        "FRONT",
        "SITTER'S LEFT",
        "SITTER'S RIGHT",
        "sit bone",
        "hip end",
        "end of the spine",
        "inner thigh",
    ):
        assert word in text


def test_every_page_is_named_numbered_and_cautions(on_a_roll) -> None:
    found = pages(on_a_roll.files["sheets.pdf"])
    for number, (page, name) in enumerate(zip(found, on_a_roll.pages, strict=True), 1):
        text = " ".join(words_on(page).split())
        assert name in text
        assert f"page {number} of {len(found)}" in text
        assert "Powered cutters injure" in text
    cover = " ".join(words_on(found[1]).split())
    assert "not medical advice" in cover
    assert "the floor is a guide, not a proof" in cover


def test_several_sitters_are_told_apart(carved_seat, viola) -> None:
    from dataclasses import replace

    other = replace(viola, name="cello")
    made = sheets_of(carved_seat, (viola, other), SheetWishes(paper="roll"), ("pdf",))
    text = words_on(pages(made.files["sheets.pdf"])[made.pages.index("Plan")])
    assert "1 viola" in text
    assert "2 cello" in text


def test_a_title_of_any_letters_and_length_fits(carved_seat) -> None:
    from dataclasses import replace

    odd = replace(carved_seat, title="Łódź <&> stool $1 ½ " + "w" * 40)
    made = sheets_of(odd, (), SheetWishes(paper="Letter"), ("pdf", "dxf", "svg"))
    assert "Łódź <&> stool" in words_on(pages(made.files["sheets.pdf"])[0])
