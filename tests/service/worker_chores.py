"""Work for the tests of the workers; a module by itself, so that a new process finds it."""

import os
import signal
import time
from pathlib import Path

import numpy as np

from seatmesh.design.steps import step


def nap(seconds, mark=None):
    if mark is not None:
        Path(mark).touch()
    time.sleep(seconds)
    return os.getpid()


def die_unless(mark):
    if not Path(mark).exists():
        Path(mark).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return "done"


def die():
    os.kill(os.getpid(), signal.SIGKILL)


def grow(megabytes):
    return int(np.ones(megabytes * 125_000).sum())


def fail():
    raise ZeroDivisionError("inside")


def take_steps(count):
    for one in range(count):
        step(f"step {one}", one, count)
    return "done"


def niceness_after(seconds):
    time.sleep(seconds)
    return os.getpid(), os.getpriority(os.PRIO_PROCESS, 0)
