from __future__ import annotations

import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.formats.mesh_scale import parse_scale


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("1:4", 0.25),
        ("1/4", 0.25),
        ("25%", 0.25),
        ("0.25", 0.25),
        (".25", 0.25),
        (" 1 : 4 ", 0.25),
        ("25 %", 0.25),
        ("1:1", 1.0),
        ("1", 1.0),
        ("2:1", 2.0),
        ("1:3", 1 / 3),
        ("1.5:10", 0.15),
        ("10", 10.0),
        ("1000%", 10.0),
        ("1:100", 0.01),
        ("0.01", 0.01),
    ],
)
def test_a_scale_is_read_in_each_way_of_writing_it(text: str, factor: float) -> None:
    assert parse_scale(text) == factor


@pytest.mark.parametrize(
    "text",
    [
        *("", "quarter", "1:0", "0:4", "0", "0%", "-1:4", "-0.25", "1:-4", "10.01", "11:1", "1001%", "1:101"),
        *("0,25", "1:4:2", "25%%", "1:25%", "nan", "inf", "1e-1", "1::4", ":4", "4:", "٢:٤", "9" * 5000),
    ],
)
def test_anything_else_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(ValueRefusedError, match=r"^scale = .*1:4, 1/4, 25% or 0\.25") as refused:
        parse_scale(text)
    assert len(str(refused.value)) < 200
