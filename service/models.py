"""What answers hold. Names end in their unit; further keys may be there."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """An answer; keys may be added in later versions."""

    model_config = ConfigDict(extra="allow")


class Problem(Answer):
    """A refusal (RFC 9457): what was given, what is allowed, what to do."""

    title: str
    status: int
    detail: str


class Health(Answer):
    """The service is up."""

    status: Literal["ok"]
    version: str
    formats: list[str] = Field(description="suffixes that GET /seats/{id}/mesh.{suffix} knows here")


class MeasureOut(Answer):
    """One measure; its name ends in its unit: mm, kg, years or percent."""

    value: float
    standard_error: float
    origin: Literal["measured", "estimated", "given"]
    low_90: float
    high_90: float


class BodyOut(Answer):
    """A body with all its measures."""

    name: str
    sex: Literal["male", "female"] | None
    measures: dict[str, MeasureOut]
    habit: dict[str, float] = Field(description="how the person likes to sit, as in a body file")
    notes: list[str]
    survey: str = Field(description="whom the estimates come from")


class Bodies(Answer):
    """The bodies that come with the tool, by name."""

    bodies: dict[str, BodyOut]


class SittingOut(Answer):
    """A body on a seat, as `seatmesh sit --json` prints it."""

    body: str
    posture: str
    load_n: float
    contact_area_cm2: float
    area_above_0_67_kpa_cm2: float
    mean_kpa: float
    peak_kpa: float
    peak_gradient_kpa_per_cm: float
    hottest_8_percent_share: float
    load_share: dict[str, float]
    tissue_left_ratio: float | None = Field(description="null until the model gives a true one")
    knee_clearance_mm: float
    tailbone_clearance_mm: float
    converged: Literal[True]
    residual: float
    verdict: str


class NoBalance(Answer):
    """A body that finds no balance on a seat, or not with that load; `verdict` says why."""

    body: str
    posture: str
    load_n: float
    converged: Literal[False]
    residual: float | None
    verdict: str


class HotSpotOut(Answer):
    """A place that presses hot, and the adjustment advised against it; nulls where none is."""

    x_mm: float
    y_mm: float
    peak_kpa: float
    area_cm2: float
    cause: str
    advice: str | None
    advice_peak_kpa: float | None = Field(description="the sitter's peak once that adjustment is made")
    advice_spot_kpa: float | None = Field(description="the peak that it leaves at this place")
    adjust: dict[str, Any] | None = Field(description="it as [[adjustment]] of an order")


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


class StudyOut(SittingOut):
    """A body on a seat with all that is known of it, as `seatmesh sit --json` prints it."""

    hot_spots: list[HotSpotOut]
    interval_90: dict[str, list[float]] | None
    interval_note: str = Field(description="what the intervals leave out, or why none is stated")
    not_measured: list[UnmeasuredOut] = Field(
        description="what was not measured of the sitter, what moves the peak most first"
    )
    not_measured_words: list[str] = Field(description="a sentence on each that moves the peak noticeably")


class EndingOut(Answer):
    """How the search for a hollow ended; `verdict` is "converged" or says why it stopped."""

    verdict: str
    converged: bool
    iterations: int
    residual: float | None
    words: str


class PressedOut(SittingOut):
    """A sitting with its pressure: `pressure_kpa[row][column]` at `y_mm[row]`, `x_mm[column]`."""

    x_mm: list[float]
    y_mm: list[float]
    pressure_kpa: list[list[float]]
    gap_mm: list[list[float]] = Field(
        description="how far skin and seat are apart, likewise; negative where they touch, 20 at most"
    )


class JobOut(Answer):
    """Long work: how far it is. Its id is that of the seat where one is shaped; equal work is one job."""

    id: str
    seat: str = Field(description="the id of the seat that it is about")
    state: Literal["queued", "working", "done", "failed", "cancelled"]
    words: str = Field(description="what is being done")
    share: float | None = Field(description="the part that is done, from 0 to 1; null before it begins")
    result: str = Field(description="the address where to fetch what came of it, once it is done")
    problem: Problem | None = Field(description="why it failed")
    created: str = Field(description="ISO 8601")
    retry_after_s: int | None = Field(description="seconds after which it is worth while to ask again")


class SeatRowOut(Answer):
    """A kept seat."""

    id: str
    title: str
    made: str = Field(description="ISO 8601")
    used: str = Field(description="ISO 8601")
    size_bytes: int
    pinned: bool


class SeatsOut(Answer):
    """Kept seats, those made last first."""

    seats: list[SeatRowOut]
    after: str | None = Field(description="give it as `after` for the next ones; null at the end")


class PeakAtDepth(Answer):
    """What a depth of the hollow buys."""

    depth_mm: float
    peak_kpa: float


class SitterOut(Answer):
    """One sitter of the order on the flat blank, the closed-form seat and the best one."""

    name: str
    peak_flat_kpa: float
    peak_closed_form_kpa: float
    peak_best_kpa: float
    contact_area_flat_cm2: float
    contact_area_best_cm2: float
    fairness_count: int
    peak_by_depth: list[PeakAtDepth]
    flat: SittingOut
    best: SittingOut


class SeatOut(Answer):
    """A seat and the reasons for it."""

    id: str
    title: str
    units: Literal["mm", "in"]
    blank: dict[str, Any]
    hollow: dict[str, Any]
    fairness_count: int
    ending: EndingOut | None = None
    sitters: list[SitterOut]
    notes: list[str]
    cautions: list[str]


class DepthGrid(Answer):
    """Depths below the top face: `depth_mm[row][column]` at `y_mm[row]`, `x_mm[column]`."""

    x_mm: list[float]
    y_mm: list[float]
    depth_mm: list[list[float]]
    outline_mm: list[list[float]]


class PreviewOut(Answer):
    """The closed-form seat of an order, not kept."""

    title: str
    units: Literal["mm", "in"]
    ending: EndingOut | None = None
    depth_grid: DepthGrid
    sittings: list[PressedOut]


class ContactMaps(Answer):
    """Bodies on a seat, with their pressure."""

    sittings: list[PressedOut | NoBalance]


class OnBoth(SittingOut):
    """A body on the seat, and its peak on the bare blank, null without a balance there."""

    peak_flat_kpa: float | None


class PeakRow(Answer):
    """A body's peak against the least one; `equal` where the difference cannot be felt."""

    body: str
    peak_kpa: float
    against: str
    difference: float
    equal: bool


