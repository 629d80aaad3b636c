"""What a command reads it does not write over."""

from __future__ import annotations

import argparse
from contextlib import suppress
from pathlib import Path

from seatmesh.errors import FileRefusedError

READ = ("order", "seat", "readings", "scan", "blank", "meant", "photograph", "body", "fits", "to_fit")
WRITTEN = ("to", "picture", "map", "further")


def refuse_to_write_over_inputs(options: argparse.Namespace) -> None:
    """Refuse a command whose file to write is one of those that it reads.

    Raises
    ------
    FileRefusedError
        It names both.
    """
    for written in WRITTEN:
        for read in READ:
            given = getattr(options, read, None)
            for name in given if isinstance(given, list) else [given]:
                if _are_one(getattr(options, written, None), name):
                    raise FileRefusedError(
                        f"--{written} {getattr(options, written)}: this command reads '{name}', which would be lost; "
                        "give the file to write another name."
                    )


def _are_one(one: object, other: object) -> bool:
    if not (isinstance(one, str) and isinstance(other, str) and one and other):
        return False
    with suppress(OSError, ValueError):
        return Path(one).samefile(other)
    return False
