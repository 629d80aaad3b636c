"""The process that renders views: started before there is anything to render, so that it loads VTK meanwhile.

VTK without working OpenGL may end its whole process; so it never runs in the caller's.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
import weakref
from pathlib import Path
from typing import Self


class RenderProcess:
    """A child that renders jobs of a folder, and the folder. Given up when no longer held.

    Attributes
    ----------
    folder
        Where jobs are written to, and where what was rendered is found; gone after `end`.
    """

    def __init__(self, python: str = sys.executable) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="seatmesh-views-"))
        self._child = _start(self.folder, python)
        self._give_up = weakref.finalize(self, _end, self._child, self.folder)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    @property
    def alive(self) -> bool:
        """Whether it has not been ended."""
        return self._give_up.alive

    def render(self, name: str) -> None:
        """Have a job of the folder rendered."""
        if not isinstance(self._child, str):
            _tell(self._child, f"{name}\n")

    def outcome(self, until_s: float) -> str | None:
        """Wait for all, until a time of `time.monotonic` at most; return None, or in words why there are none."""
        if isinstance(self._child, str):
            return self._child
        _tell(self._child, None)
        try:
            code = self._child.wait(max(0.0, until_s - time.monotonic()))
        except subprocess.TimeoutExpired:
            return "drawing took longer than the time allowed"
        if code < 0:
            return f"drawing was ended by signal {-code}"
        if code > 0:
            said = (self.folder / "stderr").read_text("utf-8", "replace").split("\n")
            last = next((line.strip() for line in reversed(said) if line.strip()), "no word why")
            return f"drawing ended with {last}"
        return None

    def end(self) -> None:
        """End it, whatever it does, and remove its folder."""
        self._give_up()


def _start(folder: Path, python: str) -> subprocess.Popen[str] | str:
    """Return the child, or in words why there is none.

    This package comes first on its path, the folder it is started from not at all.
    """
    package = str(Path(__file__).resolve().parents[3])
    path = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    command = [python, "-P", "-m", "seatmesh.picture.view.render_child", str(folder)]
    with (folder / "stderr").open("wb") as said:
        try:
            return subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=said,
                text=True,
                env={**os.environ, "PYTHONPATH": path},
            )
        except OSError as error:
            return f"no process could be started: {error.strerror}"


def _tell(child: subprocess.Popen[str], line: str | None) -> None:
    """Send a line, or that there are no more; a child that has ended is told of by its code."""
    if child.stdin is None or child.stdin.closed:
        return
    with contextlib.suppress(OSError):
        if line is None:
            child.stdin.close()
        else:
            child.stdin.write(line)
            child.stdin.flush()


def _end(child: subprocess.Popen[str] | str, folder: Path) -> None:
    if not isinstance(child, str):
        _tell(child, None)
        if child.poll() is None:
            child.kill()
        child.wait()
    shutil.rmtree(folder, ignore_errors=True)