class Comparison(Answer):
    """Bodies on the seat and on the bare blank."""

    sittings: list[OnBoth | NoBalance]
    peaks: list[PeakRow]
    cautions: list[str]


class Report(Answer):
    """All that is known of the order's sitters on their seat: postures, 90 % intervals, hot spots in words."""

    id: str
    sittings: list[StudyOut | NoBalance]
    peaks: list[PeakRow]
    ending: EndingOut | None = None
    cautions: list[str]


class WoodOut(Answer):
    """The wood of a seat, as `seatmesh wood --json` prints it."""

    id: str
    title: str
    boards: list[dict[str, Any]]
    boards_given: bool = Field(description="false where the order has no boards and usual ones are assumed")
    glue_lines_mm: list[float]
    movement: dict[str, Any]
    mass_kg: float
    floor: dict[str, Any] = Field(
        description="a guide, not a proof; least_factor is null where it was not worked out"
    )
    species: list[dict[str, Any]]
    notes: list[str]
    cautions: list[str]


class GaugeCheckOut(Answer):
    """What readings say of the carving."""

    points: list[dict[str, Any]]
    bar: list[dict[str, Any]]
    left_minus_right_mm: float | None
    ripples: list[dict[str, Any]]
    next_cuts: list[dict[str, Any]]
    finished: bool


def refusals(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return the refusals of a route as FastAPI documents them; 401 and 421 are possible everywhere."""
    content = {"application/problem+json": {"schema": Problem.model_json_schema()}}
    return {
        status: {"description": WORDS[status], "content": content}
        for status in sorted({*statuses, *EVERYWHERE})
    }


EVERYWHERE = (401, 421)
WORKING = (429, 503, 507)
WORDS = {
    400: "The body cannot be read",
    401: "A token is needed",
    404: "There is no such seat",
    408: "The body came too slowly",
    413: "The body is too large",
    415: "Another media type is needed",
    421: "Another host is asked for",
    409: "The job has no result, or none yet",
    429: "Too many requests of yours wait; see Retry-After",
    422: "The request is refused, or there is no answer",
    503: "Too much to do; see Retry-After",
    507: "There is no room to keep it",
}
POSTED = (400, 408, 413, 415, 422, *WORKING)
