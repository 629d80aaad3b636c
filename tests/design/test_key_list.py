"""The list of keys: all that orders accept, nothing else, each known to the reader."""

import pytest

from seatmesh import InputError, Wishes
from seatmesh.design.orders.key_list import ACCEPTED, key_rows
from seatmesh.design.orders.order import order_from_table

ROWS = key_rows()


def test_every_key_that_is_accepted_is_listed_and_no_other():
    listed = {(row.table, row.key) for row in ROWS}
    assert len(listed) == len(ROWS)
    assert listed == {(table, key) for table, keys in ACCEPTED.items() for key in keys}
    assert {row.key for row in ROWS if row.table == "[wishes]"} == set(Wishes.__dataclass_fields__)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.table} {row.key}")
def test_the_reader_knows_every_key_that_is_listed(row):
    order = {"sitter": [{"body": "viola"}]}
    name = row.table.strip("[]")
    if not name:
        order[row.key] = object()
    elif row.table.startswith("[["):
        order[name] = [{row.key: object()}]
    else:
        order[name] = {row.key: object()}
    # An object is no value of any key; what matters is that it is refused for that, not as unknown.
    with pytest.raises(InputError) as refusal:
        order_from_table(order, "order", "seat")
    assert f"unknown key '{row.key}'" not in str(refusal.value)


def test_ranges_and_defaults_are_those_of_the_reader():
    rows = {(row.table, row.key): row for row in ROWS}
    depth = rows["[wishes]", "depth_mm"]
    assert (depth.allowed, depth.default) == ("0 to 60 mm", "18")
    assert rows["[chair]", "rake_deg"].allowed == "-5 to 15 deg"
    assert rows["[wishes]", "closeness"].allowed == "0 to 1"
    assert rows["[wishes]", "pommel_fade_mm"].default == ""
    assert "D-shaped" in rows["[blank]", "outline"].allowed
    assert rows["[[adjustment]]", "locked"].default == "false"
