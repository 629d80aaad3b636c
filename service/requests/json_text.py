"""JSON in a body: one object, not nested too deeply, its values canonical. Workers call it."""

from __future__ import annotations

import json
import re
from collections import Counter
from typing import Any, NoReturn

import numpy as np

from ..keeping.identity import canonical
from ..refusal import REFUSED, ProblemError

TEXT = re.compile(rb'"(?:[^"\\]++|\\.)*+"?', re.DOTALL)
"""A JSON string, or one that never ends."""


def parse_table(data: bytes, depth: int) -> dict[str, Any]:
    """Return the JSON object in some bytes, its values canonical.

    Raises
    ------
    ProblemError, ValueRefusedError
        400 for what is no JSON, 422 for JSON that is no object or is nested too deeply.
    """
    refuse_deep(data, depth)
    try:
        value = json.loads(data.decode("utf-8-sig"), parse_constant=_refuse_constant, object_pairs_hook=_once)
    except UnicodeDecodeError as error:
        raise ProblemError(
            400, "The body is not UTF-8", f"byte {error.start} is no UTF-8; send JSON as UTF-8"
        ) from error
    except ValueError as error:
        raise ProblemError(
            400, "The body is not JSON", f"{str(error)[:200]}; send one JSON object"
        ) from error
    if not isinstance(value, dict):
        raise ProblemError(422, REFUSED, f"the body is a {type(value).__name__}; allowed is one JSON object")
    table: dict[str, Any] = canonical(value, "body")
    return table


def refuse_deep(data: bytes, most: int) -> None:
    """Refuse JSON with more than `most` lists and tables inside one another, before it is parsed."""
    bare = np.frombuffer(TEXT.sub(b"", data), dtype=np.uint8)
    steps = np.isin(bare, list(b"[{")).astype(np.int32) - np.isin(bare, list(b"]}"))
    if len(steps) and steps.cumsum().max() > most:
        detail = f"the body has more than {most} lists and tables inside one another; write it flatter"
        raise ProblemError(422, REFUSED, detail)


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no finite number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise ValueError(f"the key {twice[:80]!r} is there twice in one table")
    return table
