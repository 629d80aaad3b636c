"""Bodies in answers, and the table of measures."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .words import MeasureUnit, Origin, Sex


class MeasureOut(Answer):
    """One measure; its name ends in its unit: mm, kg, years or percent."""

    value: float
    standard_error: float
    origin: Origin
    low_90: float
    high_90: float


class HabitOut(Answer):
    """How the person likes to sit, as in a body file."""

    splay_deg: float | None
    forward_mm: float
    pelvis_tilt_deg: float
    across_mm: float


class KnownBody(Answer):
    """A body with all its measures."""

    name: str
    sex: Sex | None
    measures: dict[str, MeasureOut]
    habit: HabitOut
    notes: list[str]
    survey: str = Field(description="whom the estimates come from")


class Bodies(Answer):
    """The bodies that come with the tool, by name."""

    bodies: dict[str, KnownBody]


class MeasureKindOut(Answer):
    """One measure; `lowest`, `highest` and `tape_error` are in its unit."""

    title: str
    iso_name: str | None
    how: str
    lowest: float
    highest: float
    unit: MeasureUnit
    tape_error: float
    by_hand: bool = Field(description="whether it can be taken without a picture or a cast of the sitter")


class MeasuresOut(Answer):
    """Every measure by its key in body files."""

    measures: dict[str, MeasureKindOut]
