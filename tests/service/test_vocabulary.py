"""The vocabulary that the service tells: what the library holds, from where it holds it, and no more than once."""

import numpy as np
import pytest
from shapely import Polygon

from seatmesh import Blank, Chair, Wishes
from seatmesh.cautions import CAUTIONS
from seatmesh.design.orders.key_list import tables
from seatmesh.design.orders.order import order_from_table
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.picture.contact.pressure_scale import STEPS_KPA, lightness
from seatmesh.wood.outline.shapes import OUTLINES
from seatmesh.wood.species import wood_named


@pytest.fixture(scope="module")
def told(client):
    return client.get("/vocabulary").json()


def test_every_key_of_an_order_is_there_and_in_its_order(told):
    assert {name: list(table["keys"]) for name, table in told["tables"].items()} == {
        heading.strip("[]") or "order": [key.name for key in table.keys] for heading, table in tables()
    }


@pytest.mark.parametrize(("table", "kind"), [("blank", Blank), ("chair", Chair), ("wishes", Wishes)])
def test_what_is_usual_is_read_as_nothing_given(told, table, kind):
    """All defaults, written out as an order, are the order without them."""
    usual = {
        key: one["default"]
        for key, one in told["tables"][table]["keys"].items()
        if one["default"] is not None
    }
    sitter = {"sitter": [{"body": "viola"}]}
    assert order_from_table({**sitter, table: usual}, "order", "seat") == order_from_table(
        sitter, "order", "seat"
    )
    assert len(usual) > 1
    assert {key: getattr(kind(), key) for key in usual} == usual


def test_names_are_those_that_the_readers_know(told):
    assert [paper_named(one).name for one in told["papers"]["names"]] == told["papers"]["names"]
    assert told["papers"]["usual"] in told["papers"]["names"]
    assert [wood_named(one).name for one in told["woods"]["names"]] == told["woods"]["names"]
    assert told["woods"]["usual"] in told["woods"]["names"]
    assert set(told["cautions"].values()) == set(CAUTIONS)


def test_formats_are_written(client, told):
    assert {one["suffix"] for one in told["formats"]} <= set(client.get("/health").json()["formats"])
    assert {"stl", "3mf", "glb"} <= {one["suffix"] for one in told["formats"]}


def test_outlines_are_drawn_as_they_are(told):
    assert list(told["outlines"]) == list(OUTLINES)
    for name, points in told["outlines"].items():
        whole = Polygon(Blank(outline=name).polygon_mm())
        # 1.5 mm all round are 2 % of the area and less.
        assert Polygon(points).symmetric_difference(whole).area < 0.01 * whole.area
        assert len(points) < 60


def test_the_pressure_scale_is_dark_where_it_is_hard(told):
    scale = told["pressure"]
    assert tuple(scale["steps_kpa"]) == STEPS_KPA
    rgb = np.array(
        [[int(one[i : i + 2], 16) for i in (1, 3, 5)] for one in [scale["bare"], *scale["colours"]]]
    )
    light = lightness(rgb / 255.0)
    assert len(light) == len(STEPS_KPA) + 1
    assert np.all(np.diff(light[1:]) < -4.0)


def test_it_is_not_sent_twice(client):
    first = client.get("/vocabulary")
    again = client.get("/vocabulary", headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
