"""Conditions of a request: If-Match and If-None-Match (RFC 9110, 13.1.1, 13.1.2 and 13.2.2)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from fastapi import Request

from ..refusal import ProblemError

TAG = re.compile(r'(W/)?("[\x21\x23-\x7e\x80-\xff]*")')


def is_read(request: Request) -> bool:
    """Tell whether a request only reads; HEAD comes in as GET."""
    return request.method in ("GET", "HEAD")


def unchanged_tag(request: Request, tags: Sequence[str], exists: bool = True) -> str | None:
    """Return that one of an answer's tags which the client has already, or None when it is to be answered in full.

    Raises
    ------
    ProblemError
        412 when a condition does not hold.
    """
    wanted = _given(request, "if-match")
    if wanted is not None:
        strong = [tag for weak, tag in TAG.findall(wanted) if not weak]
        if not exists or (wanted != "*" and not set(strong) & set(tags)):
            raise _failed("If-Match", "has another tag" if exists else "is not there", tags if exists else ())
    had = _given(request, "if-none-match")
    if had is None or not exists:
        return None
    weak_or_strong = {tag for _, tag in TAG.findall(had)}
    found = tags[0] if had == "*" else next((tag for tag in tags if tag in weak_or_strong), None)
    if found is not None and not is_read(request):
        raise _failed("If-None-Match", "is there already", (found,))
    return found


def _given(request: Request, header: str) -> str | None:
    lines = request.headers.getlist(header)
    return ", ".join(lines).strip() if lines else None


def _failed(header: str, why: str, tags: Sequence[str]) -> ProblemError:
    detail = f"{header} does not hold: what is asked for {why}; fetch it anew, or leave {header} out"
    return ProblemError(412, "A condition does not hold", detail, {"ETag": tags[0]} if tags else None)
