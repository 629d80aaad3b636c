"""A refusal: a request ends with a status and words. Workers know it too, so the web framework is not loaded here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

REFUSED, UNSOLVED = "The request is refused", "There is no answer"


class ProblemError(Exception):
    """A request ends here, with this status and these words."""

    def __init__(
        self,
        status: int,
        title: str,
        detail: str,
        headers: Mapping[str, str] | None = None,
        refused: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(detail)
        self.status, self.title, self.detail, self.headers = status, title, detail, dict(headers or {})
        self.refused = refused
        """What a form says in its own words: `seatmesh.errors.InputError.facts`."""

    def facts(self) -> dict[str, Any]:
        """Return it as the body of an answer has it."""
        told: dict[str, Any] = {"title": self.title, "status": self.status, "detail": self.detail}
        return told if self.refused is None else {**told, "refused": dict(self.refused)}
