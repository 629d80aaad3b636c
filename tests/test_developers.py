"""DEVELOPERS.md: every path that it names exists, every room is named, and its commands are there."""

import re
from importlib import import_module
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
WORDS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
IN_TICKS = re.findall(r"`([^`\n]+)`", WORDS)
FOLDERS = ("seatmesh/", "service/", "tests/", "bodies/", ".ci/")


def paths(words):
    """Return what looks like a path of the tree, in words or in a command."""
    return [one for word in words for one in word.split() if one.startswith(FOLDERS)]


def test_every_path_exists():
    named = paths(IN_TICKS) + paths(re.findall(r"^.*$", WORDS, re.MULTILINE))
    assert len(named) > 60
    missing = [one for one in named if not list(TOP.glob(one.rstrip(".,;:)`")))]
    assert not missing


def test_every_module_named_with_dots_exists():
    for name in {one for one in IN_TICKS if re.fullmatch(r"seatmesh(\.[a-z_]+)+", one)}:
        module, _, attribute = name.rpartition(".")
        assert hasattr(import_module(module), attribute) or import_module(name)


def test_every_room_is_named():
    rooms = {
        f"{one.relative_to(TOP).as_posix()}/"
        for one in (TOP / "seatmesh").iterdir()
        if (one / "__init__.py").is_file()
    }
    rooms |= {f"{one.relative_to(TOP).as_posix()}/" for one in (TOP / "service").iterdir() if one.is_dir()}
    rooms = {one for one in rooms if "__pycache__" not in one}
    loose = {one.relative_to(TOP).as_posix() for one in (TOP / "seatmesh").glob("[a-z]*.py")}
    assert not {one for one in rooms | loose if one not in WORDS}


def test_paragraphs_are_short():
    rooms = WORDS.partition("## The rooms")[2].partition("\n## ")[0]
    for paragraph in rooms.split("\n\n"):
        assert len(paragraph.split()) < 120, paragraph


@pytest.mark.parametrize("suite", ["pytest ", "pytest -m slow"])
def test_both_suites_are_told(suite):
    assert f".venv/bin/{suite}" in WORDS
