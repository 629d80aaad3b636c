"""The body measures: what each is called, how it is taken, and what is plausible for an adult.

Names and postures follow ISO 7250-1 in our own words (from memory; the standard is the reference). The survey
is that of `population.json` (Gordon et al. 2014, NATICK/TR-15/007); how it differs from the standard
is from memory too.
"""

from __future__ import annotations

from dataclasses import dataclass

TAPE_ERROR_MM = 6.0
TAPE_ERROR_KG = 1.0
IMPRINT_ERROR_MM = 5.0
AGE_ERROR_YEARS = 0.5
SCAN_ERROR_MM = 3.0
CAST_ERROR_PERCENT = 10.0


@dataclass(frozen=True)
class MeasureKind:
    """One row of the table of measures; lengths in mm, mass in kg.

    Attributes
    ----------
    name
        Key in files and in Python, ending in its unit.
    title
        What a maker calls it.
    iso_name
        Name in ISO 7250-1, None where the standard has none.
    lowest, highest
        Plausible for any adult; a value beyond is refused as a slip of the pen or another unit.
    how
        Posture and way of taking it.
    survey_column
        Column in the survey's table, None where the survey lacks it.
    survey_note
        How the survey's measure differs from the standard's.
    survey_scale
        What the column is multiplied by to give mm or kg.
    tape_error
        One standard error of a reading, unless the maker states another.
    by_hand
        Whether a maker can take it, so that it may be asked for.
    estimated
        Whether a body has it when nobody stated it.
    """

    name: str
    title: str
    iso_name: str | None
    lowest: float
    highest: float
    how: str
    survey_column: str | None
    survey_note: str = "Taken as the standard says."
    survey_scale: float = 1.0
    tape_error: float = TAPE_ERROR_MM
    by_hand: bool = True
    estimated: bool = True

    @property
    def unit(self) -> str:
        """Return "mm", "kg", "percent" or "years", the end of the name."""
        return self.name.rpartition("_")[2]


