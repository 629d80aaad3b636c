"""The script that changes constants and signs: it tries what it says, and its lists are those of the tree."""

import subprocess
import sys
from pathlib import Path

from mutations import NEIGHBOURS, ROOT, harmless, mutations_of, neighbours_of, numeric_files, why_harmless

SCRIPT = Path(__file__).with_name("mutations.py")


def tried(*options):
    done = subprocess.run(
        [sys.executable, str(SCRIPT), *options], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert not done.stderr
    return done.stdout.splitlines()


def test_every_neighbour_is_there():
    assert [one for beside in NEIGHBOURS.values() for one in beside if not (ROOT / one).exists()] == []
    for path in numeric_files():
        assert neighbours_of(path), path


def test_a_change_that_does_no_harm_names_a_line_of_the_tree():
    for file, line, before in harmless():
        assert line in [one.strip() for one in (ROOT / file).read_text("utf-8").splitlines()], (file, line)
        assert before in line, (file, line)


def test_a_reason_is_for_what_it_names_in_a_line_and_no_more():
    known = {("seatmesh/units/known.py", "KG_PER_STONE = 14 * KG_PER_POUND", "14"): "for the test"}
    changes = [
        one
        for one in mutations_of(Path("seatmesh/units/known.py"))
        if one.source.strip() == "KG_PER_STONE = 14 * KG_PER_POUND"
    ]
    assert {one.before: why_harmless(one, known) for one in changes} == {"14": "for the test", "*": ""}


def test_the_tests_that_import_a_module_come_first():
    first = neighbours_of(Path("seatmesh/gauge/save/save_wood.py"))[0]
    assert first == "tests/gauge/test_saving_limits.py"


def test_each_change_is_one_place_of_one_line():
    for one in mutations_of(Path("seatmesh/units/known.py")):
        before, after = (ROOT / one.path).read_text("utf-8").splitlines(), one.text.splitlines()
        assert [k + 1 for k, (a, b) in enumerate(zip(before, after, strict=True)) if a != b] == [one.line]


def test_what_is_noticed_is_killed():
    """The inch is held, and the tests pass without the change."""
    lines = tried("--count", "5000", "--only", "MM_PER_INCH = 25.4")
    assert [line.split()[0] for line in lines if "MM_PER_INCH = 25.4" in line] == ["killed"]
    assert any("passed" in line for line in lines)
    assert lines[-1] == "1 changes: 1 killed, 0 harmless, 0 survived"
