"""Whether the service is up, in answers."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Answer
from .words import MeshSuffix


class Health(Answer):
    """The service is up."""

    status: Literal["ok"]
    version: str
    formats: list[MeshSuffix] = Field(description="suffixes that GET /seats/{id}/mesh.{suffix} knows here")
