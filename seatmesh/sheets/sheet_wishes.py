"""What a maker may wish of the sheets, checked against the seat that they are for."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, isfinite

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.fit.reach import Tool
from seatmesh.paper.paper_sizes import paper_named
from seatmesh.sheets.holes.bit import Bit, told, usual_bit
from seatmesh.station import INSIDE_MM
from seatmesh.surface import Seat
from seatmesh.units import (
    ALLOWED_UNITS,
    MM_PER_INCH,
    format_area,
    format_length,
    format_mass,
    format_no_less,
    format_no_more,
    format_volume,
    shown,
)
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.species import Timber, wood_named

INCH_STEPS = (16, 32)
CONTOUR_MM, CONTOUR_IN = 3.0, 0.125 * MM_PER_INCH
GRID_MM, GRID_IN = 50.0, 1.0 * MM_PER_INCH
LEAST_STEP_MM, GREATEST_STEP_MM = 0.5, 25.0
SPACING_MM, SPACING_IN = 40.0, 1.5 * MM_PER_INCH
STOP_MM = 0.1
ALLOWANCE_MM = 1.5
"""Wood left for scraper and sander (common practice, from memory)."""


@dataclass(frozen=True)
class HoleWishes:
    """Depth holes: the bit that drills them, and how far apart they are; None for what is usual in the units.

    Examples
    --------
    >>> from seatmesh import HoleWishes, Order, OrderedSitter, SheetWishes
    >>> from seatmesh import estimate_body, read_bit, shape_seat, sheets_of
    >>> seat = shape_seat(Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),)))
    >>> wishes = SheetWishes(holes=HoleWishes(read_bit("brad point 6 mm"), spacing_mm=40.0))
    >>> sheets = sheets_of(seat, wishes=wishes, kinds=("svg",))
    >>> "holes.csv" in sheets.files, len(sheets.holes) > 0
    (True, True)
    """

    bit: Bit | None = None
    spacing_mm: float | None = None


@dataclass(frozen=True)
class SheetWishes:
    """How the sheets are to be; None leaves a choice to the units or to the seat.

    Attributes
    ----------
    paper, units, inch_step
        Name of the paper; "mm" or "in", None as the seat speaks; inches to 1/16 or 1/32.
    contour_step_mm, grid_mm
        Depth between contour lines, and spacing of the grid.
    across_mm, along_mm
        Where section cards stand: y of those across, x of those along; None lets the seat choose.
    allowance_mm
        Wood left for scraper and sander: under depth holes, and by the last stage of the rough-out.
    holes
        Depth holes; None for a first seat.
    wood
        Name of the wood, see `seatmesh.wood.species`.
    tools
        The maker's own; None takes usual ones.
    layup
        The boards of the order, for the way to cut; where it has some, their wood takes the place of `wood`.
    is_repeat
        Whether the seat has proved itself and is made again: then there are no pages for stages and for how to print.
    proven
        The seat as it was made before, where it is made again on another blank: the bench card says what differs.

    Examples
    --------
    >>> from seatmesh import SheetWishes, flat_seat, sheets_of
    >>> sheets_of(flat_seat(), wishes=SheetWishes(paper="Letter", units="in"), kinds=("svg",)).units
    'in'
    """

    paper: str = "A4"
    units: str | None = None
    inch_step: int = 32
    contour_step_mm: float | None = None
    grid_mm: float | None = None
    across_mm: tuple[float, ...] | None = None
    along_mm: tuple[float, ...] | None = None
    allowance_mm: float = ALLOWANCE_MM
    holes: HoleWishes | None = None
    wood: str = "white oak"
    tools: tuple[Tool, ...] | None = None
    layup: Layup | None = None
    is_repeat: bool = False
    proven: Seat | None = None


@dataclass(frozen=True)
class Speech:
    """How lengths are written on the sheets."""

    units: str
    inch_step: int = 32

    def length(self, mm: float) -> str:
        """Return a length with its unit."""
        return format_length(mm, self.units, self.inch_step)

    def depth(self, mm: float) -> str:
        """Return a depth to carve or drill to: in fractions of an inch never deeper than the given one."""
        return format_no_more(mm, self.units, self.inch_step)

    def keep(self, mm: float) -> str:
        """Return wood that has to stay: in fractions of an inch never less than the given thickness."""
        return format_no_less(mm, self.units, self.inch_step)

    def place(self, mm: float) -> str:
        """Return a place on the blank as a tick bears it: in mm without its unit."""
        return f"{mm:g}" if self.units == "mm" else self.length(mm)

    def no_more(self, mm: float) -> str:
        """Return a length that is no more than the given one, with its unit: for what is promised to be left."""
        step = stop_step_mm(self)
        return self.length(step * floor(mm / step + 1e-9))

    def area(self, cm2: float) -> str:
        """Return an area with its unit."""
        return format_area(cm2, self.units)

    def volume(self, mm3: float) -> str:
        """Return a volume with its unit."""
        return format_volume(mm3 / 1000.0, self.units)

    def mass(self, kg: float, decimals: int = 2) -> str:
        """Return a mass with its unit."""
        return format_mass(kg, self.units, decimals)


def timber_of(wishes: SheetWishes) -> Timber:
    """Return the wood that masses are told of: that of the boards, mixed by width, or the one that is named.

    Raises
    ------
    UnknownKeyError
        The table has no wood of that name.
    """
    named = wood_named(wishes.wood)
    if wishes.layup is None or not wishes.layup.given:
        return named
    boards = wishes.layup.boards
    names = dict.fromkeys(board.species.name for board in boards)
    mixed = sum(board.width_mm * board.species.density_kg_m3 for board in boards)
    return Timber(" and ".join(names), mixed / sum(board.width_mm for board in boards))


def bit_of(holes: HoleWishes, says: Speech) -> Bit:
    """Return the bit for depth holes, its point as long as the sheets say."""
    return told(holes.bit or usual_bit(says.units), says.units)


def spacing_mm(holes: HoleWishes, says: Speech) -> float:
    """Return how far apart depth holes stand."""
    if holes.spacing_mm is not None:
        return holes.spacing_mm
    return SPACING_MM if says.units == "mm" else SPACING_IN


def stop_step_mm(says: Speech) -> float:
    """Return to what depth stops are set, so that what a sheet says is the setting itself."""
    return STOP_MM if says.units == "mm" else MM_PER_INCH / says.inch_step


def told_allowance_mm(wishes: SheetWishes, says: Speech) -> float:
    """Return the wood kept over the finished surface by depth holes: as the sheets can say it, never less."""
    step = stop_step_mm(says)
    return round(step * ceil(wishes.allowance_mm / step - 1e-9), 6)


def speech(seat: Seat, wishes: SheetWishes) -> Speech:
    """Return how the sheets of a seat speak."""
    return Speech(seat.units if wishes.units is None else wishes.units, wishes.inch_step)


def contour_step_mm(seat: Seat, wishes: SheetWishes) -> float:
    """Return the depth between contour lines."""
    if wishes.contour_step_mm is not None:
        return wishes.contour_step_mm
    return CONTOUR_MM if speech(seat, wishes).units == "mm" else CONTOUR_IN


def grid_mm(seat: Seat, wishes: SheetWishes) -> float:
    """Return the spacing of the grid."""
    if wishes.grid_mm is not None:
        return wishes.grid_mm
    return GRID_MM if speech(seat, wishes).units == "mm" else GRID_IN


def check(seat: Seat, wishes: SheetWishes) -> None:
    """Refuse wishes that no sheet can fulfil.

    Raises
    ------
    ValueRefusedError
        Unknown paper, units or fraction; a step, allowance, bit or spacing out of range; a station off the blank.
    """
    paper_named(wishes.paper)
    _one_of("units", speech(seat, wishes).units, ALLOWED_UNITS)
    _one_of("inch step", wishes.inch_step, INCH_STEPS)
    _within("contour_step_mm", contour_step_mm(seat, wishes), LEAST_STEP_MM, GREATEST_STEP_MM)
    _within("grid_mm", grid_mm(seat, wishes), 10.0, 200.0)
    _within("allowance_mm", wishes.allowance_mm, 0.0, 10.0)
    blank = seat.blank
    for y in wishes.across_mm or ():
        _station("stations_mm", y, INSIDE_MM, blank.depth_mm - INSIDE_MM, "from the rear edge")
    half = 0.5 * blank.width_mm - INSIDE_MM
    for x in wishes.along_mm or ():
        _station("along_mm", x, -half, half, "from the centre line, to the sitter's right")
    if wishes.holes is not None:
        _within("hole spacing_mm", spacing_mm(wishes.holes, speech(seat, wishes)), 10.0, 150.0)


def _one_of(name: str, given: object, allowed: tuple[object, ...]) -> None:
    if given not in allowed:
        raise NotAmongError(name, shown(given), allowed)


def _within(name: str, given: float, low: float, high: float) -> None:
    if not (isfinite(given) and low <= given <= high):
        raise ValueRefusedError(
            name, shown(given), f"allowed are {low:g} to {high:g} mm", "choose one between"
        )


def _station(name: str, given: float, low: float, high: float, where: str) -> None:
    if not (isfinite(given) and low <= given <= high):
        raise ValueRefusedError(
            name,
            shown(given),
            f"a card stands {low:g} to {high:g} mm {where} on this blank",
            "move it onto the wood",
        )
