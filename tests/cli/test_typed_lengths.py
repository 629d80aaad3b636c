"""Negative lengths as makers type them, after a space, in every option that takes a value."""

import argparse
import subprocess
import sys

import pytest

from seatmesh.cli import main
from seatmesh.cli.parser import build_parser
from seatmesh.cli.typed_lengths import joined


def commands(parser, path=()):
    """Every command with its parser, sub-commands too."""
    below = [one for one in parser._actions if isinstance(one, argparse._SubParsersAction)]
    if not below:
        yield path, parser
    for action in below:
        for name, child in action.choices.items():
            yield from commands(child, (*path, name))


def taking_values():
    """Every option of every command that takes a value, with what that command needs besides."""
    for path, parser in commands(build_parser()):
        needed = []
        for action in parser._actions:
            if not action.option_strings and action.nargs != "?":
                needed.append("a-file")
            elif action.required:
                needed += [action.option_strings[0], "a-file"]
        for action in parser._actions:
            if action.option_strings and action.nargs is None:
                yield pytest.param(path, needed, action, id=f"{' '.join(path)} {action.option_strings[0]}")


def test_the_walk_finds_the_options():
    names = {(*one.values[0], one.values[2].option_strings[0]) for one in taking_values()}
    assert ("gauge", "save", "--gouge") in names
    assert ("gauge", "sheet", "--rests-mm") in names
    assert ("adjust", "--x-mm") in names
    assert len(names) > 50


@pytest.mark.parametrize(("path", "needed", "action"), list(taking_values()))
def test_every_option_takes_a_negative_number_after_a_space(path, needed, action):
    typed = {float: ("-60", "-.5"), int: ("-3",)}.get(
        action.type, ("-60", "-60.5", "-60,160,35,2", "-1/8 in", '-1 3/16"', "-.5", "-1,0,0", "\u22125")
    )
    for value in typed:
        options = build_parser().parse_args([*path, *needed, action.option_strings[0], value])
        got = getattr(options, action.dest)
        got = got[-1] if isinstance(got, list) else got
        assert got == (action.type(value) if action.type else value)


def test_what_is_joined_and_what_is_not():
    assert joined(["--x-mm", "-60", "--side", "left"]) == ["--x-mm=-60", "--side", "left"]
    assert joined(["--x-mm=-60", "-5"]) == ["--x-mm=-60", "-5"]
    assert joined(["--json", "--undo"]) == ["--json", "--undo"]
    assert joined(["--to", "-a.json"]) == ["--to", "-a.json"]
    assert joined(["--", "--x-mm", "-60"]) == ["--", "--x-mm", "-60"]


def test_a_flag_takes_no_number_and_an_option_needs_its_value(capsys):
    for words in (["keys", "--json", "-5"], ["mesh", "seat.json", "--to"], ["keys", "-5"]):
        with pytest.raises(SystemExit) as ended:
            main(words)
        assert ended.value.code == 2
    assert "expected one argument" in capsys.readouterr().err


def test_the_words_of_the_shell_are_read_too(tmp_path):
    ask = [sys.executable, "-m", "seatmesh", "gauge", "save", "none.json", "--gouge", "-60,160,35,2"]
    done = subprocess.run(ask, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "none.json" in done.stderr
    assert "expected" not in done.stderr
