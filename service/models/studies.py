"""All that is known of sitters in answers: postures, intervals, hot spots, what was not measured."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .sittings import NoBalance, PeakRow, PlaceOut, SittingOut
from .words import Action, AdjustmentSide, Posture


class EndingOut(Answer):
    """How the search for a hollow ended; `verdict` is "converged" or says why it stopped."""

    verdict: str
    converged: bool
    iterations: int
    residual: float | None
    words: str


class PeakChange(Answer):
    """What an adjustment does to a sitter's peak, on the whole seat and inside its circle."""

    body: str
    before_kpa: float
    after_kpa: float
    here_before_kpa: float
    here_after_kpa: float


class AdviceOut(Answer):
    """An adjustment that is advised, under the keys of [[adjustment]] of an order."""

    action: Action
    x_mm: float
    y_mm: float
    radius_mm: float
    amount_mm: float
    side: AdjustmentSide
    why: str


class HotSpotOut(Answer):
    """A place that presses hot, and the adjustment advised against it; nulls where none is."""

    x_mm: float
    y_mm: float
    peak_kpa: float
    area_cm2: float
    cause: str
    advice: str | None
    advice_peak_kpa: float | None = Field(description="the sitter's peak once that adjustment is made")
    advice_peaks: list[PeakChange] = Field(description="what it does to every sitter of the order")
    advice_spot_kpa: float | None = Field(description="the peak that it leaves at this place")
    adjust: AdviceOut | None = Field(description="it as [[adjustment]] of an order")
    withheld: str | None = Field(description="why nothing is advised, where a cut would help here")


class UnmeasuredOut(Answer):
    """A quantity that was not measured, and by how much the peak rises with one step more of it and one step less.

    Value, standard error and step are in the unit in which the name of the quantity ends.
    """

    quantity: str
    title: str
    value: float
    standard_error: float
    step: float
    more_raises_peak_kpa: float | None = Field(description="null where no balance is found")
    less_raises_peak_kpa: float | None


class SatInPosture(Answer):
    """A posture and its figures; without balance there are none but the load."""

    posture: Posture
    peak_kpa: float | None = None
    contact_area_cm2: float | None = None
    load_n: float | None = None
    load_point_mm: PlaceOut | None = None
    tailbone_clearance_mm: float | None = None
    verdict: str


class FreedomOut(Answer):
    """What it costs to sit otherwise: the worst posture, and by which share its peak is above the least."""

    worst_posture: Posture
    cost: float | None = Field(description="null where a posture finds no balance")
    felt: bool


class IntervalsOut(Answer):
    """90 % intervals, each as its two ends."""

    peak_kpa: list[float]
    contact_area_cm2: list[float]
    deepest_y_mm: list[float]


class StudiedOut(Answer):
    """What a study adds to a sitting."""

    postures: list[SatInPosture]
    freedom_to_shift: FreedomOut
    hot_spots: list[HotSpotOut]
    interval_90: IntervalsOut | None
    interval_note: str = Field(description="what the intervals leave out, or why none is stated")
    interval_samples: int | None = None
    interval_failed: int | None = None
    measure_next: str | None = Field(None, description="the measure that narrows the intervals most")
    measure_next_narrows_share: float | None = None
    not_measured: list[UnmeasuredOut] = Field(
        description="what was not measured of the sitter, what moves the peak most first"
    )
    not_measured_words: list[str] = Field(description="a sentence on each that moves the peak noticeably")


class StudyOut(SittingOut, StudiedOut):
    """A body on a seat with all that is known of it, as `seatmesh sit --json` prints it."""


class NoBalanceStudy(NoBalance, StudiedOut):
    """A body without balance on the seat, and the postures in which it may have one."""


class Report(Answer):
    """All that is known of the order's sitters on their seat: postures, 90 % intervals, hot spots in words."""

    id: str
    sittings: list[StudyOut | NoBalanceStudy]
    peaks: list[PeakRow]
    ending: EndingOut | None = None
    cautions: list[str]
