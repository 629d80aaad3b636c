"""The chart of a shared seat: a row for each, and nothing to share for one."""

from io import BytesIO

import pytest
from PIL import Image

from seatmesh.errors import ValueRefusedError
from seatmesh.picture.characters_chart import Shown, characters_chart
from seatmesh.picture.sharing_chart import Sharer, loss, sharing_chart
from seatmesh.surface import Seat

TWO = [Sharer("violin", 1.0, 36.0, 12.0, 15.0), Sharer("cello $x_1$", 0.5, 30.0, 16.0, 15.9)]


def picture(draw):
    file = BytesIO()
    draw(file)
    return Image.open(BytesIO(file.getvalue()))


def test_each_further_sitter_is_a_row():
    two, four = (picture(lambda file, n=n: sharing_chart(TWO * n, file, title="quartet")) for n in (1, 2))
    assert four.height > two.height
    assert four.width == two.width
    assert loss(TWO[0]) == pytest.approx(0.25)


def test_one_sitter_shares_nothing():
    with pytest.raises(ValueRefusedError, match="two or more"):
        sharing_chart(TWO[:1], BytesIO())


def test_characters_stand_in_a_row(carved_seat):
    one, three = (
        picture(lambda file, n=n: characters_chart([Shown("usual", "A bowl.", carved_seat)] * n, file))
        for n in (1, 3)
    )
    assert three.width > 2 * one.width
    assert (
        picture(lambda file: characters_chart([Shown("flat", "Uncarved.", Seat())], file)).height
        == one.height
    )
