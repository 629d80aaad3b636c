"""A refusal: a request ends with a status and words. Workers know it too, so the web framework is not loaded here."""

from __future__ import annotations

from collections.abc import Mapping

REFUSED, UNSOLVED = "The request is refused", "There is no answer"


class ProblemError(Exception):
    """A request ends here, with this status and these words."""

    def __init__(
        self, status: int, title: str, detail: str, headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(detail)
        self.status, self.title, self.detail, self.headers = status, title, detail, dict(headers or {})
