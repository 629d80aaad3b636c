"""The document types every key: real answers hold no key that it does not know, and no schema is left open."""

import copy
import csv
import io

import jsonschema_rs
import pytest
from seatmesh_service.photograph_schema import PHOTOGRAPH_EXAMPLE, WOOD_EXAMPLE

RICH = {
    "title": "rich",
    "stages": [0.5],
    "blank": {"boards": 3, "width_mm": 480, "glue_lines_mm": [-80, 80]},
    "sitter": [{"body": "viola"}, {"name": "Nan", "body": {"stature_mm": 1640, "mass_kg": 61}}],
    "wishes": {"depth_mm": 14},
    "mark": [
        {"name": "sit bone", "side": "left", "x_mm": -60, "y_mm": 150, "sitter": "Nan"},
        {"name": "sit bone", "side": "right", "x_mm": 70, "y_mm": 150, "sitter": "Nan"},
    ],
    "adjustment": [
        {"action": "deepen", "x_mm": 60, "y_mm": 200, "radius_mm": 30, "amount_mm": 1, "date": "2026-05-31"}
    ],
    "tool": [{"name": "scorp", "radius_mm": 50}],
    "joint": [{"kind": "leg mortise", "x_mm": 150, "y_mm": y, "diameter_mm": 25} for y in (80, 350)],
    "board": [
        {"width_mm": 160, "species": "white oak", "rings": "flat"},
        {"width_mm": 160},
        {"width_mm": 160},
    ],
    "wood": {"plank_width_mm": 200, "plank_length_mm": 2000, "plank_thickness_mm": 55},
}
"""An order that has something to say under every heading."""
PLAIN = {"title": "plain", "sitter": [{"body": "viola"}], "wishes": {"depth_mm": 14}}


@pytest.fixture(scope="module")
def closed(client):
    """Return a function that checks a value against a component, in which no key may be there that is not named."""
    components = copy.deepcopy(client.get("/openapi.json").json()["components"])
    for schema in components["schemas"].values():
        if "properties" in schema:
            schema["additionalProperties"] = False
    checks = {
        name: jsonschema_rs.Draft202012Validator(
            {"$ref": f"#/components/schemas/{name}", "components": components}
        )
        for name in components["schemas"]
    }

    def check(name, value):
        faults = [
            f"{'/'.join(map(str, one.instance_path))}: {one.message}"
            for one in checks[name].iter_errors(value)
        ]
        assert faults == []

    return check


def told(answer):
    assert answer.status_code in (200, 201), answer.text
    return answer.json()


@pytest.mark.parametrize("order", [RICH, PLAIN], ids=["rich", "plain"])
def test_no_key_of_a_seat_and_what_is_made_of_it_is_left_out(client, closed, order):
    seat = told(client.post("/seats", json=order))
    closed("Seat", seat)
    at = f"/seats/{seat['id']}"
    closed("Preview", told(client.post("/seats/previews", json=order)))
    closed("Wood", told(client.get(f"{at}/wood")))
    closed("Rings", told(client.get(f"{at}/rings")))
    closed("Report", told(client.get(f"{at}/report")))
    closed("DepthGrid", told(client.get(f"{at}/depth-grid?spacing_mm=20")))
    closed("ContactMaps", told(client.post(f"{at}/contact-maps", json={})))
    closed("Comparison", told(client.post(f"{at}/comparisons", json={"bodies": ["viola", "cello"]})))


def test_no_key_of_a_study_of_people_is_left_out(client, closed, seat):
    asked = {"count": 3, "public": {"women_share": 0.5, "mass_kg": {"male": {"mean": 88, "sd": 16}}}}
    closed("PeopleQuestion", asked)
    closed("People", told(client.post(f"/seats/{seat['id']}/people", json=asked)))


