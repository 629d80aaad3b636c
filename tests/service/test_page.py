"""The page and its files: media types, tags, and nothing but what is in its folder."""

import json
import re
import shutil
import subprocess

import pytest
from fastapi.testclient import TestClient
from seatmesh_service import page_release
from seatmesh_service.app import create_app
from seatmesh_service.page_joined import without_comments
from seatmesh_service.page_release import FOLDER

from .conftest import LIMITS

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


JOINING = {
    "index.html": '<head></head><script type="module" src="page/steps.js"></script>',
    "steps.js": 'import {\n  count,\n} from "./parts/a.js";\nimport "./parts/b.js";\nconst b = count();\n'
    'globalThis.later = import("./parts/later.js").then((one) => one.later + b);\n',
    "parts/a.js": 'import { b as given } from "./b.js";\nlet counted = 0;\n'
    "export function count() {\n  return ++counted;\n}\n"
    "export class Box {\n  of = given;\n}\nexport const where = import.meta.url;\n",
    "parts/b.js": 'export const b = await Promise.resolve("b");\n',
    "parts/later.js": "export const later = 2;",
}


def put(folder, files):
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    return page_release.release_of(folder)


def named_in_head(release):
    head, _, rest = release.index.data.decode().partition("</head>")
    return [line.split('"')[3] for line in head.splitlines() if "modulepreload" in line], rest


def test_modules_of_the_beginning_come_in_one_file_and_no_others(tmp_path):
    release = put(tmp_path, JOINING)
    named, rest = named_in_head(release)
    assert named == [f"page/{release.name}/{one}" for one in ("steps.js", "first.js")]
    assert f'src="page/{release.name}/steps.js"' in rest
    whole = release.files["first.js"].data.decode()
    assert all(f'JOINED["{one}"] = ' in whole for one in ("parts/a.js", "parts/b.js"))
    assert "globalThis" not in whole
    assert "const later" not in whole
    assert release.files["parts/later.js"].data.decode() == JOINING["parts/later.js"]


def test_comments_of_their_own_lines_go_and_nothing_else():
    comments = "/**\n * Of `many\n * lines. */\n// One.\n"
    script = comments + '  const a = `${b ? `${b} ` : ""}${c} / ${d}`; // kept\n\n/* x */\n  f(a);\n'
    assert without_comments(script) == 'const a = `${b ? `${b} ` : ""}${c} / ${d}`; // kept\n\nf(a);'
    for text in (
        "/* x */ f();\n",
        "/*\n x */ f();\n",
        "a = `\n  // of the text\n`;\n",
        "  a = 'one \\\n  two';\n",
    ):
        assert without_comments(text) == text


@pytest.mark.skipif(not shutil.which("node"), reason="node runs the modules")
def test_joined_modules_are_the_ones_that_their_own_addresses_give(tmp_path):
    for name, one in put(tmp_path / "given", JOINING).files.items():
        (tmp_path / "made" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "made" / name).write_bytes(one.data)
    (tmp_path / "made" / "package.json").write_text('{"type": "module"}')
    (tmp_path / "made" / "asks.js").write_text(
        'import "./steps.js";\nimport { count, Box, where } from "./parts/a.js";\n'
        "console.log(JSON.stringify([count(), new Box().of, where, await globalThis.later, import.meta.url]));\n"
    )
    told = subprocess.run(
        ["node", "asks.js"], cwd=tmp_path / "made", capture_output=True, text=True, check=True
    )
    counted, box, where, later, here = json.loads(told.stdout)
    assert (counted, box, later) == (2, "b", 3)
    assert where == here.replace("asks.js", "parts/a.js")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("steps.js", 'import * as all from "./parts/b.js";\n'),
        ("steps.js", 'import all from "./parts/b.js";\n'),
        ("steps.js", "const JOINED = 1;\n"),
        ("parts/a.js", 'import * as all from "./b.js";\n'),
        ("parts/a.js", 'export * from "./b.js";\n'),
        ("parts/a.js", "export default 1;\n"),
        ("parts/a.js", "export let one = 1;\n"),
        ("parts/a.js", "export const { one } = { one: 1 };\n"),
        ("parts/a.js", "const JOINED = 1;\n"),
        ("parts/a.js", 'import { round } from "./round.js";\n'),
        ("parts/a.js", 'import { none } from "./none.js";\n'),
    ],
)
def test_what_cannot_be_joined_is_named_module_by_module(tmp_path, name, text):
    round_about = {"parts/round.js": 'import { b } from "./a.js";\nexport const round = 1;\n'}
    given = JOINING | round_about | {name: JOINING[name] + text}
    release = put(tmp_path, given)
    named, _ = named_in_head(release)
    assert f"page/{release.name}/parts/b.js" in named
    assert "first.js" not in release.files
    for one in ("steps.js", "parts/a.js", "parts/b.js"):
        assert release.files[one].data.decode() == given[one]


def test_sheets_come_in_one_file_before_those_of_paper(tmp_path):
    links = "".join(f'<link rel="stylesheet" href="page/{one}.css">\n' for one in ("b", "a"))
    paper = '<link rel="stylesheet" href="page/print.css" media="print">\n'
    files = {
        "index.html": f"<head>\n{links}{paper}</head>",
        "a.css": "a { }",
        "b.css": "b { }",
        "print.css": "p { }",
    }
    release = put(tmp_path, files)
    assert release.files["first.css"].data.decode() == "b { }\na { }"
    sheets = re.findall(r'href="page/[0-9a-f]+/([a-z.]+)"', release.index.data.decode())
    assert sheets == ["first.css", "print.css"]


def test_nothing_is_fetched_ahead_that_asks_for_a_token(tmp_path):
    open_page, asking = (
        TestClient(create_app(tmp_path / name, LIMITS, token=token), base_url="http://localhost")
        .get("/")
        .text
        for name, token in (("open", None), ("asking", "a-token-of-24-letters-xx"))
    )
    ahead = '<link rel="preload" href="vocabulary" as="fetch" crossorigin>\n'
    assert ahead in open_page
    assert open_page.replace(ahead, "") == asking


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
    steps = (FOLDER / "steps.js").read_text()
    places = re.findall(r'guide: "([a-z-]+)#([a-z0-9-]+)"', steps)
    assert len(places) == steps.count("load: async")
    for chapter, heading in places:
        assert f' id="{heading}">' in client.get(f"/guide/{chapter}").text, heading
