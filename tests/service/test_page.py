"""The page and its files: media types, tags, and nothing but what is in its folder."""

import pytest
from seatmesh_service.routes import page

FILES = {
    "index.html": ("text/html; charset=utf-8", "<!doctype html><title>seat</title>" + " " * 2000),
    "page.js": ("text/javascript; charset=utf-8", "export const one = 1;"),
    "sheet.css": ("text/css; charset=utf-8", "body { margin: 0 }"),
    "sitters/drawings/stature.svg": ("image/svg+xml", "<svg xmlns='http://www.w3.org/2000/svg'/>"),
}


@pytest.fixture
def files(tmp_path, monkeypatch):
    for name, (_, text) in FILES.items():
        (tmp_path / "page" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "page" / name).write_text(text)
    (tmp_path / "page" / ".hidden").write_text("secret")
    (tmp_path / "outside.txt").write_text("secret")
    monkeypatch.setattr(page, "FOLDER", tmp_path / "page")


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize("name", FILES)
def test_files_have_their_type_and_tag(client, name):
    path = "/" if name == "index.html" else f"/page/{name}"
    answer = client.get(path)
    assert (answer.status_code, answer.headers["content-type"], answer.text) == (200, *FILES[name])
    assert client.get(path, headers={"if-none-match": answer.headers["etag"]}).status_code == 304
    assert "script-src 'self'" in answer.headers["content-security-policy"]


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize(
    "name",
    [
        "",
        ".hidden",
        "sitters",
        "sitters/drawings",
        "../outside.txt",
        "%2e%2e/outside.txt",
        "..%5coutside.txt",
        "none.js",
    ],
)
def test_nothing_else_is_given_out(client, name):
    answer = client.get(f"/page/{name}")
    assert answer.status_code == 404
    assert "secret" not in answer.text


def test_without_a_page_its_place_says_so(client, tmp_path, monkeypatch):
    monkeypatch.setattr(page, "FOLDER", tmp_path / "none")
    answer = client.get("/")
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"
    assert "not installed" in answer.json()["detail"]
