"""The wood of a seat in answers, as `seatmesh wood --json` prints it."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .sittings import PlaceOut
from .words import Bark, JointKind, Rings


class BoardOut(Answer):
    """A board of the blank, from the sitter's left."""

    number: int
    left_mm: float
    right_mm: float
    width_mm: float
    species: str
    rings: Rings
    ring_angle_deg: float
    pith_aside_mm: float
    pith_above_mm: float
    bark: Bark
    turned: bool
    rise_deg: float
    aside_deg: float
    assumed: list[str] = Field(description="keys that the order left to what is usual")
    rough_mm: list[float] = Field(description="width, length, thickness to saw")


class PlankAtHand(Answer):
    """Whether the maker's plank is enough."""

    boards: int
    enough: bool
    why_not: str | None


class PlankOut(Answer):
    """What plank the blank asks for."""

    thickness_mm: float
    length_mm: float
    widths_mm: list[float]
    volume_cm3: float
    at_hand: PlankAtHand | None = Field(None, description="left out where the order names no plank")


class BoardMovementOut(Answer):
    """How one board moves in a room."""

    width_change_mm: float
    cup_mm: float


class JointMovementOut(Answer):
    """How a joint moves in a room: the pair's distance, and the bore."""

    joint: int
    kind: JointKind
    label: str
    apart_mm: float
    apart_change_mm: float
    bore_change_mm: float


class RoomOut(Answer):
    """How the seat moves in one room."""

    room: str
    words: str
    from_percent: float
    to_percent: float
    width_change_mm: float
    thickness_change_mm: float
    cup_mm: float
    panel_cup_mm: float
    boards: list[BoardMovementOut]
    joints: list[JointMovementOut]


class MovementOut(Answer):
    """How the seat moves in the room in which it moves most, and in every room."""

    from_percent: float
    to_percent: float
    width_change_mm: float
    cup_mm: float
    rooms: list[RoomOut]
    extrapolated: bool
    left_out: str


class SpeciesOut(Answer):
    """The seat in another wood: its weight, movement and strength; null where nothing is known."""

    species: str
    own: bool
    density_kg_m3: float
    mass_kg: float
    winter_mm: float
    summer_mm: float
    bending_mpa: float | None
    stiffness_gpa: float | None
    across_mpa: float | None
    notes: list[str]


class VariantOut(Answer):
    """A way to turn and order the boards, and how well it looks, 0 to 1."""

    place: int
    tied: bool
    name: str
    symmetry: float
    match: float


class ShortGrainOut(Answer):
    """A place where fibres are cut short."""

    what: str
    x_mm: float
    y_mm: float
    length_mm: float


class LegOut(PlaceOut):
    """A leg that carries the seat."""

    diameter_mm: float


class WeakestOut(Answer):
    """A way in which the floor is weakest, and where; `factor` is strength over stress, null where none to speak of."""

    way: str
    factor: float | None
    stress_mpa: float
    x_mm: float
    y_mm: float
    face: str
    where: str


class FloorCaseOut(Answer):
    """The floor with the load at one place."""

    load_at: str
    x_mm: float
    y_mm: float
    deflection_mm: float
    legs_n: list[float]
    weakest: list[WeakestOut]


class TriedFloor(Answer):
    """A thickness of the floor that was tried, and its least factor."""

    floor_mm: float
    factor: float


class FloorOut(Answer):
    """The floor under load: a guide, not a proof; `least_factor` is null where it was not worked out."""

    load_n: float
    load_source: str
    guide: str
    least_factor: float | None
    where: str | None
    note: str | None = Field(None, description="why it was not worked out; all that follows is left out then")
    floor_mm: float | None = None
    deflection_mm: float | None = None
    legs: list[LegOut] | None = None
    legs_given: bool | None = None
    leg_words: str | None = None
    cases: list[FloorCaseOut] | None = None
    wanted_factor: float | None = None
    thinnest_floor_mm: float | None = None
    thinnest_factor: float | None = None
    tried: list[TriedFloor] | None = None
    elastic_ratios: dict[str, str] | None = Field(None, description="by species, where its ratios come from")


class WoodOut(Answer):
    """The wood of a seat, as `seatmesh wood --json` prints it."""

    id: str
    title: str
    boards: list[BoardOut]
    boards_given: bool = Field(description="false where the order has no boards and usual ones are assumed")
    glue_lines_mm: list[float]
    plank: PlankOut
    movement: MovementOut
    mass_kg: float
    carved_cm3: float
    removed_cm3: float
    removed_kg: float
    species: list[SpeciesOut]
    variants: list[VariantOut]
    short_grain: list[ShortGrainOut]
    scrape_share: float
    floor: FloorOut
    notes: list[str]
    cautions: list[str]


class LookOut(Answer):
    """How a wood is drawn, which is no board's true colour: parts of red, green and blue, 0 to 1; shares, 0 to 1."""

    early: list[float] = Field(description="of the early wood")
    late: list[float] = Field(description="of the late wood")
    contrast_share: float
    pores_share: float
    rays_share: float


class RingsOfBoard(Answer):
    """The rings of a board as a solid, in the board's own frame about its middle; `signs` turn it as it lies."""

    number: int
    left_mm: float
    right_mm: float
    species: str
    middle_mm: list[float] = Field(description="[x, y, z] in the frame of the blank")
    signs: list[int] = Field(description="-1 where an axis of the board points against the blank's")
    pith_aside_mm: float
    pith_away_mm: float = Field(description="how far below the middle of its thickness")
    fibre: list[float] = Field(description="direction of the fibres, length 1")
    ring_width_mm: float
    taper_mm_per_m: float
    wander_mm: float = Field(description="how far the pith strays; made up, as nobody knows it")
    wander_phases: list[float] = Field(description="radians, one for each wave")
    year_phases: list[float] = Field(description="radians; which years are wide is made up too")
    look: LookOut


class UndersideOut(Answer):
    """How far the under-bevel raises the underside: `rise_mm[row][column]` at `y_mm[row]`, `x_mm[column]`."""

    x_mm: list[float]
    y_mm: list[float]
    rise_mm: list[list[float]]


class RingsOut(Answer):
    """The wood of a seat as a solid to draw: the rings of its boards from the sitter's left, and its underside."""

    id: str
    boards_given: bool = Field(description="false where the order has no boards and usual ones are assumed")
    boards: list[RingsOfBoard]
    wander_lengths_mm: list[float] = Field(description="of the waves of a pith, the last two in turn upward")
    uneven_years: float = Field(description="how much rings differ in width")
    uneven_lengths_years: list[float]
    thickness_mm: float
    underside: UndersideOut | None = Field(description="null where the underside is level")
