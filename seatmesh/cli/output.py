"""Where words go: results to standard output, progress and notes to standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import Any


def say(words: str) -> None:
    """Tell the user, on standard error, what is going on."""
    sys.stderr.write(f"{words}\n")
    sys.stderr.flush()


def print_json(value: Any) -> None:
    """Print one JSON object on standard output."""
    sys.stdout.write(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def print_text(text: str) -> None:
    """Print text on standard output."""
    sys.stdout.write(text.rstrip("\n") + "\n")


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
