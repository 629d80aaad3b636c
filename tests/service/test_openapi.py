"""The OpenAPI document: every example works as printed, every name ends in its unit, and the service keeps to it."""

import re

import pytest
import requests
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings, strategies
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance
from seatmesh_service.app import create_app

from seatmesh import LoadShare

from .conftest import ORDER
from .live import live

OPTIONS = [
    f"--limit={name}"
    for name in ("work_s=150", "grid_points=20000", "pixels=100000", "facets=20000", "sitters=3")
]

UNITS = "mm|kpa|cm2|cm3|n|kg|years|deg|percent|ratio|share|count|kpa_per_cm|mm_per_m|kg_m3|mpa|gpa|c|s"
"""Ends of names that carry a number; a plain count, a share and an id need none."""
PLAIN = [
    *LoadShare.__dataclass_fields__,
    "weight", "closeness", "roundness", "boards", "stages", "value", "standard_error", "low_90", "high_90", "status",
    "equal", "difference", "residual", "converged", "point", "load_share", "locked", "lowest", "highest", "tape_error",
    "step", "factor", "least_factor", "cost", "symmetry", "match", "share", "balance_error", "before", "before_error",
    "standing_out", "chance_limit", "row", "default", "wanted_factor", "thinnest_factor", "share_reached", "mean", "sd",
    "effective_people", "bound", "usual", "peak_times_own_best", "balanced", "q10", "q50", "q90", "higher", "lower",
]  # fmt: skip


MADE = (200, 201)
"""Statuses of an answer that has what was asked for: 201 once seats say so."""


@pytest.fixture(scope="module")
def document(client):
    return client.get("/openapi.json").json()


def posts(document):
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            for media, content in operation.get("requestBody", {}).get("content", {}).items():
                if "example" in content:
                    yield method, path, media, content["example"]


def test_it_is_openapi_3_1_with_every_path(document):
    assert document["openapi"].startswith("3.1")
    assert {
        "/health", "/bodies", "/bodies/estimate", "/orders", "/seats", "/seats/previews", "/seats/{seat_id}",
        "/seats/{seat_id}/mesh.{suffix}", "/seats/{seat_id}/depths.csv", "/seats/{seat_id}/order.toml",
        "/seats/{seat_id}/report", "/seats/{seat_id}/pictures/{kind}.png", "/seats/{seat_id}/contact-maps",
        "/seats/{seat_id}/comparisons", "/seats/{seat_id}/gauge-checks",
    } <= set(document["paths"])  # fmt: skip
    for methods in document["paths"].values():
        for operation in methods.values():
            assert operation["summary"]
            assert operation["description"]
            assert len(operation["tags"]) == 1


def test_every_example_of_a_body_works_as_printed(client, seat, document):
    done = 0
    for method, path, media, example in posts(document):
        data = (
            {"json": example}
            if media == "application/json"
            else {"content": example, "headers": {"content-type": media}}
        )
        answer = client.request(method, path.replace("{seat_id}", seat["id"]), **data)
        assert answer.status_code in MADE, (path, answer.text[:300])
        done += 1
    assert done >= 7


def test_every_parameter_is_described_and_its_example_works(client, document):
    """The id that stands as an example is that of the order that stands as one."""
    order = document["paths"]["/seats"]["post"]["requestBody"]["content"]["application/json"]["example"]
    assert client.post("/seats", json=order).status_code in MADE
    asked = 0
    for path, operation in gets(document):
        given = [shared(document, one) for one in operation.get("parameters", [])]
        assert all(one["description"] and "example" in one for one in given), path
        places = {one["name"]: one["example"] for one in given if one["in"] == "path"}
        query = {one["name"]: one["example"] for one in given if one["in"] == "query"}
        headers = {one["name"]: one["example"] for one in given if one["in"] == "header"}
        # A job or a batch has an id that nobody knows before it is there.
        fleeting = {"job_id", "batch_id"} & places.keys()
        answer = client.get(path.format(**places), params=query, headers=headers)
        if fleeting:
            assert answer.status_code == 404, path
            continue
        assert answer.status_code in MADE, (path, answer.text[:300])
        asked += 1
    assert asked >= 17


def gets(document):
    return [(path, methods["get"]) for path, methods in document["paths"].items() if "get" in methods]


def shared(document, one):
    return document["components"]["parameters"][one["$ref"].rpartition("/")[2]] if "$ref" in one else one


def test_refusals_share_one_schema_and_names_are_those_a_programmer_would_choose(document):
    refusals = [
        answer
        for methods in document["paths"].values()
        for operation in methods.values()
        for status, answer in operation["responses"].items()
        if status >= "400"
    ]
    assert all(answer.keys() == {"$ref"} for answer in refusals)
    for name, answer in document["components"]["responses"].items():
        if name != "NotModified":
            assert answer["content"] == {
                "application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}
            }
    names = {one["operationId"] for methods in document["paths"].values() for one in methods.values()}
    assert names >= {
        "shape_seat",
        "get_seat",
        "get_mesh",
        "list_bodies",
        "estimate_body",
        "preview_seat",
        "check_readings",
    }
    assert all(re.fullmatch(r"[a-z]+(_[a-z]+)+", one) for one in names)
    assert all(one["description"] for one in document["tags"])


