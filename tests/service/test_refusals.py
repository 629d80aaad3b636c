"""Every refusal is a problem detail (RFC 9457) that says what was given, what is allowed and what to do."""

import asyncio
import json

import pytest
from fastapi.testclient import TestClient
from seatmesh_service.app import create_app
from seatmesh_service.problems import ProblemError
from seatmesh_service.requests.json_text import parse_table

from .conftest import LIMITS, ORDER

JSON = {"content-type": "application/json"}
NONE = "0" * 32


def is_problem(answer, status):
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    table = answer.json()
    assert table["status"] == status
    assert table["title"]
    assert table["detail"]
    for leak in ("Traceback", "site-packages", "seatmesh_service", "/making"):
        assert leak not in answer.text
    return table["detail"]


@pytest.mark.parametrize(
    ("path", "body", "words"),
    [
        ("/seats", {"sitter": []}, "'sitter' is missing"),
        ("/seats", {"sitters": [{}]}, "did you mean 'sitter'"),
        ("/seats", {"sitter": [{"body": "/etc/hostname"}]}, "body = '/etc/hostname': allowed are "),
        ("/seats", {"sitter": [{"body": "../../etc/hostname"}]}, "body = '../../etc/hostname': allowed"),
        ("/seats", ORDER | {"blank": {"outline_file": "/etc/hostname"}}, "outline_file"),
        ("/seats", ORDER | {"wishes": {"depth_mm": 1e9}}, "allowed are 0 to 60"),
        ("/seats", ORDER | {"sitter": ORDER["sitter"] * 4}, "at most 3"),
        ("/seats/previews", {"sitter": 7}, "list of tables"),
        ("/bodies/estimate", {"stature_mm": 1.7, "mass_kg": 70}, "stature_mm"),
    ],
)
def test_what_is_posted_is_refused_in_words(client, path, body, words):
    assert words in is_problem(client.post(path, json=body), 422)


@pytest.mark.parametrize(
    ("path", "body", "words"),
    [
        ("contact-maps", {"bodies": []}, "1 to 3"),
        ("contact-maps", {"bodies": ["viola"] * 4}, "1 to 3"),
        ("contact-maps", {"bodies": ["nobody"]}, "body = 'nobody': allowed are "),
        ("contact-maps", {"bodies": [None]}, "a name or a table"),
        ("contact-maps", {"posture": "upside down"}, "posture = 'upside down': allowed are upright, "),
        ("contact-maps", {"load_n": -1}, "above 0"),
        ("contact-maps", {"load_n": "heavy"}, "load_n"),
        ("contact-maps?format=bmp", {}, "json, csv, png"),
        ("comparisons", {"boddies": ["viola"]}, "did you mean 'bodies'"),
        ("gauge-checks", {}, "'readings' is missing"),
        ("gauge-checks", {"readings": [{"point": 1}]}, "readings"),
        ("gauge-checks", {"readings": [], "tolerance_mm": 1e9}, "readings"),
    ],
)
def test_questions_are_refused_in_words(client, seat, path, body, words):
    assert words in is_problem(client.post(f"/seats/{seat['id']}/{path}", json=body), 422)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("mesh.exe", "allowed are 3mf, stl"),
        ("mesh.stl?scale=big", "scale"),
        ("mesh.stl?scale=1:4000", "written 1:4"),
        ("mesh.png?scale=1:4", "1:1 for png"),
        ("mesh.stl?tolerance_mm=0", "greater than or equal to 0.02"),
        ("mesh.stl?tolerance_mm=nan", "tolerance_mm"),
        ("mesh.stl?tolerance_mm=0.02", "at most 20000"),
        ("mesh.png?spacing_mm=0.05", "at most 100000"),
        ("depths.csv?spacing_mm=1", "at most 20000"),
        ("depths.csv?spacing_mm=1e-9", "greater than or equal to 1"),
        ("pictures/selfie.png", "'contact'"),
    ],
)
def test_files_are_refused_in_words(client, seat, path, words):
    assert words in is_problem(client.get(f"/seats/{seat['id']}/{path}"), 422)


@pytest.mark.parametrize(
    "one", ["none", NONE, "..%2f..%2fetc", "%00", "." * 32, NONE.upper().replace("0", "A")]
)
@pytest.mark.parametrize("rest", ["", "/mesh.stl", "/report", "/order.toml"])
def test_an_unknown_id_is_not_found(client, one, rest):
    is_problem(client.get(f"/seats/{one}{rest}"), 404)


@pytest.mark.parametrize(
    "path", ["/nothing", "/seats/../../etc/passwd", "/page/../app.py", "/page/%2e%2e/app.py"]
)
def test_there_is_nothing_elsewhere(client, path):
    is_problem(client.get(path), 404)


def test_another_method_is_told_what_is_allowed(client):
    answer = client.delete("/orders")
    assert "POST" in is_problem(answer, 405)
    assert answer.headers["allow"] == "POST"


