"""The rough plank: allowances, and how many boards come out of it (counted by hand)."""

import pytest

from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.plank import from_plank, rough_boards
from seatmesh.wood.boards.wood_wishes import WoodWishes

TWO = Layup((Board(240.0), Board(240.0)), 430.0, 45.0)


def test_allowances_come_on_every_face_edge_and_end():
    rough = rough_boards(TWO, WoodWishes(planing_mm=2.5, jointing_mm=4.0, trimming_mm=15.0))[0]
    assert (rough.width_mm, rough.length_mm, rough.thickness_mm) == (248.0, 460.0, 50.0)
    assert rough.volume_mm3 == pytest.approx(248.0 * 460.0 * 50.0)


@pytest.mark.parametrize(
    ("width", "length", "thickness", "boards", "enough", "why"),
    [
        (260, 1000, 52, 2, True, ""),  # two lengths of 470 and a kerf
        (260, 940, 52, 1, False, "it is 940 mm long, and 944 mm are needed"),
        (500, 480, 52, 2, True, ""),  # side by side: 246 + 4 + 246
        (496, 480, 52, 2, True, ""),
        (495, 480, 52, 1, False, "it is 480 mm long, and 944 mm are needed"),
        (240, 3000, 52, 0, False, "it is 240 mm wide, and 246 mm are needed"),
        (260, 1000, 50, 0, False, "it is 50 mm thick, and 51 mm are needed"),
        (260, 1000, 0, 2, True, ""),  # thickness not told
    ],
)
def test_boards_from_a_plank(width, length, thickness, boards, enough, why):
    wishes = WoodWishes(plank_width_mm=width, plank_length_mm=length, plank_thickness_mm=thickness)
    found = from_plank(rough_boards(TWO, wishes), wishes)
    assert (found.boards, found.enough) == (boards, enough)
    assert found.why_not("mm") == why


def test_what_a_plank_lacks_is_said_in_inches_too_and_never_as_if_it_were_enough():
    wishes = WoodWishes(plank_width_mm=260, plank_length_mm=1000, plank_thickness_mm=50.9)
    found = from_plank(rough_boards(TWO, wishes), wishes)
    # 50.9 mm are 2.0039 in, 51 mm are 2.0079: down to 2, up to 2 1/32.
    assert found.why_not("in") == 'it is 2" thick, and 2 1/32" is needed'
    assert from_plank(rough_boards(TWO, wishes), WoodWishes()) is None


def test_without_a_plank_nothing_is_said():
    assert from_plank(rough_boards(TWO, WoodWishes()), WoodWishes()) is None


def test_a_plank_that_holds_three_abreast_needs_two_kerfs():
    three = Layup((Board(160.0), Board(160.0), Board(160.0)), 430.0, 45.0)
    for width, enough in ((3 * 166 + 2 * 4, True), (3 * 166 + 2 * 4 - 1, False)):
        wishes = WoodWishes(plank_width_mm=width, plank_length_mm=480.0)
        assert from_plank(rough_boards(three, wishes), wishes).enough is enough


def test_what_is_usual_is_what_the_guide_says():
    usual = WoodWishes()
    assert (usual.shop_c, usual.shop_humidity_percent) == (20.0, 50.0)
    assert (usual.winter_c, usual.winter_humidity_percent) == (21.0, 30.0)
    assert (usual.summer_c, usual.summer_humidity_percent) == (24.0, 60.0)
    assert (usual.planing_mm, usual.jointing_mm, usual.trimming_mm) == (3.0, 3.0, 20.0)
    board = Board(240.0)
    assert (board.ring_width_mm, board.wander_mm, board.taper_mm_per_m, board.pith_away_mm) == (
        3.0,
        4.0,
        10.0,
        120.0,
    )
    # D4: a domestic chair's static load, EN 12520, from memory.
    assert (usual.load_n, usual.factor, usual.glue_clear_mm) == (1300.0, 3.0, 25.0)
