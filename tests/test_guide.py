"""The guide is shown by the command and by the service, and refuses what it does not have."""

import json
import re

import pytest

from seatmesh.cli import main
from seatmesh.errors import UnknownKeyError
from seatmesh.guide import ORDER, chapter, chapters


def test_every_file_is_a_chapter_with_a_title():
    assert [one.topic for one in chapters()] == list(ORDER)
    assert all(one.title and one.text.startswith("# ") for one in chapters())


def test_an_unknown_topic_is_refused_with_the_nearest():
    with pytest.raises(UnknownKeyError, match="did you mean 'bench'"):
        chapter("bnech")


def test_the_command_lists_and_shows(capsys):
    assert main(["guide"]) == 0
    listed = capsys.readouterr().out
    assert all(topic in listed for topic in ORDER)
    assert main(["guide", "sources"]) == 0
    assert capsys.readouterr().out.strip() == chapter("sources").text.strip()
    assert main(["guide", "sources", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Sources"
    assert main(["guide", "nothing-like-it"]) == 2


def test_the_python_blocks_run_one_after_another(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"```python\n(.*?)```", chapter("python").text, re.DOTALL)
    names = {}
    for block in blocks:
        exec(block, names)
    said = capsys.readouterr().out.splitlines()
    assert re.fullmatch(r"\d+ kPa over 1 cm2", said[0])
    depth = re.fullmatch(r"(\d+) mm deep under the sit bone; the search settled .*", said[1])
    assert 10 <= int(depth[1]) <= 16
    assert re.fullmatch(r"peak \d+ kPa before, \d+ after", said[2])
    assert re.fullmatch(r"[1-9]\d* crossings still have wood to take", said[3])
    assert re.match(r"(9\d|100) % seen, 0\.0\d mm off; ", said[4])
    assert {"seat.json", "anna-mm.stl", "gauge.csv", "sheets.pdf", "holes.csv"} <= {
        one.name for one in tmp_path.iterdir()
    }
