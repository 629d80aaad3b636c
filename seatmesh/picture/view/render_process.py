"""The process that renders views: started before there is anything to render, so that it loads VTK meanwhile.

VTK without working OpenGL may end its whole process; so it never runs in the caller's.
"""

from __future__ import annotations

import contextlib
import shutil
import sys
import tempfile
import time
import weakref
from pathlib import Path
from typing import Self

from seatmesh.picture.child import Child, child_of


class RenderProcess:
    """A child that renders jobs of a folder, and the folder. Given up when no longer held.

    `forked`: see `seatmesh.picture.child`.

    Attributes
    ----------
    folder
        Where jobs are written to, and where what was rendered is found; gone after `end`.
    """

    def __init__(self, python: str = sys.executable, *, forked: bool = False) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="seatmesh-views-"))
        self._child = _start(self.folder, python, forked=forked)
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
            with contextlib.suppress(OSError):
                self._child.stdin.write(f"{name}\n".encode())
                self._child.stdin.flush()

    def outcome(self, until_s: float) -> str | None:
        """Wait for all, until a time of `time.monotonic` at most; return None, or in words why there are none."""
        if isinstance(self._child, str):
            return self._child
        code = self._child.wait(max(0.0, until_s - time.monotonic()))
        if code is None:
            return "drawing took longer than the time allowed"
        if code < 0:
            return f"drawing was ended by signal {-code}"
        if code > 0:
            said = (self.folder / "printed").read_text("utf-8", "replace").split("\n")
            last = next((line.strip() for line in reversed(said) if line.strip()), "no word why")
            return f"drawing ended with {last}"
        return None

    def end(self) -> None:
        """End it, whatever it does, and remove its folder."""
        self._give_up()


def _start(folder: Path, python: str, *, forked: bool) -> Child | str:
    """Return the child, or in words why there is none."""
    try:
        return child_of(
            "seatmesh.picture.view.render_child",
            str(folder),
            words=folder / "printed",
            python=python,
            forked=forked,
        )
    except OSError as error:
        return f"no process could be started: {error.strerror}"


def _end(child: Child | str, folder: Path) -> None:
    if not isinstance(child, str):
        child.kill()
    shutil.rmtree(folder, ignore_errors=True)
