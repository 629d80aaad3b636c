"""Boards of an order: as they lie, their glue lines, and every contradiction refused by its key."""

from dataclasses import replace

import pytest

from seatmesh.design.orders.order import check_order, order_from_table
from seatmesh.errors import InputError, ValueRefusedError

SITTER = {"sitter": [{"body": "viola"}]}


def made(boards, blank=None, **more):
    return order_from_table({**SITTER, "blank": blank or {}, "board": boards, **more}, "order", "seat")


def test_boards_make_the_glue_lines():
    order = made([{"width_mm": 200}, {"width_mm": 130}, {"width_mm": 150}])
    assert order.blank.glue_lines() == (-40.0, 90.0)
    assert order.blank.boards == 3
    assert order.layup.spans_mm == ((-240.0, -40.0), (-40.0, 90.0), (90.0, 240.0))
    assert order.layup.given


def test_a_board_without_a_width_takes_what_the_others_leave():
    order = made([{"width_mm": 200}, {}, {}])
    assert [board.width_mm for board in order.boards] == [200.0, 140.0, 140.0]
    assert made([{}]).boards[0].width_mm == 480.0


def test_an_order_without_boards_has_as_many_usual_ones_as_its_blank_says():
    order = made([], {"boards": 3})
    assert order.boards == ()
    assert not order.layup.given
    assert [board.width_mm for board in order.layup.boards] == pytest.approx([160.0] * 3)
    assert made([], {"glue_lines_mm": [-80, 80]}).layup.glue_lines_mm == pytest.approx((-80.0, 80.0))


@pytest.mark.parametrize(("word", "angle"), [("flat", 0.0), ("rift", 45.0), ("quarter", 90.0)])
def test_words_for_the_rings(word, angle):
    board = made([{"rings": word}]).boards[0]
    assert board.ring_angle_deg == pytest.approx(angle)
    assert board.cut_word == word
    assert not board.holds_pith(45.0)


def test_the_pith_by_angle_and_distance_or_by_place():
    by_angle = made([{"ring_angle_deg": -30, "pith_mm": 200}]).boards[0]
    assert (by_angle.pith_aside_mm, by_angle.pith_away_mm) == pytest.approx((-100.0, 173.205), abs=1e-3)
    by_place = made([{"pith_mm": [40, 90]}]).boards[0]
    assert (by_place.pith_aside_mm, by_place.pith_away_mm) == (40.0, 90.0)
    assert by_place.pith_lies_mm == (40.0, -90.0)
    down = made([{"pith_mm": [40, 90], "bark": "down"}]).boards[0]
    assert down.pith_lies_mm == (-40.0, 90.0)
    assert down.bark == "down"
    turned = made([{"pith_mm": [40, 90], "turned": True}]).boards[0]
    assert turned.pith_lies_mm == (-40.0, -90.0)
    assert turned.is_turned


def test_own_values_of_a_wood_that_the_table_has_not():
    own = {
        "species": "teak",
        "density_kg_m3": 655,
        "radial_per_percent": 0.00101,
        "tangential_per_percent": 0.00186,
    }
    assert made([own]).boards[0].species.own
    lighter = made([{"species": "walnut", "density_kg_m3": 580}]).boards[0].species
    assert (lighter.density_kg_m3, lighter.bending_mpa) == (580.0, 101.0)


def test_what_was_not_stated_is_known():
    assert made([{}]).boards[0].assumed == ("species", "rings", "bark")
    assert made([{"pith_mm": [10, 90], "bark": "up", "species": "ash"}]).boards[0].assumed == ()


