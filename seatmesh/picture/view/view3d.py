"""3D views of a seat: rendered meanwhile in a process of their own, then set on sheets."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from seatmesh.picture.contact.contact_map import figure_lines
from seatmesh.picture.contact.pressure_field import drawn_pressure
from seatmesh.picture.view.relief import SPACING_MM
from seatmesh.picture.view.render_process import RenderProcess
from seatmesh.picture.view.shots import Bytes, Marks, read_shots
from seatmesh.picture.view.view_sheet import Shot, draw_view
from seatmesh.seating.sitting import Sitting
from seatmesh.surface import Seat
from seatmesh.units import format_length
from seatmesh.wood.boards.layup import Layup, usual_layup
from seatmesh.wood.boards.layup_text import layup_text

FIRST_S, EACH_S = 60.0, 20.0
"""Time allowed to start, and for every view."""

Draw = Callable[..., object]
"""Calls a function with what follows it, now or later."""


def _here(function: Callable[..., object], *args: Any) -> None:
    function(*args)


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
    """Views on their way; `finish` waits for them. Given up when no longer held.

    `process` has perhaps been started before there was anything to draw; `time_allowed_s` is by default a minute and
    twenty seconds a view, from the last `add` on.
    """

    def __init__(self, process: RenderProcess | None = None, time_allowed_s: float | None = None) -> None:
        self._process = process or RenderProcess()
        self._jobs: list[ViewJob] = []
        self._allowed_s = time_allowed_s
        self._until_s = time.monotonic()
        self._note: str | None = None

    def add(self, job: ViewJob) -> None:
        """Have one more view drawn."""
        name = f"{len(self._jobs):03}.npz"
        self._jobs.append(job)
        _write_job(job, self._process.folder / name)
        self._process.render(name)
        allowed_s = FIRST_S + EACH_S * len(self._jobs) if self._allowed_s is None else self._allowed_s
        self._until_s = time.monotonic() + allowed_s

    def finish(self, draw: Draw = _here) -> str | None:
        """Wait for the views and have their sheets drawn; return None, or one note in words if none could be.

        All are drawn or none. Calling it again gives the same answer.
        """
        if self._process.alive:
            try:
                why_not = self._process.outcome(self._until_s)
                self._note = None if why_not is None else _note(why_not)
                if why_not is None:
                    for number, job in enumerate(self._jobs):
                        shots = read_shots(self._process.folder / f"{number:03}.shots.npz")
                        draw(draw_view, _on_sheet(job, shots), job.seat.title, Path(job.path))
            finally:
                self._process.end()
        return self._note


def start_views(
    jobs: Sequence[ViewJob], *, python: str = sys.executable, time_allowed_s: float | None = None
) -> Views:
    """Start drawing views in one process and return at once; `finish()` of what comes back waits. See `Views`.

    `python` is the interpreter of that process.
    """
    views = Views(RenderProcess(python), time_allowed_s)
    for job in jobs:
        views.add(job)
    return views


def render_views(jobs: Sequence[ViewJob]) -> str | None:
    """Draw views and write them; return None, or one note in words when this machine cannot."""
    return start_views(jobs).finish() if jobs else None


def _note(what: str) -> str:
    return f"3D views were left out ({what}); {WHAT_TO_INSTALL}."


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


def _on_sheet(job: ViewJob, taken: Sequence[tuple[Bytes, Marks]]) -> list[Shot]:
    """Return what the sheet of a view shows: each picture, and what is said of it."""
    given = (job.layup or usual_layup(job.seat.blank)).given
    return [
        Shot(image, marks, said, bool(job.sittings), given)
        for (image, marks), said in zip(taken, _beneath(job), strict=True)
    ]


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
        "views": np.asarray(max(1, len(job.sittings))),
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
