"""3D views of a seat, drawn meanwhile in a process of their own.

VTK without working OpenGL may end its whole process; so it never runs in the caller's.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
import weakref
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from seatmesh.picture.contact.contact_map import figure_lines
from seatmesh.picture.contact.pressure_field import drawn_pressure
from seatmesh.picture.view.relief import SPACING_MM
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.boards.layup import Layup, usual_layup
from seatmesh.wood.boards.layup_text import layup_text

FIRST_S, EACH_S = 60.0, 20.0
"""Time allowed to start, and for every view."""

WHAT_TO_INSTALL = (
    "they need OpenGL: install Mesa's software drawing (Debian, Ubuntu: apt install libegl1 libgl1-mesa-dri) "
    "or, in place of the wheel vtk, the wheel vtk-osmesa, and run again; nothing else needs them"
)


@dataclass(frozen=True)
class ViewJob:
    """One picture, its PNG to go to `path`: the seat in plain wood or, for each sitting, coloured by its pressure.

    `layup` is how its boards lie; without one rings of usual boards are drawn for looks.
    """

    seat: Seat
    path: Path | str
    sittings: tuple[Sitting, ...] = ()
    units: str = "mm"
    layup: Layup | None = None


class Views:
    """Views on their way; `finish` waits for them. Given up when no longer held."""

    def __init__(self, jobs: Sequence[ViewJob], python: str, time_allowed_s: float) -> None:
        self._jobs = tuple(jobs)
        self._folder = Path(tempfile.mkdtemp(prefix="seatmesh-views-"))
        self._until = time.monotonic() + time_allowed_s
        self._note: str | None = None
        for number, job in enumerate(self._jobs):
            _write_job(job, self._folder / f"{number:03}.npz")
        self._child = _start(self._folder, python)
        self._give_up = weakref.finalize(self, _end, self._child, self._folder)

    def finish(self) -> str | None:
        """Wait for the views and write them; return None, or one note in words if none could be drawn.

        All are written or none. Calling it again gives the same answer.
        """
        if self._give_up.alive:
            try:
                self._note = self._outcome()
                if self._note is None:
                    for number, job in enumerate(self._jobs):
                        Path(job.path).write_bytes((self._folder / f"{number:03}.png").read_bytes())
            finally:
                self._give_up()
        return self._note

    def _outcome(self) -> str | None:
        if isinstance(self._child, str):
            return _note(self._child)
        try:
            code = self._child.wait(max(0.0, self._until - time.monotonic()))
        except subprocess.TimeoutExpired:
            return _note("drawing took longer than the time allowed")
        if code < 0:
            return _note(f"drawing was ended by signal {-code}")
        if code > 0:
            said = (self._folder / "stderr").read_text("utf-8", "replace").split("\n")
            last = next((line.strip() for line in reversed(said) if line.strip()), "no word why")
            return _note(f"drawing ended with {last}")
        return None


def start_views(
    jobs: Sequence[ViewJob], *, python: str = sys.executable, time_allowed_s: float | None = None
) -> Views:
    """Start drawing views in one child process and return at once; `finish()` of what comes back waits.

    `python` is the interpreter of the child; `time_allowed_s` is by default a minute and twenty seconds a
    view.
    """
    return Views(jobs, python, FIRST_S + EACH_S * len(jobs) if time_allowed_s is None else time_allowed_s)


def render_views(jobs: Sequence[ViewJob]) -> str | None:
    """Draw views and write them; return None, or one note in words when this machine cannot."""
    return start_views(jobs).finish() if jobs else None


def _note(what: str) -> str:
    return f"3D views were left out ({what}); {WHAT_TO_INSTALL}."


def _start(folder: Path, python: str) -> subprocess.Popen[bytes] | str:
    """Return the child, or in words why there is none.

    This package comes first on its path, the folder it is started from not at all.
    """
    package = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    command = [python, "-P", "-m", "seatmesh.picture.view.render_child", str(folder)]
    with (folder / "stderr").open("wb") as said:
        try:
            return subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=said,
                env={**os.environ, "PYTHONPATH": path},
            )
        except OSError as error:
            return f"no process could be started: {error.strerror}"


def _end(child: subprocess.Popen[bytes] | str, folder: Path) -> None:
    if not isinstance(child, str):
        if child.poll() is None:
            child.kill()
        child.wait()
    shutil.rmtree(folder, ignore_errors=True)


def _size(job: ViewJob) -> str:
    blank = job.seat.blank
    sides = (blank.width_mm, blank.depth_mm, blank.thickness_mm)
    return " × ".join(format_length(side, job.units) for side in sides)


def _beneath(job: ViewJob) -> list[str]:
    """Return what is said of each picture: of one all figures, of several the pressures."""
    if not job.sittings:
        return [_size(job)]
    first = 0 if len(job.sittings) == 1 else 1
    return [" · ".join((one.body.name, *figure_lines(one, job.units)[first:])) for one in job.sittings]


def _write_job(job: ViewJob, path: Path) -> None:
    blank = job.seat.blank
    x = np.linspace(-blank.width_mm / 2, blank.width_mm / 2, int(np.ceil(blank.width_mm / SPACING_MM)) + 1)
    line = blank.deck_mm if not blank.deck_is_curved else blank.hollow_start_mm
    ahead = np.linspace(line, blank.depth_mm, int(np.ceil(blank.depth_mm / SPACING_MM)) + 1)
    # The hollow may drop sheer at the deck line: rows on and just ahead of it keep that edge crisp.
    y = np.concatenate([np.arange(0.0, line, SPACING_MM), ahead[:1], ahead[:1] + 0.05, ahead[1:]])
    fields = {
        "x_mm": x,
        "y_mm": y,
        "depth_mm": job.seat.depth_mm(x[None, :], y[:, None]),
        "polygon_mm": blank.polygon_mm(),
        # From above an under-bevel shows as a lower wall.
        "thickness_mm": np.asarray(blank.thickness_mm - float(blank.rise_at_mm(np.zeros(1))[0])),
        "title": np.asarray(job.seat.title),
        "beneath": np.asarray(_beneath(job)),
        "layup": np.asarray(layup_text(job.layup or usual_layup(blank))),
    }
    for number, sitting in enumerate(job.sittings):
        drawn = drawn_pressure(sitting)
        fields |= {
            f"pressure_x_mm_{number}": drawn.x_mm,
            f"pressure_y_mm_{number}": drawn.y_mm,
            f"pressure_kpa_{number}": drawn.pressure_kpa,
        }
    np.savez(path, **fields)  # type: ignore[arg-type]