_TABLE = (
    MeasureKind(
        name="stature_mm",
        title="stature",
        iso_name="stature (body height)",
        lowest=1000.0,
        highest=2300.0,
        how=(
            "Standing upright without shoes, heels and back to a wall, looking straight ahead: from the "
            "floor to the crown, under a square held flat on the head."
        ),
        survey_column="stature",
    ),
    MeasureKind(
        name="mass_kg",
        title="body mass",
        iso_name="body mass",
        lowest=30.0,
        highest=300.0,
        how="Standing still on scales, without shoes and in light clothing.",
        survey_column="weightkg",
        survey_note="The release's column is named for kilograms and holds kilograms times ten.",
        survey_scale=0.1,
        tape_error=TAPE_ERROR_KG,
    ),
    MeasureKind(
        name="hip_breadth_sitting_mm",
        title="hip breadth",
        iso_name="hip breadth, sitting",
        lowest=200.0,
        highest=750.0,
        how=(
            "Sitting upright on a hard flat seat, knees together and feet supported: across the widest "
            "place of hips or thighs, between two squares that touch without pressing."
        ),
        survey_column="hipbreadthsitting",
        survey_note="Not the survey's other column, hip breadth standing, which runs some 35 to 45 mm less.",
    ),
    MeasureKind(
        name="buttock_popliteal_length_mm",
        title="seat length",
        iso_name="buttock-popliteal length (seat depth)",
        lowest=300.0,
        highest=700.0,
        how=(
            "Sitting upright, knees bent square and just clear of the seat's edge: level, from a board "
            "held upright against the rearmost point of the buttock to the hollow of the knee."
        ),
        survey_column="buttockpopliteallength",
        survey_note="Ends where calf and thigh meet at the back of the knee, in substance as the standard's.",
    ),
    MeasureKind(
        name="buttock_knee_length_mm",
        title="buttock to knee",
        iso_name="buttock-knee length",
        lowest=400.0,
        highest=850.0,
        how=(
            "Sitting upright, knees bent square: level, from a board held upright against the rearmost "
            "point of the buttock to the front of the kneecap."
        ),
        survey_column="buttockkneelength",
    ),
    MeasureKind(
        name="popliteal_height_mm",
        title="lower leg length",
        iso_name="popliteal height (lower leg length)",
        lowest=250.0,
        highest=620.0,
        how=(
            "Sitting without shoes, knee bent square, foot flat on the floor: upright, from the floor "
            "to the underside of the thigh close behind the knee."
        ),
        survey_column="poplitealheight",
        survey_note=(
            "Taken where calf and thigh meet, not at the thigh's underside or tendon, without shoes; at "
            "like stature and mass it lies 12 to 15 mm below the British figures of check A2, so a "
            "taped value is worth having."
        ),
    ),
    MeasureKind(
        name="thigh_clearance_mm",
        title="thigh clearance",
        iso_name="thigh clearance",
        lowest=80.0,
        highest=320.0,
        how=(
            "Sitting upright on a hard flat seat, knees bent square: upright, from the seat to the "
            "highest place of the relaxed thigh."
        ),
        survey_column="thighclearance",
    ),
    MeasureKind(
        name="thigh_circumference_mm",
        title="thigh circumference",
        iso_name="thigh circumference",
        lowest=300.0,
        highest=1100.0,
        how=(
            "Standing with the weight on both feet, a little apart: level around the thigh just below "
            "the fold of the buttock, the tape touching without pressing."
        ),
        survey_column="thighcircumference",
        survey_note=(
            "Taken at the fold of the buttock, square to the thigh; the standard asks for the largest there."
        ),
    ),
    MeasureKind(
        name="lower_thigh_circumference_mm",
        title="lower thigh circumference",
        iso_name=None,
        lowest=220.0,
        highest=900.0,
        how=(
            "Standing with the weight on both feet: level around the thigh just above the kneecap, the "
            "tape touching without pressing."
        ),
        survey_column="lowerthighcircumference",
        survey_note="The survey's own; the standard has no such measure.",
    ),
    MeasureKind(
        name="age_years",
        title="age",
        iso_name=None,
        lowest=4.0,
        highest=110.0,
        how=(
            "Ask for it; it may be left out. At like stature and mass, thighs grow thinner with age: knowing it makes "
            "girths surer, above all past 45."
        ),
        survey_column="age",
        survey_note="In whole years.",
        tape_error=AGE_ERROR_YEARS,
        estimated=False,
    ),
    MeasureKind(
        name="sit_bone_spacing_mm",
        title="sit-bone spacing",
        iso_name=None,
        lowest=70.0,
        highest=190.0,
        how=(
            "Sitting upright for half a minute on corrugated card over a hard flat seat, feet lifted a "
            "little: between the centres of the two deepest prints."
        ),
        survey_column=None,
        survey_note="Not in the survey: see sit_bones.py.",
        tape_error=IMPRINT_ERROR_MM,
    ),
    MeasureKind(
        name="tissue_under_sit_bone_mm",
        title="tissue under sit bone",
        iso_name=None,
        lowest=15.0,
        highest=110.0,
        how=(
            "Not to be had with a tape. Where a picture of the sitter's pelvis is at hand (ultrasound, magnetic "
            "resonance), hip bent square and nothing pressing: upright, from the lowest point of the sit bone to the "
            "skin. Leave it out otherwise."
        ),
        survey_column=None,
        survey_note="Not in the survey: see sit_bone_tissue.py.",
        tape_error=SCAN_ERROR_MM,
        by_hand=False,
    ),
    MeasureKind(
        name="underside_flatness_percent",
        title="flatness of the underside",
        iso_name=None,
        lowest=60.0,
        highest=160.0,
        how=(
            "Not to be had with a tape. Where a cast or a scan of the unpressed buttocks is at hand: the radius of "
            "their underside over the usual one for the measures; 100 is usual, 125 flatter by a quarter. Leave it out "
            "otherwise."
        ),
        survey_column=None,
        survey_note="Not in the survey: see underside.py.",
        tape_error=CAST_ERROR_PERCENT,
        by_hand=False,
    ),
)

MEASURES: dict[str, MeasureKind] = {kind.name: kind for kind in _TABLE}
"""Every measure by name, in the order in which they are listed to a maker."""

SURVEYED: tuple[MeasureKind, ...] = tuple(kind for kind in _TABLE if kind.survey_column is not None)
"""The measures that the survey holds, in the order of the population's means and covariances."""
