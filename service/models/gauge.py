"""Gauge checks in answers, as `seatmesh gauge check --json` prints them, with the readings that were set aside."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .words import BarLie, PointState


class GaugePoint(Answer):
    """One reading: what to take there, by how the bar sat, and what to do about it."""

    point: int
    x_mm: float
    y_mm: float
    to_take_mm: float = Field(description="what the rod says, by how the bar sat")
    as_read_mm: float = Field(description="the same with the bar as stated")
    fair_to_take_mm: float = Field(description="what all readings together say")
    error_mm: float
    bar_error_mm: float
    state: PointState
    why: str = Field(description="what to do about a questioned one")
    confirmed: bool
    row: float = Field(
        description="distance in mm of the row from the rear edge, or of the column from the centre"
    )
    line: int
    file: str


class CountsOut(Answer):
    """How many points are in each state."""

    take: int
    done: int
    too_deep: int
    questioned: int
    misread: int


class GaugeBar(Answer):
    """How the bar sat at one placing: null where no uncut wood tells."""

    row: float
    lie: BarLie
    height_mm: float | None
    height_error_mm: float
    tilt_deg: float | None
    tilt_error_deg: float
    sag_mm: float | None
    sag_error_mm: float
    told_by: int


class DifferenceOut(Answer):
    """Depth on the left less depth on the right, at one pair of crossings."""

    left_point: int
    left_minus_right_mm: float


class LeftRightOut(Answer):
    """Left against right over the patch where they differ most; without a pair there are words alone."""

    differs: bool
    pairs: int
    words: str
    differences: list[DifferenceOut]
    from_centre_mm: float | None = None
    y_mm: float | None = None
    patch_mm: float | None = None
    standing_out: float | None = None
    chance_limit: float | None = None


class RippleOut(Answer):
    """A ripple that a hand would feel."""

    x_mm: float
    y_mm: float
    length_mm: float
    direction_deg: float
    crest_to_trough_mm: float
    patch_mm: list[float] = Field(description="along and across its crests")
    standing_out: float
    chance_limit: float
    words: str


class CutOut(Answer):
    """A cut to make next."""

    order: int
    x_mm: float
    y_mm: float
    amount_mm: float
    mean_mm: float
    area_cm2: float
    volume_cm3: float
    words: str


class FurtherReading(Answer):
    """A crossing whose reading would decide; `point` is 0 where it is none of the sheet's."""

    point: int
    x_mm: float
    y_mm: float
    why: str
    placing: int
    place: str


class SetAsideOut(Answer):
    """A reading that cannot be meant, and does not count."""

    point: int
    line: int = Field(description="of the CSV, or the number of its row among the readings")
    x_mm: float
    y_mm: float
    reading_mm: float
    words: str = Field(description="what can be read there, and what the reading looks like")


class GaugeCheckOut(Answer):
    """What readings say of the carving."""

    seat: str
    tolerance_mm: float
    points: list[GaugePoint]
    not_read: list[int]
    counts: CountsOut
    bar: list[GaugeBar]
    bar_words: list[str]
    unseen: str
    scatter_mm: float
    left_minus_right_mm: float | None
    left_right: LeftRightOut
    ripples: list[RippleOut]
    next_cuts: list[CutOut]
    further_readings: list[FurtherReading]
    read_share: float
    set_aside: list[SetAsideOut] = Field(description="empty unless asked for with set_aside")
    finished: bool
    not_finished_because: list[str]
    notes: list[str]
