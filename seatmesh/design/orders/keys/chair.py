"""Keys of the table [chair]: what the seat is mounted on."""

from __future__ import annotations

from seatmesh.chair import Chair
from seatmesh.files.keys.key import Key
from seatmesh.files.keys.number import degrees, millimetres
from seatmesh.files.keys.table import KeyTable, made_of

CHAIR = KeyTable(
    name="chair",
    meaning="what the seat is mounted on, below",
    make=made_of(Chair),
    fields=Chair,
    keys=(
        Key(
            "front_height_mm",
            "Height of the front edge",
            "from the ground to the top of the front edge; left out: from the sitter's lower leg and shoes",
            millimetres(200.0, 900.0),
            asked="first",
        ),
        Key("rake_deg", "Rake", "how far the seat falls to the rear", degrees(-5.0, 15.0), asked="first"),
        Key("shoe_mm", "Shoe", "thickness of sole and heel", millimetres(0.0, 120.0), asked="first"),
    ),
)
