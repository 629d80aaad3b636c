"""Marks of a photograph in answers, as `seatmesh marks --json` prints them, and the points that a blank suggests."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .words import MarkName, MarkSide


class PlacedMark(Answer):
    """A mark where the photograph shows it; all but the last two keys are those of a mark in an order."""

    sitter: str | None = None
    name: MarkName
    side: MarkSide
    x_mm: float = Field(description="from the centre line; negative on the sitter's left")
    y_mm: float = Field(description="from the rear edge")
    standard_error_mm: float = Field(description="of the mark itself and of the photograph together")
    within_mm: float = Field(description="so near the photograph places it in 99 of 100 cases")
    sure: bool = Field(description="whether that is little enough, and the points check one another")


class PointOff(Answer):
    """A known point or an edge point, and how far it is from where all others put it; null where they cannot say."""

    name: str
    off_mm: float | None


class PhotographMarks(Answer):
    """What a photograph says of marks on a blank, and what of it is doubtful."""

    marks: list[PlacedMark]
    points: list[PointOff]
    rms_mm: float | None = Field(
        description="root mean square of these distances; null where nothing checks them"
    )
    worst_mm: float | None
    worst: str | None
    bend_percent: float = Field(
        description="how much farther out the lens shows the corners of the image than a straight one would"
    )
    bend_error_percent: float
    lens_told: bool = Field(description="whether the points tell the lens well enough for every mark")
    doubts: list[str] = Field(description="what is not sure, and what to do about it")


class SuggestedPoint(Answer):
    """A point of the blank whose place needs no measuring."""

    name: str
    x_mm: float
    y_mm: float


class PhotographPoints(Answer):
    """Points of a blank to point at in a photograph, those that make the best four first; and its outline."""

    points: list[SuggestedPoint]
    outline_mm: list[list[float]] = Field(description="of the top face, from the rear end of the centre line")
