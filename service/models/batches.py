"""Batches in answers: which seats came of many orders, and why some did not."""

from __future__ import annotations

from pydantic import Field

from .base import Answer


class BatchRow(Answer):
    """What came of one order of a batch."""

    number: int = Field(description="the place of the order in the batch, from 1")
    seat: str = Field(description="the id of the seat")
    title: str
    refusal: str | None = Field(
        description="why there is no seat, or a file of it was refused; null where all was made"
    )
    kept: bool = Field(description="whether the seat is kept still")


class Batch(Answer):
    """Many orders that were given together."""

    id: str
    rows: list[BatchRow]
    refused_count: int
