"""The id of a seat in a path."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path

from ...keeping.identity import ID_PATTERN

SeatId = Annotated[
    str,
    Path(
        description="what POST /seats answered; 404 for all else",
        json_schema_extra={"pattern": ID_PATTERN},
    ),
]
