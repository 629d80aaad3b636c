"""The records of keys: what orders accept, lists show and requests may hold is the same, and each is sound."""

import dataclasses

import pytest
from seatmesh_service.schema import order_schema

from seatmesh import Blank, Chair, InputError, Wishes
from seatmesh.design.orders.given_order import TABLES
from seatmesh.design.orders.key_list import key_facts, key_rows, tables
from seatmesh.design.orders.order import order_from_table
from seatmesh.files.keys.number import Number
from seatmesh.files.keys.table import KeyRows, has_default
from seatmesh.wood.joint import Joint

ROWS = key_rows()
KEYS = [(heading, table, key) for heading, table in tables() for key in table.keys]
UNITS = {"mm": "_mm", "deg": "_deg"}


def named(one):
    heading, _, key = one
    return f"{heading} {key.name}"


def with_key(heading, name, value):
    order = {"sitter": [{"body": "viola"}]}
    inner = heading.strip("[]")
    if not inner:
        order[name] = value
    elif heading.startswith("[["):
        order[inner] = [{name: value}]
    else:
        order[inner] = {name: value}
    return order


def test_every_key_is_listed_once():
    listed = [(row.table, row.key) for row in ROWS]
    assert len(set(listed)) == len(listed)
    assert set(listed) == {(heading, key.name) for heading, _, key in KEYS} | {
        ("", one.name) for one in TABLES
    }


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.table} {row.key}")
def test_the_reader_knows_every_key_that_is_listed(row):
    # An object is no value of any key; what matters is that it is refused for that, not as unknown.
    with pytest.raises(InputError) as refusal:
        order_from_table(with_key(row.table, row.key, object()), "order", "seat")
    assert f"unknown key '{row.key}'" not in str(refusal.value)


@pytest.mark.parametrize("heading", sorted({row.table for row in ROWS}))
def test_the_reader_knows_no_other(heading):
    with pytest.raises(InputError, match="unknown key 'colour'"):
        order_from_table(with_key(heading, "colour", 1), "order", "seat")


def test_requests_may_hold_what_is_listed_but_for_files():
    whole = order_schema()["properties"]
    for heading, table in tables():
        name = heading.strip("[]")
        told = {"": whole}.get(name) or whole[name].get("items", whole[name])["properties"]
        keys = {key.name for key in table.keys if not key.names_file}
        assert set(told) == keys | ({one.name for one in TABLES} if not name else set())
        for key in table.keys:
            if not key.names_file:
                assert told[key.name]["title"] == key.label
                assert told[key.name].get("default") == table.default(key)


@pytest.mark.parametrize("one", KEYS, ids=named)
def test_a_record_is_sound(one):
    _, table, key = one
    assert key.label[0].isupper()
    assert len(key.meaning) > 5
    default = table.default(key)
    if default is not None:
        assert key.kind.read(default, key.name) == default, (
            "what stands where it is left out is allowed itself"
        )
        assert not key.needed
    if isinstance(key.kind, Number):
        assert key.name.endswith(UNITS.get(key.kind.unit, key.name))
        assert key.kind.lowest < key.kind.highest
    if key.slider is not None:
        assert key.kind.holds(key.slider.lowest)
        assert key.kind.holds(key.slider.highest)
    if table.fields is not None and key.default is not None:
        held = {field.name for field in dataclasses.fields(table.fields) if has_default(field)}
        assert key.name not in held, "a default stands in one place"


@pytest.mark.parametrize(
    ("name", "kind", "others"),
    [
        ("blank", Blank, {"own_outline_mm", "joints"}),
        ("chair", Chair, set()),
        ("wishes", Wishes, set()),
        ("joint", Joint, set()),
    ],
)
def test_every_field_has_its_key(name, kind, others):
    keys = {key.name for heading, _, key in KEYS if heading.strip("[]") == name}
    fields = {field.name for field in dataclasses.fields(kind)}
    assert fields - others <= keys
    further = {
        Blank: {"outline_points_mm", "outline_between", "outline_file", "outline_units"},
        Wishes: {"character"},
    }
    assert keys - fields == further.get(kind, set())


def test_rows_that_are_too_many_are_refused():
    for one in TABLES:
        if isinstance(one, KeyRows):
            with pytest.raises(InputError, match=f"at most {one.most}"):
                one.read_all([{}] * (one.most + 1), "order")


def test_words_on_ranges_and_defaults():
    rows = {(row.table, row.key): row for row in ROWS}
    depth = rows["[wishes]", "depth_mm"]
    assert (depth.allowed, depth.default) == ("0 to 60 mm", "18")
    assert rows["[chair]", "rake_deg"].allowed == "-5 to 15 deg"
    assert rows["[wishes]", "closeness"].allowed == "0 to 1"
    assert rows["[wishes]", "pommel_fade_mm"].default == ""
    assert "D-shaped" in rows["[blank]", "outline"].allowed
    assert rows["[[adjustment]]", "locked"].default == "false"
    assert rows["[[adjustment]]", "side"].default == "both"
    assert rows["[[adjustment]]", "amount_mm"].allowed == "above 0 to 20 mm"
    assert rows["[[joint]]", "diameter_mm"].default == ""


def test_facts_are_plain_values():
    facts = {
        (heading, key.name): key_facts(table, key) for heading, table, key in KEYS if heading == "[[joint]]"
    }
    size = facts["[[joint]]", "diameter_mm"]
    assert (size["unit"], size["lowest"], size["highest"], size["default"]) == ("mm", 3.0, 100.0, None)
    assert size["needed_for"] == ["leg mortise", "back post", "spindle", "circle"]
    assert facts["[[joint]]", "side"]["choices"] == ["one", "both"]
