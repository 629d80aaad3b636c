"""What a long command shows while it works: a bar on a terminal that goes away, plain lines elsewhere."""

import os
import pty
import subprocess
import sys

import pytest

ORDER = """
title = "stool"
[[sitter]]
[sitter.body]
name = "Nan"
sex = "female"
stature_mm = 1640
mass_kg = 61
"""


@pytest.fixture
def order(tmp_path):
    (tmp_path / "order.toml").write_text(ORDER)
    return tmp_path


def command(folder, stderr):
    words = [
        sys.executable,
        "-m",
        "seatmesh",
        "mesh",
        "order.toml",
        "--to",
        "seat.stl",
        "--tolerance-mm",
        "1",
    ]
    environment = {**os.environ, "TERM": "xterm", "COLUMNS": "80"}
    return subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, stderr=stderr, env=environment)


def read_all(number):
    out = b""
    while True:
        try:
            part = os.read(number, 4096)
        except OSError:  # the other end is closed
            return out.decode()
        if not part:
            return out.decode()
        out += part


def test_elsewhere_each_step_is_a_plain_line(order):
    with command(order, subprocess.PIPE) as run:
        _, said = run.communicate(timeout=120)
    assert run.returncode == 0
    assert "shaping 'stool' ..." in said.decode().splitlines()
    assert "\x1b" not in said.decode()


def test_on_a_terminal_a_bar_moves_and_is_taken_away(order):
    ours, theirs = pty.openpty()
    with command(order, theirs) as run:
        os.close(theirs)
        said = read_all(ours)
        run.communicate(timeout=120)
    os.close(ours)
    assert run.returncode == 0
    assert "shaping 'stool'" in said
    assert "━" in said
    assert "shaping 'stool' ..." not in said
    # The last thing that the bar does is to erase its line and to show the cursor again.
    assert said.rindex("\x1b[2K") > said.rindex("━")
    assert said.rindex("\x1b[?25h") > said.rindex("\x1b[?25l")
