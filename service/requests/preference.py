"""The header Prefer (RFC 7240): whether a client waits for an answer, and how long."""

from __future__ import annotations

import re

from fastapi import Request

LONGEST_S = 300.0


def is_asynchronous(request: Request) -> bool:
    """Tell whether a client asks for a job rather than to wait."""
    return re.search(r"(^|[,\s])respond-async($|[\s,;])", _given(request)) is not None


def seconds_to_wait(request: Request, usual_s: float) -> float:
    """Return the seconds that a request waits before it is told of a job: `wait=N` says, else `respond-async` none."""
    found = re.search(r"(^|[,\s])wait\s*=\s*\"?(\d{1,6})\"?($|[\s,;])", _given(request))
    if found:
        return min(float(found[2]), LONGEST_S)
    return 0.0 if is_asynchronous(request) else usual_s


def _given(request: Request) -> str:
    return ",".join(request.headers.getlist("prefer")).lower()
