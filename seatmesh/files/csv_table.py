"""Tables as CSV text: the one place that writes them, so that no text in a cell is taken for a formula.

A spreadsheet takes a cell that begins with one of = + - @ for a formula, and runs it: a name or a note would do what
its writer wanted, on the machine of whoever opens the table. Such text gets an apostrophe before it, so that the cell
begins with none of them (OWASP, "CSV Injection"; CWE-1236). Numbers stay numbers.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_PLAIN = re.compile(r"[\w .+/()%'-]*")
"""Text that needs no quotes, whatever sign a spreadsheet splits fields at."""
_SPLITS = ";\t\r\n"
"""Where a program that does not split at commas may begin a new cell within quoted text."""
_FORMULA = "=+-@"


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table as CSV: commas, LF, quotes where a cell needs them, the columns' names first.

    Cells are text, numbers already written out. What a `csv` reader gives back is what was given, but for the
    apostrophe of `safe_cell`.
    """
    lines = [",".join(columns)]
    lines += [",".join(map(_written, row)) for row in rows]
    return "\n".join(lines) + "\n"


def safe_cell(text: str) -> str:
    """Return text as it may stand in a cell: with an apostrophe wherever a spreadsheet would see a formula begin.

    That is before = + - @, their full-width and small forms too, after any blanks and unseen signs, and before a tab or
    line end that a cell begins with; a plain number is none. A NUL, which some readers end at, is left out.
    """
    return text if _NUMBER.fullmatch(text) else _guarded(text.replace("\0", ""))


def _guarded(text: str) -> str:
    out: list[str] = []
    start: int | None = 0
    for sign in text:
        if start is not None and not _is_blank(sign):
            if unicodedata.normalize("NFKC", sign) in _FORMULA or (start == 0 and out and out[0] in _SPLITS):
                out.insert(start, "'")
            start = None
        out.append(sign)
        if start is None and sign in _SPLITS:
            start = len(out)
    return "".join(out)


def _is_blank(sign: str) -> bool:
    """Tell whether a sign may stand before a formula without being seen: blanks, control signs, loose accents."""
    return sign.isspace() or unicodedata.category(sign)[0] in "CM"


def _written(cell: str) -> str:
    safe = safe_cell(cell)
    if _PLAIN.fullmatch(safe):
        return safe
    return '"' + safe.replace('"', '""') + '"'
