"""A process of this package's own beside the caller's: forked from it where that is sound, else Python started anew.

Libraries that a command and both of its children need take a second to load. Forked children have them loaded already;
so a command that has not begun yet loads them once and forks. That is sound while the caller has no other thread; it is
done on Linux alone, as libraries of macOS forbid it and Windows has none.
"""

from __future__ import annotations

import contextlib
import importlib
import multiprocessing
import os
import subprocess
import sys
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Protocol

SHARED = ("scipy.interpolate", "scipy.ndimage", "scipy.optimize", "scipy.sparse.linalg", "scipy.spatial")
"""What is loaded before a fork; each brings NumPy."""

AFTER_STANDARD = 3
"""The first number that is no standard stream's."""

_kept_open: set[int] = set()
"""Ends of pipes that are the caller's alone: a child that kept another's open would never let it see the end."""


class Child(Protocol):
    """A process that reads its standard input to the end.

    Attributes
    ----------
    stdin
        Where it is told what to do; closed by `said` and `wait`.
    """

    stdin: IO[bytes]

    def said(self) -> bytes:
        """Tell it that there is no more, wait for it, and return what it wrote to standard output."""

    def wait(self, timeout_s: float) -> int | None:
        """Tell it that there is no more and wait; return its exit code, below 0 a signal's, or None: time is up."""

    def kill(self) -> None:
        """End it, whatever it does."""


def child_of(
    module: str, *arguments: str, words: Path | None = None, python: str, forked: bool = False
) -> Child:
    """Return a process that runs a module's `main` with arguments.

    Parameters
    ----------
    words
        A file for all that it prints, and then nothing is `said`; without, its standard error goes nowhere.
    python
        What starts it, where it is not forked. This package comes first on its path, the folder it is started from not
        at all.
    forked
        Whether it may be forked from the caller.

    Raises
    ------
    OSError
        No process can be started.
    """
    if forked and sys.platform == "linux" and python == sys.executable and threading.active_count() == 1:
        for name in SHARED:
            importlib.import_module(name)
        return _Forked(module, arguments, words)
    return _Started(module, arguments, words, python)


class _Started:
    """Python started anew."""

    def __init__(self, module: str, arguments: Sequence[str], words: Path | None, python: str) -> None:
        package = str(Path(__file__).resolve().parents[2])
        path = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
        with Path(words or os.devnull).open("wb") as printed:
            self._process = subprocess.Popen(
                [python, "-P", "-m", module, *arguments],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE if words is None else printed,
                stderr=printed,
                env={**os.environ, "PYTHONPATH": path},
            )
        assert self._process.stdin is not None
        self.stdin: IO[bytes] = self._process.stdin

    def said(self) -> bytes:
        return self._process.communicate()[0] or b""

    def wait(self, timeout_s: float) -> int | None:
        try:
            self._process.communicate(timeout=timeout_s)
        except subprocess.TimeoutExpired:
            return None
        return self._process.returncode

    def kill(self) -> None:
        self._process.kill()
        self._process.communicate()


class _Forked:
    """A copy of the caller, which goes on with a module's `main`."""

    def __init__(self, module: str, arguments: Sequence[str], words: Path | None) -> None:
        (told, tell), (hear, say) = os.pipe(), os.pipe()
        _kept_open.update((tell, hear))
        printed = os.open(words or os.devnull, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        ends = (told, say, printed) if words is None else (told, printed, os.dup(printed))
        self._process = multiprocessing.get_context("fork").Process(
            target=_run, args=(module, arguments, ends), daemon=True
        )
        self._process.start()
        for end in {*ends, say}:
            os.close(end)
        self.stdin: IO[bytes] = os.fdopen(tell, "wb")
        self._stdout = os.fdopen(hear, "rb")

    def said(self) -> bytes:
        self._no_more()
        words = self._stdout.read()
        self._process.join()
        self._close()
        return words

    def wait(self, timeout_s: float) -> int | None:
        self._no_more()
        self._process.join(timeout_s)
        return self._process.exitcode

    def kill(self) -> None:
        self._process.kill()
        self._process.join()
        self._no_more()
        self._close()

    def _no_more(self) -> None:
        if not self.stdin.closed:
            _kept_open.discard(self.stdin.fileno())
            with contextlib.suppress(OSError):
                self.stdin.close()

    def _close(self) -> None:
        if not self._stdout.closed:
            _kept_open.discard(self._stdout.fileno())
            self._stdout.close()


def _run(module: str, arguments: Sequence[str], ends: tuple[int, int, int]) -> None:
    """Be a process of one's own: ends of pipes for the standard streams, and nothing of the caller's."""
    import fcntl  # noqa: PLC0415 - not everywhere

    for end in _kept_open:
        os.close(end)
    _kept_open.clear()
    # Where the caller was started without standard streams its pipes have their numbers: out of the way first.
    for stream, end in enumerate([fcntl.fcntl(end, fcntl.F_DUPFD, AFTER_STANDARD) for end in ends]):
        os.dup2(end, stream)
        os.close(end)
    for end in ends:
        if end >= AFTER_STANDARD:
            os.close(end)
    sys.stdin, sys.stdout, sys.stderr = os.fdopen(0, "r"), os.fdopen(1, "w"), os.fdopen(2, "w", buffering=1)
    sys.argv = [module, *arguments]
    importlib.import_module(module).main()