def test_headers_of_answers_are_told_as_they_come(client, seat, document):
    told = document["paths"]["/seats/{seat_id}/mesh.{suffix}"]["get"]["responses"]["200"]
    answer = client.get(f"/seats/{seat['id']}/mesh.stl")
    assert answer.headers.get("content-type") in told["content"]
    for name in told["headers"]:
        assert answer.headers[name]
    again = client.get(f"/seats/{seat['id']}/mesh.stl", headers={"if-none-match": answer.headers["etag"]})
    assert again.status_code == 304
    assert {"ETag", "Content-Disposition", "Retry-After", "WWW-Authenticate"} <= set(
        document["components"]["headers"]
    )


def test_the_token_is_told_where_it_is_asked_for(tmp_path, document):
    token = "letters-enough-for-a-token"
    with TestClient(create_app(tmp_path / "kept", token=token), base_url="http://localhost") as stranger:
        for path, operation in gets(document):
            status = stranger.get(path.replace("{topic}", "http")).status_code
            is_open = operation.get("security", document["security"]) == []
            assert (status == 401) == (not is_open), path
    assert document["security"] == [{}, {"token": []}]
    assert document["components"]["securitySchemes"]["token"]["scheme"] == "bearer"


def test_every_number_has_its_unit_in_its_name(document):
    def walk(schema):
        if isinstance(schema, dict):
            for name, inner in schema.get("properties", {}).items():
                kinds = [inner, *inner.get("anyOf", [])]
                if any(one.get("type") in ("number", ["number", "null"]) for one in kinds):
                    assert name in PLAIN or re.search(rf"_({UNITS})$", name), name
            for inner in schema.values():
                walk(inner)
        elif isinstance(schema, list):
            for inner in schema:
                walk(inner)

    walk(document)


# Bounds of an order hang on one another (floor plus depth fits the thickness), which no JSON schema can say; so what
# the schema allows may yet be refused, in words, with 422. All other checks hold.
EXCLUDED = [positive_data_acceptance]
# Of many orders or bodies in one request each that is refused has words in its own row, and the others are made.
ROW_BY_ROW = ("POST /batches", "POST /seats/{seat_id}/sittings")


def excluded_for(case):
    """Return the checks that do not hold for an operation."""
    return [*EXCLUDED, negative_data_rejection] if case.operation.label in ROW_BY_ROW else EXCLUDED


@pytest.fixture(scope="module")
def described(tmp_path_factory):
    with live(tmp_path_factory.mktemp("fuzzed"), *OPTIONS) as address:
        yield schemathesis.openapi.from_url(f"{address}/openapi.json")


def cases_of(operation, seat):
    """Return broken requests, and valid ones, most about a seat that is there and sitters who can be."""

    def mended(case, there, who):
        if there and "seat_id" in (case.path_parameters or {}):
            case.path_parameters["seat_id"] = seat
        if isinstance(case.body, dict) and "sitter" in case.body and who:
            case.body = {**case.body, "sitter": ORDER["sitter"][:1]}
        return case

    often = strategies.sampled_from([True, True, True, False])
    valid = operation.as_strategy(generation_mode=GenerationMode.POSITIVE)
    broken = operation.as_strategy(generation_mode=GenerationMode.NEGATIVE)
    return strategies.one_of(strategies.builds(mended, valid, often, often), broken)


def keeps_to_its_document(described, examples):
    """Ask every operation so many times; return how many requests were sent."""
    seat = requests.post(
        f"{described.location.removesuffix('/openapi.json')}/seats", json=ORDER, timeout=60
    ).json()["id"]
    sent = []
    for result in described.get_all_operations():
        operation = result.ok()

        @settings(
            max_examples=examples,
            derandomize=True,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=[Phase.generate],
        )
        @given(cases_of(operation, seat))
        def ask(case):
            sent.append(case)
            case.call_and_validate(excluded_checks=excluded_for(case), timeout=200)

        ask()
    return len(sent)


def test_the_service_keeps_to_its_document(described):
    assert keeps_to_its_document(described, 24) >= 300


def test_a_seat_that_is_being_shaped_and_a_full_disk_are_documented(client):
    paths = client.get("/openapi.json").json()["paths"]
    for path, method in (
        ("/seats/{seat_id}", "get"),
        ("/seats/{seat_id}", "delete"),
        ("/jobs/{job_id}", "get"),
    ):
        assert "503" in paths[path][method]["responses"], (path, method)
    for path, method in (
        ("/seats/{seat_id}", "delete"),
        ("/seats/{seat_id}/pin", "put"),
        ("/jobs/{job_id}", "delete"),
    ):
        assert "507" in paths[path][method]["responses"], (path, method)
    assert "507" in paths["/batches/{batch_id}/archive.zip"]["get"]["responses"]
