"""Seats in answers: the figures of a shaped seat, its preview, its depths."""

from __future__ import annotations

from pydantic import Field

from .base import Answer
from .sittings import PressedOut, SittingOut
from .studies import EndingOut, PeakChange
from .words import Action, AdjustmentSide, Bark, DeckLine, Rings, Tag, Units


class BlankOut(Answer):
    """The blank of a seat."""

    width_mm: float
    depth_mm: float
    thickness_mm: float
    floor_mm: float
    deck_mm: float
    deck_line: DeckLine
    deck_bow_mm: float
    outline: str = Field(description="its name, or that it is the maker's own")


class ChairOut(Answer):
    """The chair that a seat is for."""

    front_height_mm: float | None
    rake_deg: float


class DeepestFrom(Answer):
    """How far the deepest place lies behind a sitter's sit bones, and ahead of the tailbone's tip."""

    name: str
    behind_sit_bones_mm: float
    ahead_of_tailbone_mm: float


class HollowOut(Answer):
    """The hollow of a seat; a seat without one has its depth, 0, and the floor alone."""

    deepest_mm: float
    floor_left_mm: float
    deepest_x_mm: float | None = None
    deepest_y_mm: float | None = None
    mirrored: bool | None = None
    allowed_by_wood_mm: float | None = None
    allowed_by_bounds_mm: float | None = None
    held_back_mm: float | None = None
    held_back_most_mm: float | None = Field(None, description="null where it was not found")
    held_back_most_at_mm: list[float] | None = Field(None, description="the place as [x, y]")
    deepest_from: list[DeepestFrom] | None = None
    pommel_mm: float | None = None
    pommel_wish_mm: float | None = None
    front_roll_mm: float | None = None


class OrderedBoard(Answer):
    """A board of the order, in short."""

    width_mm: float
    species: str
    rings: Rings
    bark: Bark
    turned: bool


class MovementInRoom(Answer):
    """How much the seat's width changes in a room."""

    room: str
    to_percent: float
    width_change_mm: float


class BoardsOut(Answer):
    """The boards of an order: what they are, what they weigh, how much they move."""

    boards: list[OrderedBoard]
    mass_kg: float
    movement: list[MovementInRoom]


class PatchOut(Answer):
    """A patch of the hollow: its middle and its size."""

    x_mm: float
    y_mm: float
    across_mm: float
    along_mm: float
    area_cm2: float


class ToolReach(Answer):
    """How much of the hollow a tool reaches, and where it cannot go, the greatest patches first."""

    name: str
    radius_mm: float
    share_reached: float
    cannot_go: list[PatchOut]


class ReachOut(Answer):
    """The least concave radius of the hollow, and what the maker's tools reach; null where no place is concave."""

    least_concave_radius_mm: float | None
    least_concave_at_mm: list[float] | None = Field(description="the place as [x, y]")
    mirrored: bool
    tools: list[ToolReach]


class StageOut(Answer):
    """A stage of carving: the share of the depth, and the wood to take to get there."""

    share: float
    deepest_mm: float
    to_take_cm3: float
    fairness_count: int
    front_roll_mm: float


class AdjustmentOut(Answer):
    """An adjustment of the order, and what it did to every sitter's peak."""

    number: int
    action: Action
    x_mm: float
    y_mm: float
    radius_mm: float
    amount_mm: float
    side: AdjustmentSide
    why: str
    date: str
    tag: Tag
    locked: bool
    peaks: list[PeakChange]


class PeakAtDepth(Answer):
    """What a depth of the hollow buys."""

    depth_mm: float
    peak_kpa: float


class UnevenOut(Answer):
    """How far one pair of marks differs between the sides."""

    name: str
    tape_from: str
    right_minus_left_mm: float
    explained_mm: float
    standard_error_mm: float


class EstimateOut(Answer):
    """An estimate before and after the marks were read; its name ends in its unit."""

    before: float
    before_error: float
    value: float
    standard_error: float


class MarksOut(Answer):
    """What marks made of body and place."""

    count: int
    questions: list[str]
    uneven: list[UnevenOut]
    estimates: dict[str, EstimateOut]


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
    peak_adjusted_kpa: float | None = Field(None, description="left out without adjustments")
    peak_own_seat_kpa: float | None = Field(None, description="on the seat for this sitter alone, if shared")
    own_seat_ending: EndingOut | None = None
    loss_percent: float | None = Field(None, description="how much sharing the seat adds to the peak")
    marks: MarksOut | None = Field(None, description="left out without marks")
    flat: SittingOut
    best: SittingOut


class SeatOut(Answer):
    """A seat and the reasons for it."""

    id: str
    title: str
    units: Units
    blank: BlankOut
    wood: BoardsOut | None = Field(description="null where the order has no boards")
    chair: ChairOut
    hollow: HollowOut
    fairness_count: int
    fairness_mm: float
    ending: EndingOut | None
    reach: ReachOut
    stages: list[StageOut]
    adjustments: list[AdjustmentOut]
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
    units: Units
    ending: EndingOut | None = None
    depth_grid: DepthGrid
    sittings: list[PressedOut]
