"""All that is computed of a seat's wood: boards, movement, weight, figure, way to cut, short grain, and floor."""

from __future__ import annotations

from dataclasses import dataclass, replace

from seatmesh.design.orders.order import Order
from seatmesh.design.report.wood_notes import wood_notes
from seatmesh.errors import SeatmeshError
from seatmesh.surface import Seat
from seatmesh.wood.boards.board import Board
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.plank import FromPlank, RoughBoard, from_plank, rough_boards
from seatmesh.wood.species import Species, species_named
from seatmesh.wood.species_rows import ROWS
from seatmesh.woodwork.floor.floor_bending import FloorBending, floor_bending
from seatmesh.woodwork.floor.thinnest import ThinnestFloor, thinnest_floor
from seatmesh.woodwork.masses import Masses, masses
from seatmesh.woodwork.seat_movement import RoomMovement, seat_movement
from seatmesh.woodwork.short_grain import ShortGrain, short_grain
from seatmesh.woodwork.variants import Variant, variants
from seatmesh.woodwork.way_to_cut import share_none_good, way_to_cut


@dataclass(frozen=True)
class SpeciesForSeat:
    """A wood, were this seat made of it: its weight and how much it moves in the driest and the dampest room."""

    species: Species
    mass_kg: float
    winter_mm: float
    summer_mm: float


@dataclass(frozen=True)
class WoodStudy:
    """All that is known of a seat's wood.

    Attributes
    ----------
    floor, thinnest
        Bending of the floor, and the thinnest that looks safe; None where they could not be had, and `floor_note` says
        why.
    glue_notes
        What is wrong with joints and glue lines, in words.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, WoodStudy, estimate_body, shape_seat, wood_study
    >>> order = Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),))
    >>> made = wood_study(order, shape_seat(order))
    >>> isinstance(made, WoodStudy), len(made.movement)
    (True, 2)
    """

    order: Order
    seat: Seat
    layup: Layup
    rough: tuple[RoughBoard, ...]
    plank: FromPlank | None
    masses: Masses
    movement: tuple[RoomMovement, ...]
    species: tuple[SpeciesForSeat, ...]
    variants: tuple[Variant, ...]
    short: tuple[ShortGrain, ...]
    scrape_share: float
    glue_notes: tuple[str, ...]
    floor: FloorBending | None
    thinnest: ThinnestFloor | None
    floor_note: str


def wood_study(order: Order, seat: Seat) -> WoodStudy:
    """Return all that is known of the wood of an order's seat.

    Where the floor cannot be worked out, `floor_note` of the study says why, and all else is there.

    Examples
    --------
    >>> from seatmesh import Order, OrderedSitter, estimate_body, shape_seat, wood_study
    >>> order = Order("Anna", (OrderedSitter(estimate_body("female", 1640, 61)),))
    >>> made = wood_study(order, shape_seat(order))
    >>> made.movement[0].width_change_mm < 0.0 < made.movement[1].width_change_mm
    True
    """
    layup, wishes = order.layup, order.wood
    rough = rough_boards(layup, wishes)
    floor, thinnest, note = _floor(order, seat, layup)
    return WoodStudy(
        order,
        seat,
        layup,
        rough,
        from_plank(rough, wishes),
        masses(seat, layup, rough),
        seat_movement(seat.blank, layup, wishes),
        species_for_seat(order, seat),
        variants(seat, layup),
        short_grain(seat, layup),
        share_none_good(way_to_cut(seat, layup)),
        tuple(wood_notes(seat, wishes.glue_clear_mm)),
        floor,
        thinnest,
        note,
    )


def species_for_seat(order: Order, seat: Seat) -> tuple[SpeciesForSeat, ...]:
    """Return every wood of the table, and the maker's own, were this seat made of it, rings as they run."""
    layup = order.layup
    own = {board.species.name: board.species for board in layup.boards if board.species.name not in ROWS}
    woods = [*own.values(), *map(species_named, ROWS)]
    out = []
    for wood in woods:
        of_it = replace(layup, boards=tuple(_of(board, wood) for board in layup.boards))
        rooms = seat_movement(seat.blank, of_it, order.wood)
        mass = masses(seat, of_it, rough_boards(of_it, order.wood)).mass_kg
        out.append(SpeciesForSeat(wood, mass, rooms[0].width_change_mm, rooms[1].width_change_mm))
    return tuple(out)


def _of(board: Board, wood: Species) -> Board:
    return replace(board, species=wood)


def _floor(order: Order, seat: Seat, layup: Layup) -> tuple[FloorBending | None, ThinnestFloor | None, str]:
    """Return the floor under load, or in words why there is none: all else of the study stands without."""
    try:
        bending = floor_bending(seat, layup, order.wood.load_n)
        return bending, thinnest_floor(seat, layup, order.wood.load_n, order.wood.factor), ""
    except SeatmeshError as refusal:
        return None, None, f"the floor was not worked out: {refusal}"
