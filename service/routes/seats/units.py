"""The units that a file of a seat is asked for in."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Query

Units = Annotated[Literal["mm", "in"] | None, Query(description="left out: those of the order")]
