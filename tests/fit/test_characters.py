"""Characters are wishes and nothing else; what a maker adds changes them."""

import pytest

from seatmesh import InputError
from seatmesh.design.orders.order import order_from_table
from seatmesh.fit.wished.characters import CHARACTER_NAMES, CHARACTERS, wishes_of
from seatmesh.fit.wished.wishes import Wishes


def test_each_differs_and_they_run_from_shallow_to_deep():
    made = [wishes_of({"character": name}) for name in CHARACTER_NAMES]
    assert len(set(made)) == len(made)
    assert made[0].depth_mm == min(one.depth_mm for one in made)
    assert made[-1].depth_mm == max(one.depth_mm for one in made)
    assert made[0].closeness < made[-1].closeness
    assert wishes_of({"character": "usual"}) == wishes_of({}) == Wishes()
    assert all(one.says.endswith(".") and one.wishes.keys() <= vars(Wishes()).keys() for one in CHARACTERS)


def test_what_is_given_besides_changes_the_character():
    order = order_from_table(
        {"sitter": [{"body": "viola"}], "wishes": {"character": "shallow dish", "depth_mm": 11}},
        "order",
        "seat",
    )
    assert order.wishes.depth_mm == 11.0
    assert order.wishes.closeness == wishes_of({"character": "shallow dish"}).closeness


def test_an_unknown_character_is_refused_with_the_nearest():
    with pytest.raises(InputError, match="shallow dish"):
        order_from_table(
            {"sitter": [{"body": "viola"}], "wishes": {"character": "shalow dish"}}, "order", "seat"
        )


@pytest.mark.parametrize(
    ("wishes", "words"),
    [
        ({"rim_mm": 119.9}, None),
        ({"rim_mm": 120}, None),
        ({"rim": "soft"}, "crisp, eased, print"),
    ],
)
def test_rims_are_words_and_distances(wishes, words):
    table = {"sitter": [{"body": "viola"}], "wishes": wishes}
    if words is None:
        assert order_from_table(table, "order", "seat").wishes.rim_mm == wishes["rim_mm"]
    else:
        with pytest.raises(InputError, match=words):
            order_from_table(table, "order", "seat")


def test_a_rim_that_leaves_no_hollow_is_refused_with_what_would_do():
    table = {
        "sitter": [{"body": "violin-1"}],
        "blank": {"width_mm": 420},
        "wishes": {"rim_mm": 100},
    }
    with pytest.raises(InputError, match=r"rim_mm = 100: .*narrower than 240 mm; give rim_mm = 90 or less"):
        order_from_table(table, "order", "seat")
    table["wishes"]["rim"] = "print"
    assert order_from_table(table, "order", "seat")