def test_no_key_of_a_sitter_without_balance_is_left_out(client, closed, seat):
    asked = {"bodies": ["viola"], "load_n": 5e-245}
    maps = told(client.post(f"/seats/{seat['id']}/contact-maps", json=asked))
    assert {one["converged"] for one in maps["sittings"]} == {False}
    closed("ContactMaps", maps)
    closed("Comparison", told(client.post(f"/seats/{seat['id']}/comparisons", json=asked)))


@pytest.mark.parametrize("off_mm", [(0.0,), (1.5, -0.8, 0.0), (0.0, 0.0, 3.0, 0.0, -2.0)])
def test_no_key_of_a_gauge_check_is_left_out(client, closed, seat, off_mm):
    sheet = client.get(f"/seats/{seat['id']}/gauge-sheet.csv?bar_height_mm=40&spacing_mm=30").text
    rows = list(csv.DictReader(io.StringIO(sheet)))
    for number, row in enumerate(rows):
        row["reading_mm"] = str(float(row["expected_mm"]) - off_mm[number % len(off_mm)])
    closed("Readings", {"readings": rows})
    found = told(client.post(f"/seats/{seat['id']}/gauge-checks", json={"readings": rows}))
    assert found["points"]
    closed("GaugeCheck", found)


def test_no_key_of_bodies_measures_and_words_is_left_out(client, closed):
    closed("Bodies", told(client.get("/bodies")))
    closed("KnownBody", told(client.post("/bodies/estimate", json={"stature_mm": 1640, "mass_kg": 61})))
    closed("Measures", told(client.get("/measures")))
    closed("Vocabulary", told(client.get("/vocabulary")))
    closed("Health", told(client.get("/health")))


def test_no_key_of_a_photograph_is_left_out(client, closed):
    closed("Photograph", PHOTOGRAPH_EXAMPLE)
    closed("PhotographMarks", told(client.post("/photographs/marks", json=PHOTOGRAPH_EXAMPLE)))
    closed("PhotographPoints", told(client.post("/photographs/points", json=WOOD_EXAMPLE)))


def test_no_key_of_a_job_and_of_kept_seats_is_left_out(client, closed, seat):
    kept = told(client.get("/seats"))
    assert seat["id"] in [one["id"] for one in kept["seats"]]
    closed("Seats", kept)
    later = client.post("/seats", json={**PLAIN, "title": "later"}, headers={"prefer": "respond-async"})
    assert later.status_code == 202
    closed("Job", later.json())
    closed("Job", told(client.get(later.headers["location"])))


def test_no_key_of_a_refusal_is_left_out(client, closed):
    answer = client.post("/seats", json={})
    assert answer.status_code == 422
    closed("Problem", answer.json())


def test_an_order_that_was_read_is_one_that_may_be_posted(client, closed):
    text = 'units = "in"\n[blank]\nwidth_mm = "18 1/2 in"\n[[sitter]]\nbody = "viola"\n'
    read = told(client.post("/orders", content=text, headers={"content-type": "application/octet-stream"}))
    closed("Order", read)
    assert read["units"] == "in"


def test_no_schema_is_left_open(client):
    document = client.get("/openapi.json").json()
    open_keys = [
        f"{name}.{key}"
        for name, schema in document["components"]["schemas"].items()
        for key, inner in schema.get("properties", {}).items()
        if not {"type", "$ref", "anyOf", "const"} & inner.keys() or inner.get("additionalProperties") is True
    ]
    # A note on a gauge sheet is the maker's own, and is not read.
    assert open_keys == ["Reading.note"]
    assert "x-component" not in str(document)


def test_requests_refuse_what_their_schema_does_not_name(client, seat):
    schemas = client.get("/openapi.json").json()["components"]["schemas"]
    for name in ("Order", "Body", "Question", "Readings", "Reading", "BodyHabit", "StandardErrors"):
        assert schemas[name]["additionalProperties"] is False
    for path in (
        "/seats",
        "/bodies/estimate",
        f"/seats/{seat['id']}/contact-maps",
        f"/seats/{seat['id']}/gauge-checks",
    ):
        assert client.post(path, json={"hight_mm": 1}).status_code == 422
