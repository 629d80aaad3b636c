"""Keys of the table [wood]: climates, allowances, the plank at hand, and the load that the floor is held against."""

from __future__ import annotations

from seatmesh.errors import ValueRefusedError
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.number import Number, millimetres
from seatmesh.files.keys.table import KeyTable, Values
from seatmesh.refused import Advice, bare, leave_out, of, said
from seatmesh.wood.boards.moisture import (
    LEAST_C,
    LEAST_HUMIDITY,
    LEAST_PERCENT,
    MOST_C,
    MOST_HUMIDITY,
    MOST_PERCENT,
)
from seatmesh.wood.boards.wood_wishes import WoodWishes

PLACES = (
    ("shop", "Shop", "in the shop where it is made"),
    ("winter", "Room, driest", "in the room that it goes to, at its driest"),
    ("summer", "Room, dampest", "in the room that it goes to, at its dampest"),
)


def _wishes(values: Values, where: str) -> WoodWishes:
    for place, _, _ in PLACES:
        air = [key for key in (f"{place}_c", f"{place}_humidity_percent") if key in values]
        if f"{place}_moisture_percent" in values and air:
            raise ValueRefusedError(
                f"{where} {place}_moisture_percent",
                said(
                    " with ".join(["{}", " and ".join("{}" for _ in air)]),
                    bare(f"wood.{place}_moisture_percent", values[f"{place}_moisture_percent"]),
                    *(of(f"wood.{key}") for key in air),
                ),
                "the air says what the moisture is",
                Advice(
                    (
                        leave_out(f"wood.{place}_moisture_percent"),
                        tuple(one for key in air for one in leave_out(f"wood.{key}")),
                    ),
                    text="leave one of the two out",
                ),
            )
    return WoodWishes(**values)


def _climate_keys() -> tuple[Key, ...]:
    out: list[Key] = []
    for place, label, words in PLACES:
        out += [
            Key(
                f"{place}_c",
                f"{label}: temperature",
                f"temperature of the air {words}, °C",
                Number(LEAST_C, MOST_C),
            ),
            Key(
                f"{place}_humidity_percent",
                f"{label}: humidity",
                f"relative humidity of the air {words}",
                Number(LEAST_HUMIDITY, MOST_HUMIDITY),
            ),
            Key(
                f"{place}_moisture_percent",
                f"{label}: moisture",
                f"moisture of the wood {words}, in place of its air; outside 6 to 14 % movement is an extrapolation",
                Number(
                    LEAST_PERCENT, MOST_PERCENT, todo="give the percent of the dry mass that a meter shows"
                ),
            ),
        ]
    return tuple(out)


WOOD = KeyTable(
    name="wood",
    meaning="climates, allowances for the plank, and the load that the floor is held against",
    make=_wishes,
    fields=WoodWishes,
    keys=(
        *_climate_keys(),
        Key("planing_mm", "Planing", "more on a rough plank for each face", millimetres(0.0, 20.0)),
        Key("jointing_mm", "Jointing", "more on a rough plank for each edge of a board", millimetres(0.0, 30.0)),
        Key("trimming_mm", "Trimming", "more on a rough plank for each end of a board", millimetres(0.0, 200.0)),
        Key("plank_width_mm", "Plank: width", "of the rough plank at hand", millimetres(0.0, 1500.0)),
        Key("plank_length_mm", "Plank: length", "of the rough plank at hand", millimetres(0.0, 8000.0)),
        Key("plank_thickness_mm", "Plank: thickness", "of the rough plank at hand", millimetres(0.0, 200.0)),
        Key(
            "glue_clear_mm",
            "Glue line and pommel",
            "how far a glue line beside the pommel should stay from its crest",
            millimetres(0.0, 100.0),
        ),
        Key("load_n", "Load", "static load on the seat, in newtons", Number(100.0, 5000.0)),
        Key(
            "factor",
            "Factor",
            "how many times stronger than its load a floor has to be to count as safe-looking",
            Number(1.0, 10.0),
        ),
    ),
)  # fmt: skip
