"""Below a proxy's prefix and under versioned paths everything is as without."""

import re

import pytest
from fastapi.testclient import TestClient
from seatmesh_service.app import create_app

from seatmesh.cli.entry import main

from ..conftest import LIMITS, ORDER

PREFIX = "/seats-of-mine"


@pytest.fixture(scope="module")
def below(tmp_path_factory):
    app = create_app(tmp_path_factory.mktemp("a") / "kept", LIMITS, prefix=PREFIX)
    with TestClient(app, base_url="http://localhost") as one:
        yield one


@pytest.mark.parametrize(
    "path", ["/", "/guide", "/guide/bench", "/page/steps.js", "/health", "/openapi.json"]
)
def test_a_proxy_may_take_the_prefix_off_or_not(below, path):
    answers = [below.get(one + path) for one in ("", PREFIX, f"{PREFIX}/v1", "/v1")]
    assert [one.status_code for one in answers] == [200] * 4
    assert len({one.content for one in answers}) == 1


@pytest.mark.parametrize("path", ["/", "/guide", "/guide/first-seat"])
def test_links_lead_on_below_the_prefix(below, path):
    answer = below.get(PREFIX + path)
    links = re.findall(r'(?:href|src)="([^"#]+)"', answer.text)
    assert len(links) > 5
    for link in links:
        whole = answer.request.url.join(link)
        assert whole.path.startswith(PREFIX + "/"), link
        assert below.get(whole.path).status_code == 200, link


def test_files_of_the_page_ask_below_it():
    from seatmesh_service.page_release import FOLDER

    for path in FOLDER.rglob("*.js"):
        text = path.read_text()
        assert not re.search(r"""(from|import\()\s*["'`]/|fetch\(["'`]/|(src|href): ["'`]/""", text), path


@pytest.mark.parametrize(("headers", "before"), [({}, ""), ({"x-forwarded-prefix": "/proxied/at"}, "/proxied/at"),
                                                 ({"x-forwarded-prefix": "//evil.example"}, ""),
                                                 ({"x-forwarded-prefix": "/a\"><script>"}, "")])  # fmt: skip
def test_location_and_document_say_where_they_are(client, seat, headers, before):
    posted = client.post("/seats", json=ORDER, headers=headers)
    assert posted.headers["location"] == f"{before}/seats/{seat['id']}"
    posted = client.post("/v1/seats", json=ORDER, headers=headers)
    assert posted.headers["location"] == f"{before}/v1/seats/{seat['id']}"
    document = client.get("/openapi.json", headers=headers).json()
    assert [one["url"] for one in document["servers"]] == [f"{before}/v1"]


def test_the_document_below_the_prefix(below):
    assert below.get("/openapi.json").json()["servers"][0]["url"] == f"{PREFIX}/v1"


def test_versioned_paths_answer_as_the_others(client, seat):
    for path in ("/bodies", f"/seats/{seat['id']}", f"/seats/{seat['id']}/depths.csv", "/none", "/seats/x"):
        plain, versioned = client.get(path), client.get(f"/v1{path}")
        assert (versioned.status_code, versioned.headers.get("etag")) == (
            plain.status_code,
            plain.headers.get("etag"),
        )
    for path in ("/v2/bodies", "/v1bodies", "/v1/v1/bodies"):
        assert client.get(path).status_code == 404


@pytest.mark.parametrize(
    "prefix", ["seats-of-mine", "/a b", "/a/../b", "//a", "/seats", "/v1/x", "/guide", "/" + "a" * 99]
)
def test_a_prefix_that_is_none_is_refused(capsys, monkeypatch, tmp_path, prefix):
    monkeypatch.chdir(tmp_path)
    assert main(["serve", "--prefix", prefix, "--port", "1"]) == 2
    assert "--prefix" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