@pytest.mark.parametrize(
    ("body", "status", "words"),
    [
        (b"", 400, "not JSON"),
        (b"{", 400, "not JSON"),
        (b"[]", 422, "one JSON object"),
        (b"\xff\xfe", 400, "UTF-8"),
        (b'{"a": NaN}', 400, "NaN is no finite number"),
        (b'{"a": -Infinity}', 400, "no finite number"),
        (b'{"a": 1e999}', 422, "finite"),
        (b'{"a": ' + b"9" * 5000 + b"}", 400, "not JSON"),
        (b'{"a": 1, "a": 2}', 400, "twice"),
        (b'{"a": "\\ud800"}', 422, "surrogate"),
        (b'{"sitter":' + b"[" * 17 + b"]" * 17 + b"}", 422, "16 lists and tables"),
        (b"[" * 50_000, 422, "16 lists and tables"),
        (b'{"a":' * 10_000, 422, "16 lists and tables"),
        (b" " * 61_000, 413, "60 kB"),
    ],
)
def test_hostile_bodies_are_refused(client, body, status, words):
    answer = client.post("/seats", content=body, headers=JSON)
    detail = is_problem(answer, status)
    assert words in detail or words in answer.json()["title"]


def test_brackets_in_texts_are_no_depth():
    words = json.dumps({"title": "[" * 100 + '"' + "\\{" * 100}).encode()
    assert parse_table(words, 2) == json.loads(words)
    with pytest.raises(ProblemError):
        parse_table(b'{"a": [[]]}', 2)


def test_a_body_that_is_counted_while_it_arrives(client):
    def parts():
        for _ in range(100):
            yield b" " * 1000

    is_problem(client.post("/seats", content=parts(), headers=JSON), 413)


@pytest.mark.parametrize("kind", ["text/plain", "", "multipart/form-data", "application/xml"])
def test_a_page_of_another_origin_cannot_post_without_being_asked_for(client, kind):
    # Text, forms and none are what a browser sends elsewhere without asking first (Fetch standard, "simple" types).
    answer = client.post("/seats", content=b"{}", headers={"content-type": kind})
    assert "application/json" in is_problem(answer, 415)


def test_a_slow_body_is_given_up(app, client):
    sent = []

    async def slow():
        await asyncio.sleep(60)

    async def post():
        scope = {
            "type": "http", "method": "POST", "path": "/seats", "raw_path": b"/seats", "query_string": b"",
            "headers": [(b"host", b"localhost"), (b"content-type", b"application/json")],
            "http_version": "1.1", "scheme": "http", "root_path": "", "client": ("127.0.0.1", 1),
        }  # fmt: skip

        async def keep(message):
            sent.append(message)

        await app(scope, slow, keep)

    client.portal.call(post)
    assert sent[0]["status"] == 408
    assert (b"connection", b"close") in sent[0]["headers"]


def test_a_fault_of_the_program_says_nothing_of_its_inside(client, app, monkeypatch):
    def broken(_id):
        raise RuntimeError("secret of /the/inside.py")

    monkeypatch.setattr(app.state.desk, "seat", broken)
    answer = client.get(f"/seats/{NONE}")
    assert "secret" not in answer.text
    is_problem(answer, 500)


@pytest.mark.parametrize("token", ["sixteen-letters-x", None])
def test_security_headers_are_on_every_answer(tmp_path, token):
    client = TestClient(create_app(tmp_path, LIMITS, token), base_url="http://localhost")
    for answer in (client.get("/nothing"), client.get("/openapi.json"), client.options("/seats")):
        assert "default-src 'self'" in answer.headers["content-security-policy"]
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert not any(name.startswith("access-control") for name in answer.headers)


def test_a_token_is_asked_for_everywhere_but_on_the_page(tmp_path):
    client = TestClient(create_app(tmp_path, LIMITS, "sixteen-letters-x"), base_url="http://seats.example")
    for given in (
        {},
        {"Authorization": "Bearer wrong"},
        {"Authorization": "sixteen-letters-x"},
        {"Authorization": "Bearer \xe9"},
    ):
        answer = client.get("/openapi.json", headers={k: v.encode("latin-1") for k, v in given.items()})
        is_problem(answer, 401)
        assert answer.headers["www-authenticate"] == "Bearer"
    good = {"Authorization": "Bearer sixteen-letters-x"}
    assert client.get("/openapi.json", headers=good).status_code == 200
    assert client.get("/").status_code != 401
    assert client.get("/page/none.js").status_code == 404
    is_problem(client.get("/pages"), 401)


def test_without_a_token_only_names_of_this_machine_are_answered(tmp_path):
    client = TestClient(create_app(tmp_path, LIMITS), base_url="http://localhost")
    for host in ("localhost", "localhost:8000", "127.0.0.1:8000", "[::1]:8000", "[::1]"):
        assert client.get("/openapi.json", headers={"host": host}).status_code == 200
    for host in (
        "seats.example",
        "127.0.0.1.seats.example",
        "localhost.seats.example:80",
        "127.seats.example",
        "",
    ):
        is_problem(client.get("/openapi.json", headers={"host": host}), 421)


def test_another_origin_only_when_asked_for(tmp_path):
    client = TestClient(
        create_app(tmp_path, LIMITS, None, "https://shop.example"), base_url="http://localhost"
    )
    asked = client.options("/seats", headers={"origin": "https://shop.example"})
    assert asked.status_code == 204
    assert asked.headers["access-control-allow-origin"] == "https://shop.example"
    assert "POST" in asked.headers["access-control-allow-methods"]
