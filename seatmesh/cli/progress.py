"""What a long command is doing, on standard error: a moving bar on a terminal, plain lines elsewhere.

The bar is rich's: it knows terminals, and its Markdown shows the guide there.
"""

from __future__ import annotations

import sys
from contextlib import suppress
from typing import TYPE_CHECKING

from seatmesh.cli.output import before_words, say

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID


class _Shown:
    """The bar on the terminal, if there is one now."""

    bar: Progress | None = None
    task: TaskID | None = None


def step(words: str, done: int | None = None, total: int | None = None) -> None:
    """Say what is being done now; of `total` parts alike, `done` are finished. None: nobody knows how long it takes."""
    if not sys.stderr.isatty():
        say(f"{words} ...")
        return
    if _Shown.bar is None:
        _Shown.bar = _new_bar()
        _Shown.task = _Shown.bar.add_task(words, total=None)
        _Shown.bar.start()
    assert _Shown.task is not None
    _Shown.bar.reset(_Shown.task, start=True, total=total, completed=done or 0, description=words)


def finish() -> None:
    """Take the bar away, so that words can stand where it was."""
    if _Shown.bar is not None:
        with suppress(OSError):
            _Shown.bar.stop()
        _Shown.bar = _Shown.task = None


def _new_bar() -> Progress:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    before_words(finish)
    return Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        redirect_stdout=False,
        redirect_stderr=False,
    )
