"""What is sent, and how: media types and packings by their weights, and bodies that come packed."""

import gzip
import json
import zlib

import pytest

from ..conftest import ORDER

JSON = {"content-type": "application/json"}


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        # RFC 9110, 12.5.1: weights, and the closest range counts.
        (None, "application/json"), ("*/*", "application/json"), ("text/csv", "text/csv"), ("image/*", "image/png"),
        ("text/csv;q=0.5, image/png;q=0.8", "image/png"), ("application/json;q=0.1, text/csv;q=0.2", "text/csv"),
        ("text/*;q=0.3, text/csv;q=0, */*;q=0.1", "application/json"), ("TEXT/CSV ; Q=1.0", "text/csv"),
        ("application/json, text/plain, */*", "application/json"), ("text/csv, */*", "text/csv"),
        ("text/csv;header=present;q=0.9, application/json;q=0.8", "text/csv"),
        ("application/xml, text/html, */*;q=0.8", "application/json"),
        ("text/csv;q=2, application/json", "application/json"),
    ],
)  # fmt: skip
def test_contact_maps_come_as_the_client_likes_best(client, seat, accept, kind):
    headers = {"accept": accept} if accept else {}
    request = client.build_request("POST", f"/seats/{seat['id']}/contact-maps", json={}, headers=headers)
    if accept is None:
        del request.headers["accept"]
    answer = client.send(request)
    assert answer.headers["content-type"].partition(";")[0] == kind
    assert "Accept" in answer.headers["vary"].split(", ")


@pytest.mark.parametrize(
    "accept", ["application/xml", "text/html, image/webp", "*/*;q=0", "application/json;q=0"]
)
def test_what_there_is_not_is_refused_with_what_there_is(client, seat, accept):
    answer = client.post(f"/seats/{seat['id']}/contact-maps", json={}, headers={"accept": accept})
    assert answer.status_code == 406
    assert "application/json, text/csv, image/png" in answer.json()["detail"]


@pytest.mark.parametrize(
    ("accept", "sent"),
    [
        # RFC 9110, 12.5.3.
        ("gzip", "gzip"), ("x-gzip", "gzip"), ("*", "gzip"), ("br, gzip;q=0.2", "gzip"), ("GZIP", "gzip"),
        ("", None), ("br", None), ("gzip;q=0", None), ("gzip;q=0.000", None), ("*;q=0, identity", None),
        ("gzip;q=0.5, identity;q=0.9", None), ("identity, gzip", "gzip"), ("identity;q=0, *", "gzip"),
        ("gzip;q=lots", None), ("gzip;q=0, *;q=1", None),
    ],
)  # fmt: skip
@pytest.mark.parametrize("path", ["mesh.stl?tolerance_mm=0.5", "depth-grid", "sheets.pdf"])
def test_a_file_is_packed_as_the_client_likes_it(client, seat, path, accept, sent):
    path = f"/seats/{seat['id']}/{path}"
    whole = client.get(path, headers={"accept-encoding": "identity"})
    answer = client.get(path, headers={"accept-encoding": accept})
    assert answer.headers.get("content-encoding") == sent
    assert answer.content == whole.content
    if sent:
        # What a PDF holds is packed already.
        share = 1.0 if path.endswith(".pdf") else 0.9
        assert int(answer.headers["content-length"]) < share * int(whole.headers["content-length"])


@pytest.mark.parametrize("accept", ["identity;q=0", "*;q=0", "br, *;q=0", "gzip;q=0, identity;q=0"])
def test_a_client_that_takes_no_packing_that_there_is(client, seat, accept):
    for path in ("", "/depth-grid", "/mesh.3mf?tolerance_mm=0.5"):
        answer = client.get(f"/seats/{seat['id']}{path}", headers={"accept-encoding": accept})
        assert answer.status_code == 406
        assert "identity" in answer.json()["detail"]
    assert client.get("/health", headers={"accept-encoding": accept}).status_code == 406


def test_what_packing_does_not_shrink_is_not_packed(client, seat):
    for path in ("mesh.3mf?tolerance_mm=0.5", "pictures/plan.png", "order.toml"):
        answer = client.get(f"/seats/{seat['id']}/{path}", headers={"accept-encoding": "gzip"})
        size = len(answer.content)
        assert len(gzip.compress(answer.content, 6)) > 0.9 * size
        packed = answer.headers.get("content-encoding") == "gzip"
        assert not packed or int(answer.headers["content-length"]) < size


def packed_order(**more):
    return gzip.compress(json.dumps(ORDER | more).encode())


@pytest.mark.parametrize("coding", ["gzip", "x-gzip", "GZIP", "gzip, identity"])
def test_a_packed_body_is_the_same_order(client, seat, coding):
    answer = client.post("/seats", content=packed_order(), headers=JSON | {"content-encoding": coding})
    assert answer.json()["id"] == seat["id"]
    halves = json.dumps(ORDER).encode()
    two = gzip.compress(halves[:40]) + gzip.compress(halves[40:])
    assert (
        client.post("/seats", content=two, headers=JSON | {"content-encoding": coding}).json()["id"]
        == seat["id"]
    )


@pytest.mark.parametrize("coding", ["br", "deflate", "zstd", "gzip, gzip", "gzip, br", "x" * 300])
def test_another_packing_is_told_which_are_taken(client, coding):
    answer = client.post("/seats", content=packed_order(), headers=JSON | {"content-encoding": coding})
    assert answer.status_code == 415
    assert answer.headers["accept-encoding"] == "gzip, identity"
    assert "gzip" in answer.json()["detail"]


@pytest.mark.parametrize(
    ("body", "status", "words"),
    [
        (gzip.compress(b" " * 50_000_000), 413, "60 kB"),
        (gzip.compress(b"{" * 60_001), 413, "60 kB"),
        (packed_order()[:-9], 400, "too early"),
        (packed_order()[:5], 400, "too early"),
        (b"", 400, "too early"),
        (b"{}", 400, "no gzip"),
        (zlib.compress(b"{}"), 400, "no gzip"),
        (packed_order() + b"more", 400, "no gzip"),
        (gzip.compress(b"") * 1000, 400, "members"),
    ],
    # What is packed holds the time: bytes would name the tests differently in every process.
    ids=[
        "blanks", "braces", "without its end", "without its head's end", "nothing", "not packed", "packed otherwise",
        "followed by more", "too many members",
    ],
)  # fmt: skip
def test_packed_bodies_of_every_bad_kind(client, body, status, words):
    answer = client.post("/seats", content=body, headers=JSON | {"content-encoding": "gzip"})
    assert answer.status_code == status
    assert words in answer.json()["detail"] + answer.json()["title"]


def test_toml_and_csv_may_come_packed_too(client, seat):
    toml = b'[[sitter]]\nbody = "viola"\n'
    headers = {"content-type": "application/toml", "content-encoding": "gzip"}
    assert client.post("/orders", content=gzip.compress(toml), headers=headers).json() == {
        "sitter": [{"body": "viola"}]
    }
