"""Where words go: results to standard output, progress and notes to standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from typing import Any, TextIO

_FIRST: list[Callable[[], None]] = []


def before_words(clear: Callable[[], None]) -> None:
    """Call `clear` before any words are written: it takes away what stands in their place on a terminal."""
    if clear not in _FIRST:
        _FIRST.append(clear)


def _clear() -> None:
    for one in _FIRST:
        one()


def say(words: str) -> None:
    """Tell the user, on standard error, what is going on."""
    _clear()
    sys.stderr.write(f"{_sayable(words, sys.stderr)}\n")
    sys.stderr.flush()


def print_json(value: Any) -> None:
    """Print one JSON object on standard output, its letters spelled out where the output has not all of them."""
    _clear()
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    if _sayable(text, sys.stdout) != text:
        text = json.dumps(value, indent=2, ensure_ascii=True, allow_nan=False)
    sys.stdout.write(f"{text}\n")


def print_text(text: str) -> None:
    """Print text on standard output."""
    _clear()
    sys.stdout.write(_sayable(text.rstrip("\n"), sys.stdout) + "\n")


def _sayable(text: str, stream: TextIO) -> str:
    """Return text as a stream can write it: a letter that its encoding lacks is spelled out."""
    encoding = stream.encoding or "utf-8"
    return text.encode(encoding, "backslashreplace").decode(encoding)


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return rows in columns: the first to the left, the others to the right."""
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head))]
    lines = []
    for row in (head, *rows):
        cells = [
            cell.ljust(w) if i == 0 else cell.rjust(w)
            for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)