REFUSED = {
    # Boards that do not add up to the blank.
    "add up": ([{"width_mm": 200}, {"width_mm": 200}], {}, r"\[\[board\]\] 2 width_mm = 200: all 2 boards are 400 mm"),
    "too wide": ([{"width_mm": 300}, {"width_mm": 170}, {}], {}, r"\[\[board\]\] 3 width_mm.*20 mm or more"),
    "one": ([{"width_mm": 200}], {}, r"\[\[board\]\] 1 width_mm = 200.*480"),
    "count": ([{}, {}], {"boards": 3}, r"\[blank\] boards = 3: there are 2 \[\[board\]\]"),
    "lines": ([{}, {}], {"glue_lines_mm": [40]}, r"\[blank\] glue_lines_mm = 40: the widths .* put them at 0"),
    "line count": ([{}, {}], {"glue_lines_mm": [-80, 80]}, r"\[blank\] glue_lines_mm = 2 lines"),
    # Ring data that cannot be.
    "pith inside a quarter-sawn board": ([{"rings": "quarter", "pith_mm": 60}], {}, r"pith_mm = 60: the pith would lie "
                                         r"inside a board 480 mm wide.*more than 240"),
    "pith inside a flat board": ([{"rings": "flat", "pith_mm": 15}], {},
                                r"pith_mm = 15.*no flat-sawn.*cracks as it dries.*more than 22.5"),
    "placed inside": ([{"rings": "quarter", "pith_mm": [60, 5]}], {}, r"pith_mm = \[60, 5\]: the pith would lie"),
    "boxed heart": ([{"pith_mm": [5, 3]}], {}, r"pith_mm = \[5, 3\].*cracks as it dries; saw the pith out"),
    "word and angle": ([{"rings": "quarter", "ring_angle_deg": 20}], {}, r"ring_angle_deg = 20 with rings"),
    "word and place": ([{"rings": "flat", "pith_mm": [300, 100]}], {}, r"rings run at 72 degrees"),
    "angle and place": ([{"ring_angle_deg": 5, "pith_mm": [30, 100]}], {}, r"ring_angle_deg = 5.*already says"),
    "pith word": ([{"pith_mm": "near"}], {}, "pith_mm"),
    "pith list": ([{"pith_mm": [1, 2, 3]}], {}, "pith_mm.*two of them"),
    "pith above": ([{"pith_mm": [0, -50]}], {}, "pith_mm.*away 0 or more"),
    # Unknown species.
    "species": ([{"species": "teak"}], {}, r"\[\[board\]\] 1 species = 'teak': known are ash.*own density_kg_m3"),
    "bark": ([{"bark": "sideways"}], {}, r"\[\[board\]\] 1 bark"),
    "rings": ([{"rings": "plain"}], {}, r"\[\[board\]\] 1 rings"),
    "slope": ([{"rise_deg": 40}], {}, r"rise_deg = 40: allowed are -20 to 20"),
    "key": ([{"widht_mm": 240}], {}, "unknown key 'widht_mm'; did you mean 'width_mm'"),
    "not a list": ({"width_mm": 240}, {}, r"write \[\[board\]\] for each"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_refused_by_its_key(case):
    boards, blank, words = REFUSED[case]
    with pytest.raises(InputError, match=words):
        made(boards, blank)


@pytest.mark.parametrize(
    ("wood", "words"),
    [
        ({"winter_moisture_percent": 40}, r"winter_moisture_percent = 40: allowed are 2 to 25"),
        ({"shop_c": 90}, r"shop_c = 90: allowed are -2 to 50"),
        ({"summer_humidity_percent": 0.6}, "summer_humidity_percent = 0.6"),
        ({"shop_c": 20, "shop_moisture_percent": 8}, r"shop_moisture_percent = 8 with shop_c: the air says"),
        ({"load_n": 10}, "load_n = 10"),
        ({"laod_n": 10}, "did you mean 'load_n'"),
    ],
)
def test_climates_and_loads_that_cannot_be_are_refused(wood, words):
    with pytest.raises(InputError, match=words):
        made([], wood=wood)


def test_a_seat_that_was_built_is_read_back_or_refused():
    built = {"title": "Anna", "readings_mm": [[-60, 160, 17.5], [60, 160, 17.9]]}
    assert made([], built=built).built.readings_mm == ((-60.0, 160.0, 17.5), (60.0, 160.0, 17.9))
    for wrong, words in (([[1, 2]], "readings_mm"), ([[0, 100, 400]], "a depth from -5 to 150")):
        with pytest.raises(ValueRefusedError, match=words):
            made([], built={"readings_mm": wrong})


def test_an_order_made_in_python_has_boards_that_make_up_its_blank():
    order = made([{"width_mm": 200}, {"width_mm": 280}])
    check_order(order)
    for wrong, words in (
        (
            replace(order, boards=order.boards[:1]),
            "1 boards, 200 mm together: the blank is 480 mm wide with 1 glue",
        ),
        (replace(order, boards=order.boards[::-1]), "glue lines at 40: the blank's lie at -40"),
    ):
        with pytest.raises(ValueRefusedError, match=words):
            check_order(wrong)
