"""The header Prefer (RFC 7240): whether a client waits for an answer, and how long."""

from __future__ import annotations

import re

from fastapi import Request

LONGEST_S = 300.0


def seconds_to_wait(request: Request, usual_s: float) -> float:
    """Return the seconds that a request waits before it is told of a job: `respond-async` none, `wait=N` that many."""
    given = ",".join(request.headers.getlist("prefer")).lower()
    if re.search(r"(^|[,\s])respond-async($|[\s,;])", given):
        return 0.0
    found = re.search(r"(^|[,\s])wait\s*=\s*\"?(\d{1,6})\"?($|[\s,;])", given)
    return min(float(found[2]), LONGEST_S) if found else usual_s
