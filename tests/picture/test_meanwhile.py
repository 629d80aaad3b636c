"""Pictures drawn in a process of their own: the same files, and what goes wrong there is made good or said here."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from seatmesh.errors import FileRefusedError
from seatmesh.picture.light_lines import light_lines
from seatmesh.picture.meanwhile import Meanwhile
from seatmesh.surface import Seat


def drawn_here_and_there(tmp_path: Path, seat: Seat, python: str) -> tuple[bytes, bytes]:
    here, there = tmp_path / "here.png", tmp_path / "there.png"
    light_lines(seat, here, units="mm")
    with Meanwhile(python) as pictures:
        pictures.draw(light_lines, seat, there, units="mm")
        pictures.finish()
    return here.read_bytes(), there.read_bytes()


def test_a_picture_is_the_same_to_the_byte(seat: Seat, tmp_path: Path) -> None:
    here, there = drawn_here_and_there(tmp_path, seat, sys.executable)
    assert here == there


def test_it_is_drawn_there_and_not_here(seat: Seat, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The function is found by its name in the other process; here it is not called at all."""
    called = []
    with Meanwhile() as pictures:
        pictures.draw(light_lines, seat, tmp_path / "there.png", units="mm")
        monkeypatch.setattr(pictures, "_calls", [lambda: called.append(os.getpid())])
        pictures.finish()
    assert called == []
    assert (tmp_path / "there.png").read_bytes()[:4] == b"\x89PNG"


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a shell script")
@pytest.mark.parametrize(
    "lines", ["exit 1", "kill -9 $$", "echo 'all drawn, perhaps'; cat >/dev/null", "cat >/dev/null"]
)
def test_where_the_process_fails_all_is_drawn_here(seat: Seat, tmp_path: Path, lines: str) -> None:
    python = tmp_path / "python"
    python.write_text(f"#!/bin/sh\n{lines}\n", "utf-8")
    python.chmod(0o755)
    here, there = drawn_here_and_there(tmp_path, seat, str(python))
    assert here == there


def test_without_an_interpreter_all_is_drawn_here(seat: Seat, tmp_path: Path) -> None:
    here, there = drawn_here_and_there(tmp_path, seat, str(tmp_path / "none"))
    assert here == there


def test_what_is_refused_there_is_refused_here(seat: Seat, tmp_path: Path) -> None:
    with Meanwhile() as pictures:
        pictures.draw(light_lines, seat, tmp_path / "no" / "lines.png", units="mm")
        with pytest.raises(FileRefusedError, match="cannot be written"):
            pictures.finish()


def test_a_sender_need_not_wait_for_a_process_that_is_busy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More than a pipe holds is sent before what draws is loaded."""
    with Meanwhile() as pictures:
        for number in range(3):
            pictures.draw(Path.write_bytes, tmp_path / f"{number}", bytes(1_000_000))
        monkeypatch.setattr(pictures, "_calls", [])
        pictures.finish()
    assert [(tmp_path / f"{number}").stat().st_size for number in range(3)] == [1_000_000] * 3
