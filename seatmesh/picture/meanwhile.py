"""Pictures drawn meanwhile in a process of their own, which loads what draws while seats are still being shaped.

    with Meanwhile() as pictures:
        ...
        pictures.draw(contact_map, sittings, path)
        ...
        pictures.finish()

Calls are carried out there one after another; functions are found by their names, what they are given is copied. Where
no process can be started, or it does not say that all went well, all is drawn here: the files are the same, and what
is raised is raised here.
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Callable
from typing import ParamSpec, Self

from seatmesh.picture.child import Child, child_of

Given = ParamSpec("Given")

ALL_WELL = b"all drawn"
LENGTH_BYTES = 8
"""A call is sent as its length, least byte first, and its pickle."""


class Meanwhile:
    """A process that draws; it is ended when the block is left. `forked`: see `seatmesh.picture.child`."""

    def __init__(self, python: str = sys.executable, *, forked: bool = False) -> None:
        self._calls: list[Callable[[], object]] = []
        self._child = _started(python, forked=forked)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def draw(self, function: Callable[Given, object], *args: Given.args, **kwargs: Given.kwargs) -> None:
        """Have a module's function called, now or by `finish`; it writes its picture itself."""
        self._calls.append(lambda: function(*args, **kwargs))
        if self._child is None:
            return
        call = pickle.dumps((function, args, kwargs))
        try:
            self._child.stdin.write(len(call).to_bytes(LENGTH_BYTES, "little") + call)
            self._child.stdin.flush()
        except OSError:
            self.end()

    def finish(self) -> None:
        """Wait until all is drawn; raises what a call raises."""
        said = self._child.said() if self._child is not None else b""
        self._child = None
        if said != ALL_WELL:
            for call in self._calls:
                call()

    def end(self) -> None:
        """End it, whatever it does."""
        if self._child is not None:
            self._child.kill()
            self._child = None


def _started(python: str, *, forked: bool) -> Child | None:
    try:
        return child_of("seatmesh.picture.drawing_child", python=python, forked=forked)
    except OSError:
        return None
