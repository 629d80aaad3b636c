"""The page and its files: media types, tags, and nothing but what is in its folder."""

import re

import pytest
from seatmesh_service import page_release

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
    monkeypatch.setattr(page_release, "FOLDER", tmp_path / "page")


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
    monkeypatch.setattr(page_release, "FOLDER", tmp_path / "none")
    answer = client.get("/")
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"
    assert "not installed" in answer.json()["detail"]


GRAPH = {
    "index.html": '<head></head><script type="module" src="page/steps.js"></script>',
    "steps.js": 'import { h } from "./parts/a.js";\nconst later = import("./later.js");\n',
    "parts/a.js": 'import {\n  b,\n} from "./b.js";\nexport { c } from "../c.js";\nimport "./b.js";\n',
    "parts/b.js": "export const b = 1;",
    "c.js": "export const c = 1;",
    "later.js": "export const later = 1;",
}


def put(folder, files):
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return page_release.release_of(folder)


def test_modules_of_the_beginning_are_named_in_the_head_and_no_others(tmp_path):
    release = put(tmp_path, GRAPH)
    head, _, rest = release.index.data.decode().partition("</head>")
    named = [line.split('"')[3] for line in head.splitlines() if "modulepreload" in line]
    assert named == [f"page/{release.name}/{one}" for one in ("steps.js", "parts/a.js", "parts/b.js", "c.js")]
    assert f'src="page/{release.name}/steps.js"' in rest


def test_another_byte_anywhere_is_another_release(tmp_path):
    one = put(tmp_path / "one", GRAPH)
    same = put(tmp_path / "same", GRAPH)
    other = put(tmp_path / "other", GRAPH | {"later.js": "export const later = 2;"})
    renamed = put(tmp_path / "renamed", {name.replace("c.js", "d.js"): text for name, text in GRAPH.items()})
    assert one.name == same.name
    assert len({one.name, other.name, renamed.name}) == 3


def test_files_by_the_release_are_kept_for_good_and_of_another_are_refused(client):
    head = client.get("/")
    assert head.headers["cache-control"] == "no-cache"
    (name,) = {line.split("/")[1] for line in head.text.split('"') if line.startswith("page/")}
    kept = client.get(f"/page/{name}/steps.js")
    assert kept.headers["cache-control"] == "public, max-age=31536000, immutable"
    plain = client.get("/page/steps.js")
    assert (plain.content, plain.headers["cache-control"]) == (kept.content, "no-cache")
    other = client.get("/page/0123456789abcdef/steps.js")
    assert other.status_code == 404
    assert "load it again" in other.json()["detail"]
    assert "immutable" not in other.headers.get("cache-control", "")


def test_every_step_leads_to_a_place_in_the_guide(client):
    steps = client.get("/page/steps.js").text
    places = re.findall(r'guide: "([a-z-]+)#([a-z0-9-]+)"', steps)
    assert len(places) == steps.count("load: async")
    for chapter, heading in places:
        assert f' id="{heading}">' in client.get(f"/guide/{chapter}").text, heading
