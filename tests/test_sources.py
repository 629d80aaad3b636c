"""Figures from outside are cited by id, and every id stands in the guide with its source and how it was obtained."""

import re
from pathlib import Path

import pytest

from seatmesh.wood.species import SPECIFIC_GRAVITY, wood_named

ROOT = Path(__file__).parents[1]
SOURCES = ROOT / "seatmesh" / "guide" / "sources.md"
ID = re.compile(r"\b(?:C\d|S\d{1,2}b?|L\d|B\d{1,2}b?|A\d|D\d|W\d)\b")
HOW = ("read", "derived", "memory")
NO_IDS = frozenset({"A0", "A7"})
"""Paper sizes that look like an id and are no row of the table."""


def rows():
    """Return the cells of each row whose first cell is an id."""
    table = [
        [cell.strip() for cell in line.strip().strip("|").split(" | ")]
        for line in SOURCES.read_text("utf-8").splitlines()
        if line.startswith("|")
    ]
    return {cells[0]: cells for cells in table if ID.fullmatch(cells[0])}


def citing_files():
    return [
        path
        for folder in ("seatmesh", "service", "tests")
        for path in sorted((ROOT / folder).rglob("*"))
        if path.suffix in {".py", ".md"} and path != SOURCES and path != Path(__file__)
    ] + [ROOT / "README.md", ROOT / "DEVELOPERS.md"]


def cited():
    found = {}
    for path in citing_files():
        for name in ID.findall(path.read_text("utf-8")):
            found.setdefault(name, path.relative_to(ROOT))
    return found


def test_every_cited_id_stands_in_the_table():
    known = rows()
    assert not {name: path for name, path in cited().items() if name not in known and name not in NO_IDS}


def test_enough_ids_are_cited_that_the_search_works():
    assert len(cited()) > 40


def test_every_row_says_how_its_figure_was_obtained():
    for name, cells in rows().items():
        assert cells[-1].startswith(HOW), name
        assert all(cells[:2]), name


def test_no_id_stands_twice():
    names = re.findall(r"^\| (\w+) \|", SOURCES.read_text("utf-8"), re.M)
    ids = [one for one in names if ID.fullmatch(one)]
    assert len(ids) == len(set(ids))


def test_what_is_from_memory_is_listed_with_a_reason():
    library = ROOT / "seatmesh"
    say_so = {
        path.relative_to(library).as_posix()
        for path in library.rglob("*.py")
        if "from memory" in path.read_text("utf-8")
    }
    listed = dict(re.findall(r"^\| `([\w/]+\.py)` \|.*\| ([^|]+) \|$", SOURCES.read_text("utf-8"), re.M))
    assert set(listed) == say_so
    assert all(listed.values())


def test_densities_are_those_of_the_table():
    (row,) = (cells for name, cells in rows().items() if name == "W5")
    read = dict(re.findall(r"([a-z-]+(?: [a-z]+)?) \.(\d\d) ", row[2] + " "))
    ours = {
        "yellow-poplar": "yellow poplar", "white pine": "pine", "white ash": "ash", "american elm": "elm",
        "sugar maple": "hard maple",
    }  # fmt: skip
    assert len(read) > 6
    for name, hundredths in read.items():
        wood = ours.get(name, name)
        if wood in SPECIFIC_GRAVITY:
            assert SPECIFIC_GRAVITY[wood] == int(hundredths) / 100.0, name


def test_a_wood_weighs_its_gravity_and_the_water_in_it():
    """W5 holds at 12 % moisture: oven-dry mass over the volume then; the water comes on top of it."""
    assert wood_named("walnut").mass_kg(1e6) == pytest.approx(0.55 * 1.12)
    assert wood_named("Hard  Maple").density_kg_m3 == pytest.approx(630.0 * 1.12)


def test_woods_that_the_row_lacks_are_those_of_the_same_table():
    """Wood Handbook, table 5-3, at 12 %: American beech, northern red oak, yellow birch; from memory."""
    known = {"beech": 0.64, "red oak": 0.63, "yellow birch": 0.62}
    assert {name: SPECIFIC_GRAVITY[name] for name in known} == known
