"""The units that a file of a seat is asked for in."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Query
from pydantic import WithJsonSchema

from ...models.words import UNITS

Units = Annotated[
    Annotated[Literal["mm", "in"], WithJsonSchema(UNITS)] | None,
    Query(description="left out: those of the order", examples=["mm"]),
]
