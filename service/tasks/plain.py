"""Plain values as bytes, the same every time."""

from __future__ import annotations

import gzip
import json
from typing import Any


def json_bytes(value: Any) -> bytes:
    """Return plain values as JSON; what is not finite is a fault and raises ValueError."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def packed(data: bytes) -> bytes:
    """Return bytes packed by gzip, without a time stamp."""
    return gzip.compress(data, 6, mtime=0)
