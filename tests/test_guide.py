"""The guide is shown by the command and by the service, and refuses what it does not have."""

import json

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
