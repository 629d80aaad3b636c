"""People not yet met on a seat, in answers, as `seatmesh people --json` prints it."""

from __future__ import annotations

from pydantic import Field

from ..base import Answer
from ..words import Sex


class ShareOut(Answer):
    """A share with its sampling error; null where nobody was counted."""

    share: float | None
    standard_error: float | None
    interval_95: list[float | None]
    effective_people: float = Field(description="how many people of equal weight would tell as much")


class SexesOut(Answer):
    """The share served of each sex."""

    female: ShareOut
    male: ShareOut


class DecileOut(ShareOut):
    """The share served of a tenth of one sex, by stature or by mass; 1 has the least."""

    sex: Sex
    measure: str
    decile: int


class AskedCriterion(ShareOut):
    """What is asked of the seat, and the share who have it."""

    name: str
    bound: float
    words: str
    source: str = Field(description="where the bound comes from")


class FailedCriteria(Answer):
    """The person's own figure for each criterion that is failed; those that are met are left out."""

    peak_times_own_best: float | None = None
    peak_kpa: float | None = None
    contact_area_cm2: float | None = None
    knee_clearance_mm: float | None = None
    feet_share: float | None = None
    hip_margin_mm: float | None = None
    rim_load_share: float | None = None
    tailbone_clearance_mm: float | None = None
    balanced: float | None = None


class DrawnMeasures(Answer):
    """Measures of a person drawn, but for stature and mass."""

    hip_breadth_sitting_mm: float
    buttock_popliteal_length_mm: float
    buttock_knee_length_mm: float
    popliteal_height_mm: float
    thigh_clearance_mm: float
    thigh_circumference_mm: float
    lower_thigh_circumference_mm: float
    age_years: float
    sit_bone_spacing_mm: float
    tissue_under_sit_bone_mm: float
    underside_flatness_percent: float


class FailingPersonOut(Answer):
    """Somebody whom the seat fails, standing for all of one sex and build whom it fails alike."""

    stature_mm: float
    mass_kg: float
    sex: Sex
    build: str
    shorter_share: float
    lighter_share: float
    measures: DrawnMeasures
    fails: FailedCriteria
    why: str
    stands_for_share: float
    number: int


class SpreadOut(Answer):
    """Mean and standard deviation over people."""

    mean: float
    sd: float


class SpreadBySex(Answer):
    """Mean and spread by sex; one left out is the survey's."""

    female: SpreadOut | None = None
    male: SpreadOut | None = None


class AgeBandOut(Answer):
    """A share of all who are of an age."""

    from_years: float
    to_years: float
    share: float


class PublicOut(Answer):
    """Whom the seat was asked about."""

    words: str
    women_share: float
    stature_mm: SpreadBySex
    mass_kg: SpreadBySex
    ages: list[AgeBandOut]


class BuildRange(Answer):
    """Least and greatest of the survey."""

    stature_mm: list[float]
    mass_kg: list[float]


class RangeBySex(Answer):
    """The survey's range by sex."""

    female: BuildRange
    male: BuildRange


class SurveyOut(Answer):
    """What stands behind the people: how many of the survey are left, and who is beyond it."""

    people_left: int
    beyond_share: float
    range: RangeBySex


class QuantilesOut(Answer):
    """What a tenth, half and nine tenths have at most; null where nobody is known."""

    q10: float | None
    q50: float | None
    q90: float | None


class OwnBestOut(Answer):
    """How the peak on a seat of one's own is estimated."""

    depth_mm: float
    standard_error: float = Field(description="of its logarithm, on people left out")
    seats_designed: int


class IfPeaksDiffer(Answer):
    """The share served were all peaks higher, or lower, by the model's standard error."""

    higher: float
    lower: float


class PeopleOut(Answer):
    """For whom a seat is good, and whom it fails."""

    title: str
    count: int
    seed: int
    served_share: float
    standard_error: float = Field(description="by the drawing of people alone")
    interval_95: list[float]
    effective_people: float
    served_share_if_peaks_differ: IfPeaksDiffer
    unknown_share: float = Field(description="share who find no balance that the model knows")
    by_sex: SexesOut
    by_decile: list[DecileOut]
    criteria: list[AskedCriterion]
    failing: list[FailingPersonOut]
    peak_kpa: QuantilesOut
    peak_over_own_best: QuantilesOut
    public: PublicOut
    survey: SurveyOut
    own_best: OwnBestOut
    front_height_mm: float
    notes: list[str]
    caution: str
