"""Rooms: no folder of the library or the service holds more than sixteen files, and the page's files find each other.

Both limits are this project's own ("common practice": a folder that is read at one glance). About a dozen is the aim.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MOST_FILES = 16
# The library's top level is not a room: it holds the door, the command's entry, and the notions that all rooms share.
# It has as many as it may have: whoever adds one takes another into a room.
MOST_FILES_AT_THE_TOP = 22
PAGE = ROOT / "service" / "page"
IMPORT = re.compile(
    r"""(?:\bfrom\s*|^\s*import\s*|\bimport\(\s*|\bnew Worker\(new URL\(\s*)["']([^"']+)["']""", re.MULTILINE
)
ADDRESS = re.compile(r"""["'`](?:\{up\})?page/([^"'`?#]+)""")


def rooms(top: Path) -> list[Path]:
    found = (one for one in top.rglob("*") if one.is_dir() and "__pycache__" not in one.parts)
    return [top, *sorted(found)]


def files_of(room: Path) -> list[str]:
    return sorted(one.name for one in room.iterdir() if one.is_file() and not one.name.startswith("."))


def own_modules() -> list[Path]:
    found = sorted(PAGE.rglob("*.js"))
    assert len(found) > 50
    return found


def imports_of(module: Path) -> Iterator[str]:
    return (one[1] for one in IMPORT.finditer(module.read_text(encoding="utf-8")))


@pytest.mark.parametrize("top", ["seatmesh", "service"])
def test_no_room_holds_more_than_sixteen_files(top):
    found = {room.relative_to(ROOT).as_posix(): files_of(room) for room in rooms(ROOT / top)}
    assert len(found) > 5
    limits = dict.fromkeys(found, MOST_FILES) | {"seatmesh": MOST_FILES_AT_THE_TOP}
    crowded = {room: names for room, names in found.items() if len(names) > limits[room]}
    assert crowded == {}, "split what is crowded into rooms by trade noun"


def test_every_import_of_the_page_is_relative_and_names_a_file():
    lost = [
        f"{module.relative_to(PAGE)}: {name}"
        for module in own_modules()
        for name in imports_of(module)
        if not name.startswith(("./", "../")) or not (module.parent / name).is_file()
    ]
    assert lost == []


def test_every_module_of_the_page_is_reached_from_its_first():
    reached, left = set(), [PAGE / "steps.js"]
    while left:
        module = left.pop().resolve()
        if module not in reached:
            reached.add(module)
            left += [module.parent / name for name in imports_of(module)]
    assert reached == set(own_modules())


def test_every_address_of_a_file_of_the_page_names_one():
    naming = [PAGE / "index.html", ROOT / "service/routes/guide.py", *own_modules()]
    named = {(one.name, name) for one in naming for name in ADDRESS.findall(one.read_text(encoding="utf-8"))}
    # A drawing of a measure is named by the measure's key, which the page puts in.
    plain = {(one, name) for one, name in named if "$" not in name}
    assert {one for one, _ in plain} >= {"index.html", "guide.py"}
    assert {(one, name) for one, name in plain if not (PAGE / name).is_file()} == set()
    folders = [PAGE / name.split("$")[0] for _, name in named - plain]
    assert [one for one in folders if not (one.is_dir() and any(one.glob("*.svg")))] == []


def test_nothing_of_the_page_is_minified_or_inline():
    for path in own_modules():
        lines = path.read_text(encoding="utf-8").splitlines()
        assert sum(map(len, lines)) / len(lines) < 100, path
    html = (PAGE / "index.html").read_text(encoding="utf-8")
    assert "<style" not in html
    assert "style=" not in html
    assert html.count("<script") == html.count('<script type="module" src="page/')


def test_every_style_sheet_of_the_page_is_linked():
    linked = "".join(
        (ROOT / one).read_text() for one in ("service/page/index.html", "service/routes/guide.py")
    )
    sheets = {one.relative_to(PAGE).as_posix() for one in PAGE.rglob("*.css")}
    assert {one for one in sheets if f'page/{one}"' not in linked} == set()


@pytest.mark.parametrize("top", ["seatmesh", "service"])
def test_every_package_is_among_those_that_are_installed(top):
    tools = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    folders = {one.parent.relative_to(ROOT) for one in (ROOT / top).rglob("__init__.py")}
    name = "seatmesh_service" if top == "service" else top
    assert {".".join((name, *one.parts[1:])) for one in folders} <= set(tools["packages"])
