"""Bodies on seats in answers: figures, pressure, and bodies against one another."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Answer
from .words import Posture, Sex


class LoadShareOut(Answer):
    """The share of the load that each part of the body carries; the five add up to 1."""

    left_sit_bone: float
    right_sit_bone: float
    left_thigh: float
    right_thigh: float
    tailbone: float


class PlaceOut(Answer):
    """A place on the seat: to the sitter's right from the centre line, forward from the rear edge."""

    x_mm: float
    y_mm: float


class SittingOut(Answer):
    """A body on a seat, as `seatmesh sit --json` prints it."""

    body: str
    seat: str = Field(description="the seat's title")
    posture: Posture
    load_n: float
    contact_area_cm2: float
    area_above_0_67_kpa_cm2: float
    mean_kpa: float
    peak_kpa: float
    peak_gradient_kpa_per_cm: float
    hottest_8_percent_share: float
    load_share: LoadShareOut
    tissue_left_ratio: float | None = Field(description="null where it is pressed farther than is known")
    knee_clearance_mm: float
    tailbone_clearance_mm: float
    load_point_mm: PlaceOut
    feet_share: float
    pitch_deg: float
    roll_deg: float
    balance_error: float = Field(description="largest imbalance of force and moments, dimensionless")
    converged: Literal[True]
    residual: float | None
    notes: list[str]
    verdict: str


class NoBalance(Answer):
    """A body that finds no balance on a seat, or not with that load; `verdict` says why."""

    body: str
    seat: str
    posture: Posture
    load_n: float
    converged: Literal[False]
    residual: float | None
    verdict: str


class PressureGrid(Answer):
    """Pressure of a sitting: `pressure_kpa[row][column]` at `y_mm[row]`, `x_mm[column]`."""

    x_mm: list[float]
    y_mm: list[float]
    pressure_kpa: list[list[float]]
    gap_mm: list[list[float]] = Field(
        description="how far skin and seat are apart, likewise; negative where they touch, 60 at most"
    )


class PressedOut(SittingOut, PressureGrid):
    """A sitting with its pressure: `pressure_kpa[row][column]` at `y_mm[row]`, `x_mm[column]`."""


class NoBalanceMap(NoBalance, PressureGrid):
    """A body without balance, with what the search ended at."""


class ContactMaps(Answer):
    """Bodies on a seat, with their pressure."""

    sittings: list[PressedOut | NoBalanceMap]


class OnBoth(SittingOut):
    """A body on the seat, and its peak on the bare blank, null without a balance there."""

    peak_flat_kpa: float | None


class NoBalanceOnBoth(NoBalance):
    """A body without balance on the seat, and its peak on the bare blank."""

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

    sittings: list[OnBoth | NoBalanceOnBoth]
    peaks: list[PeakRow]
    cautions: list[str]


class SittingRow(Answer):
    """A body of a table: its figures, or why it has none."""

    number: int = Field(description="the place of the body in the request, from 1")
    body: str | None
    sex: Sex | None
    stature_mm: float | None
    mass_kg: float | None
    posture: str
    converged: bool | None
    load_n: float | None
    contact_area_cm2: float | None
    area_above_0_67_kpa_cm2: float | None
    mean_kpa: float | None
    peak_kpa: float | None
    peak_gradient_kpa_per_cm: float | None
    hottest_8_percent_share: float | None
    tissue_left_ratio: float | None
    knee_clearance_mm: float | None
    tailbone_clearance_mm: float | None
    residual: float | None
    verdict: str | None
    refusal: str | None


class SittingsTable(Answer):
    """Many bodies on one seat, a row each."""

    rows: list[SittingRow]
