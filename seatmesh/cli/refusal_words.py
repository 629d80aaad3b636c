"""A refusal in the order's own unit: lengths in mm become inches where the order that it is about speaks inches."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from seatmesh.units import in_unit

SPEAKS_INCHES = re.compile(r"""^\s*"?units"?\s*[=:]\s*["']in["']""", re.MULTILINE)
FILES = (".toml", ".json")
LARGEST_BYTES = 20_000_000


def refusal_words(refusal: Exception, options: argparse.Namespace) -> str:
    """Return what a refusal says, in inches if one of the command's orders or seats speaks them."""
    words = str(refusal)
    named = [one for one in vars(options).values() if isinstance(one, str) and one.lower().endswith(FILES)]
    return in_unit(words, "in" if any(map(_speaks_inches, named)) else "mm")


def _speaks_inches(path: str) -> bool:
    file = Path(path)
    try:
        if not file.is_file() or file.stat().st_size > LARGEST_BYTES:
            return False
        return SPEAKS_INCHES.search(file.read_text(encoding="utf-8", errors="replace")) is not None
    except OSError:
        return False
