"""The process of `seatmesh.picture.meanwhile`: it carries out calls that come as pickles, one after another.

What draws is loaded before the first call comes. Only when all calls went well does it say so.
"""

from __future__ import annotations

import importlib
import pickle
import sys
from queue import SimpleQueue
from threading import Thread
from typing import BinaryIO

from seatmesh.picture import mpl
from seatmesh.picture.meanwhile import ALL_WELL, LENGTH_BYTES

Calls = SimpleQueue[bytes | None]
ALREADY = ("contact.contact_map", "section.sections", "plan.sitter_plan")
"""Modules of pictures that bring with them all that draws."""


def taken(stream: BinaryIO, calls: Calls) -> None:
    """Take calls as they come, so that the sender need never wait; None is the end."""
    while length := stream.read(LENGTH_BYTES):
        calls.put(stream.read(int.from_bytes(length, "little")))
    calls.put(None)


def main() -> None:
    """Draw until there is nothing more to draw."""
    calls: Calls = SimpleQueue()
    Thread(target=taken, args=(sys.stdin.buffer, calls), daemon=True).start()
    _ = mpl.FigureCanvasAgg, mpl.Figure, mpl.context
    for name in ALREADY:
        importlib.import_module(f"seatmesh.picture.{name}")
    while (call := calls.get()) is not None:
        function, args, kwargs = pickle.loads(call)
        function(*args, **kwargs)
    sys.stdout.buffer.write(ALL_WELL)


if __name__ == "__main__":
    main()
