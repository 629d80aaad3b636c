"""A proven seat on another blank: what the pages say differs, and what is refused."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from read_back import pages, words_on

from seatmesh.chair import Chair
from seatmesh.design.repeat import made_again
from seatmesh.errors import ValueRefusedError
from seatmesh.sheets.all_sheets import sheets_of
from seatmesh.sheets.bench.differences import (
    ALIKE,
    LENGTHS,
    NOTHING,
    OTHERS,
    SHAPES,
    differences,
    hole_differences,
)
from seatmesh.sheets.sheet_wishes import HoleWishes, SheetWishes, Speech
from seatmesh.wood.blank import Blank
from seatmesh.wood.joint import Joint

LEG = Joint("leg mortise", 165.0, 90.0, diameter_mm=28.0, angle_deg=12.0, depth_mm=24.0, keep_mm=6.0)
POST = Joint("back post", 150.0, 25.0, diameter_mm=20.0, depth_mm=30.0)


@pytest.fixture(scope="module")
def proven(carve):
    return carve(joints=(LEG, POST))


def test_every_field_of_a_blank_is_told_of_once() -> None:
    told = [*LENGTHS, *OTHERS, *SHAPES, "joints"]
    assert sorted(told) == sorted(one.name for one in fields(Blank))


def test_nothing_is_said_to_differ_where_nothing_does(proven) -> None:
    assert differences(proven, made_again(proven, proven.blank), Speech("mm")) == ()


@pytest.mark.parametrize(
    ("units", "width"), [("mm", "Width: 490 mm, was 480 mm."), ("in", 'Width: 19 9/32", was 18 29/32".')]
)
def test_sizes_joints_and_chair_are_told_in_the_order_s_unit(proven, units: str, width: str) -> None:
    """490 mm are 19.291 in, 480 mm 18.898: to the nearest 1/32."""
    moved = replace(LEG, x_mm=160.0, depth_mm=20.0)
    blank = replace(proven.blank, width_mm=490.0, thickness_mm=46.0, joints=(moved,), boards=3)
    said = differences(proven, made_again(proven, blank, Chair(440.0, 3.0)), Speech(units))
    assert said[0] == width
    if units == "mm":
        assert said[1:6] == (
            "Thickness: 46 mm, was 45 mm.", "Boards: 3, was 1.", "Front height: 440 mm, was none stated.",
            "Rake: 3 degrees, was 2 degrees.",
            "leg mortise 160 mm to either side of the centre line, 90 mm from the rear edge: moved from 165 mm to "
            "either side of the centre line, 90 mm from the rear edge; depth 20 mm, was 24 mm.",
        )  # fmt: skip
        assert said[6].startswith("Left out: back post 150 mm to either side")
        assert len(said) == 7
    else:
        assert not any("mm" in one for one in said)


def test_a_shorter_blank_moves_its_front_roll(proven) -> None:
    said = differences(proven, made_again(proven, replace(proven.blank, depth_mm=420.0)), Speech("mm"))
    assert said[0] == "Depth, front to rear: 420 mm, was 430 mm."
    assert said[1] == "The front roll lies 10 mm farther back, with the front edge."
    assert not any("deeper" in one for one in said)


def test_a_narrow_blank_is_told_to_cut_the_hollow_s_rim(proven) -> None:
    """How deep the hollow is at the new edge is sampled here anew."""
    blank = replace(proven.blank, width_mm=420.0, joints=())
    said = next(
        one for one in differences(proven, made_again(proven, blank), Speech("mm")) if "runs out" in one
    )
    y = np.linspace(60.0, 390.0, 400)
    most = float(replace(proven, blank=blank).depth_mm(210.0, y).max())
    assert float(said.split("edge, ")[1].split(" mm")[0]) == pytest.approx(most, abs=0.2)


def test_too_thin_a_blank_and_another_deck_are_refused(proven) -> None:
    plain = replace(proven.blank, thickness_mm=35.0, joints=())
    with pytest.raises(ValueRefusedError, match="deeper than this blank's floor and joints allow") as refusal:
        made_again(proven, plain)
    most = float(proven.depth_mm(*proven.blank.grid_mm(1.0)).max()) - 15.0
    assert most > 2.0
    assert float(str(refusal.value).split("hollow goes ")[1].split(" mm")[0]) == pytest.approx(most, abs=0.06)
    with pytest.raises(ValueRefusedError, match="keeps its deck and gutter; its own is 50 mm"):
        made_again(proven, replace(proven.blank, deck_mm=60.0))
    with pytest.raises(ValueRefusedError, match="a carved seat is made again"):
        made_again(replace(proven, hollow=None), proven.blank)


def test_a_joint_under_the_hollow_is_refused(proven) -> None:
    """The mortise ends 45 - 40 = 5 mm below the top face, and the hollow is some 18 mm deep there."""
    deep = Joint("leg mortise", 0.0, 150.0, diameter_mm=28.0, depth_mm=40.0, keep_mm=0.0, side="one")
    with pytest.raises(ValueRefusedError, match="move the joint"):
        made_again(proven, replace(proven.blank, joints=(deep,)))


def test_a_seat_that_has_borne_less_wood_than_its_floor_is_made_again_on_its_like(proven) -> None:
    thin = replace(proven, blank=replace(proven.blank, thickness_mm=35.0, joints=()))
    assert made_again(thin, thin.blank) == thin
    with pytest.raises(ValueRefusedError):
        made_again(thin, replace(thin.blank, thickness_mm=34.0))


def test_the_bench_card_says_what_differs(proven) -> None:
    again = made_again(proven, replace(proven.blank, width_mm=470.0))
    wishes = SheetWishes(holes=HoleWishes(), is_repeat=True)

    def card(seat, **more) -> tuple[str, tuple[str, ...]]:
        made = sheets_of(seat, (), replace(wishes, **more), ("pdf",))
        return " ".join(words_on(pages(made.files["sheets.pdf"])[0]).split()), made.differences

    text, said = card(again, proven=proven)
    assert "Against the proven seat" in text
    assert "Width: 470 mm, was 480 mm." in text
    assert said[0] in text
    assert NOTHING in card(proven)[0]
    assert card(proven, proven=proven)[1] == (ALIKE,)
    first = sheets_of(proven, (), replace(wishes, is_repeat=False), ("pdf",))
    assert "proven seat" not in words_on(pages(first.files["sheets.pdf"])[0])


def test_depth_holes_that_change_are_told(proven) -> None:
    """Of a narrower blank the outer holes are gone; both lists are compared here by their places."""
    again = made_again(proven, replace(proven.blank, width_mm=250.0, joints=()))
    made = sheets_of(again, (), SheetWishes(holes=HoleWishes(), is_repeat=True, proven=proven), ("svg",))
    before = sheets_of(proven, (), SheetWishes(holes=HoleWishes()), ("svg",))
    new = {(one.x_mm, one.y_mm) for one in made.holes}
    gone = [one for one in before.holes if (one.x_mm, one.y_mm) not in new]
    assert gone
    said = next(one for one in made.differences if one.startswith("Depth holes left out"))
    assert f"{abs(gone[0].x_mm):g} mm to the sitter's left" in said
    assert (f"and {len(gone) - 6} more" in said) == (len(gone) > 6)


def test_stops_that_change_are_told_with_what_they_were(proven) -> None:
    old = sheets_of(proven, (), SheetWishes(holes=HoleWishes()), ("svg",)).depth_holes
    first, *others = old.holes
    new = replace(old, holes=(replace(first, stop_mm=first.stop_mm + 1.0), *others[:-1]))
    said = hole_differences(old, new, Speech("mm"))
    assert (
        said[0] == f"Depth holes with another stop: 1 {first.stop_mm + 1.0:g} mm, was {first.stop_mm:g} mm."
    )
    assert said[1].startswith("Depth holes left out: ")
    assert hole_differences(new, old, Speech("mm"))[1] == f"New depth holes: {others[-1].number}."
    assert hole_differences(old, old, Speech("mm")) == ()
