"""The README: one screen, three pictures, the two lines that set up; its body, order and commands work as printed."""

import contextlib
import re
import shlex
from pathlib import Path

import pytest

from seatmesh import read_body, read_order
from seatmesh.cautions import CAUTIONS
from seatmesh.cli import main
from seatmesh.cli.parser import build_parser
from seatmesh.guide import chapter

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
LONGEST = 85
LARGEST_PICTURE = 150_000


def blocks(kind):
    return re.findall(rf"```{kind}\n(.*?)```", README, re.DOTALL)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("readme")
    body, order = blocks("toml")
    (folder / "anna.toml").write_text(body, encoding="utf-8")
    (folder / "anna-chair.toml").write_text(order, encoding="utf-8")
    return folder


def test_it_fits_a_screen_and_shows_three_small_pictures():
    assert len(README.splitlines()) <= LONGEST
    shown = re.findall(r"!\[[^\]]+\]\((.+)\)", README)
    assert len(shown) == 3
    for one in shown:
        assert (TOP / one).stat().st_size < LARGEST_PICTURE, one


def test_two_lines_set_up():
    first, second = re.findall(r"^python3 -m venv .*$", README, re.MULTILINE)
    assert first.endswith("seatmesh demo")
    assert second.endswith("pytest -q -n auto")


def test_body_and_order_are_read(folder):
    assert read_body(folder / "anna.toml").value("hip_breadth_sitting_mm") == pytest.approx(377.8, abs=0.1)
    order = read_order(folder / "anna-chair.toml")
    assert order.sitters[0].body.name == "Anna"
    assert (order.blank.width_mm, order.blank.depth_mm, order.blank.thickness_mm) == (470.0, 420.0, 45.0)


def test_every_command_named_exists(folder):
    typed = [
        shlex.split(line)[1:]
        for block in blocks("sh")
        for line in block.splitlines()
        if line.startswith("seatmesh ")
    ]
    typed += [shlex.split(one) for one in re.findall(r"`seatmesh ([^`]+)`", README)]
    assert {words[0] for words in typed} >= {"measures", "keys", "shape", "sheets", "guide", "serve"}
    for words in typed:
        build_parser().parse_args(words)
        if words[0] == "guide" and len(words) > 1:
            assert chapter(words[1]).title


@pytest.mark.slow
def test_the_first_seat_is_made_as_printed(folder):
    with contextlib.chdir(folder):
        for line in "".join(blocks("sh")[2:]).splitlines():
            assert main(shlex.split(line)[1:]) == 0, line
    made = folder / "out" / "anna-s-chair"
    assert (made / "report.txt").is_file()
    assert (made / "sheets" / "sheets.pdf").is_file()


def test_the_cautions_are_those_of_every_report():
    words = " ".join(README.split())
    for caution in CAUTIONS:
        assert caution in words


def test_links_lead_to_files():
    with contextlib.chdir(TOP):
        assert all(Path(one).is_file() for one in re.findall(r"\]\(([^)]+)\)", README))
