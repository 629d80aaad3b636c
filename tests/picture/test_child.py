"""Processes beside the caller's: forked from a command without threads, else started anew; alike in what they do."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from seatmesh.formats.seat_file import write_seat
from seatmesh.picture.light_lines import light_lines
from seatmesh.surface import Seat

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere nothing is forked")

BEGIN = """
import os, sys, threading, time
from pathlib import Path
from seatmesh.picture.meanwhile import Meanwhile
from seatmesh.picture.view.render_process import RenderProcess
"""


def said_by(lines: str, *arguments: str) -> str:
    """Run lines in an interpreter that has one thread, unlike that of a test, and return what they print."""
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + lines, *arguments],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return done.stdout.strip()


def test_it_is_forked_where_that_is_asked_for_and_sound() -> None:
    kinds = """
kinds = []
def kind(**how):
    with Meanwhile(**how) as pictures:
        kinds.append(type(pictures._child).__name__)
kind(forked=True), kind(), kind(python=sys.executable + "-none", forked=True)
threading.Thread(target=time.sleep, args=(30,), daemon=True).start()
kind(forked=True)
print(kinds)
"""
    assert said_by(kinds) == "['_Forked', '_Started', 'NoneType', '_Started']"


def test_what_is_drawn_in_a_forked_one_is_the_same_to_the_byte(seat: Seat, tmp_path: Path) -> None:
    light_lines(seat, tmp_path / "here.png", units="mm")
    write_seat(seat, tmp_path / "seat.json")
    drawn = """
from seatmesh.formats.seat_file import read_seat
from seatmesh.picture.light_lines import light_lines
folder = Path(sys.argv[1])
with Meanwhile(forked=True) as pictures, RenderProcess(forked=True):
    pictures.draw(light_lines, read_seat(folder / "seat.json"), folder / "there.png", units="mm")
    print(pictures._child._process.is_alive())
    pictures._calls.clear()
    pictures.finish()
"""
    assert said_by(drawn, str(tmp_path)) == "True"
    assert (tmp_path / "here.png").read_bytes() == (tmp_path / "there.png").read_bytes()


def test_a_caller_without_standard_streams_has_children_with_them(tmp_path: Path) -> None:
    """A shell may close what a command reads; the next pipe then has that number."""
    drawn = """
os.close(0)
with Meanwhile(forked=True) as pictures, RenderProcess(forked=True):
    pictures.draw(Path.write_text, Path(sys.argv[1]) / "there", "drawn")
    pictures._calls.clear()
    pictures.finish()
"""
    said_by(drawn, str(tmp_path))
    assert (tmp_path / "there").read_text() == "drawn"


def test_what_goes_wrong_in_a_forked_one_is_told_by_its_last_line(tmp_path: Path) -> None:
    told = """
with RenderProcess(forked=True) as rendering:
    rendering.render("none.npz")
    print(rendering.outcome(time.monotonic() + 60.0))
with RenderProcess(forked=True) as rendering:
    os.kill(rendering._child._process.pid, 9)
    print(rendering.outcome(time.monotonic() + 60.0))
with Meanwhile(forked=True) as pictures:
    os.kill(pictures._child._process.pid, 9)
    pictures.draw(Path.write_text, Path(sys.argv[1]) / "made good", "here")
    pictures.finish()
"""
    lines = said_by(told, str(tmp_path)).splitlines()
    assert "none.npz" in lines[0]
    assert lines[1] == "drawing was ended by signal 9"
    assert (tmp_path / "made good").read_text() == "here"


def test_children_of_a_caller_that_is_killed_end_too() -> None:
    """Neither holds the other's pipe open."""
    killed = """
drawing, rendering = Meanwhile(forked=True), RenderProcess(forked=True)
print(drawing._child._process.pid, rendering._child._process.pid, flush=True)
os.kill(os.getpid(), 9)
"""
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + killed], stdout=subprocess.PIPE, text=True, check=False, timeout=120
    )
    children = [Path("/proc") / pid for pid in done.stdout.split()]
    assert len(children) == 2
    until = time.monotonic() + 60.0
    while any(_runs(one) for one in children):
        assert time.monotonic() < until, "a child waits for ever"
        time.sleep(0.1)


def _runs(process: Path) -> bool:
    try:
        return (process / "stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
