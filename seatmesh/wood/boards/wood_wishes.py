"""What a maker may say of the wood beside its boards: climates, allowances, the plank, and the load to be borne."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.wood.boards.moisture import Climate

LOAD_N = 1300.0
"""Static seat load of a domestic chair, ten times (D4: EN 12520, written down from memory)."""

GLUE_CLEAR_MM = 25.0
"""A glue line nearer than this beside the pommel's crest makes the pommel look lopsided (from memory of the trade)."""


@dataclass(frozen=True)
class WoodWishes:
    """Climates, allowances, plank and load; the defaults are common practice, from memory.

    Attributes
    ----------
    shop_c, shop_humidity_percent, shop_moisture_percent
        Air of the shop in which the seat is made; or the moisture of the boards, as a meter tells it, in its place.
    winter_c, ..., summer_moisture_percent
        The same of the room that it goes to, at its driest and at its dampest.
    planing_mm, jointing_mm, trimming_mm
        Wood that a rough plank must have more: for each face, for each edge, for each end.
    plank_width_mm, plank_length_mm, plank_thickness_mm
        A rough plank that is at hand; 0 is none.
    glue_clear_mm
        How far from the pommel's crest a glue line should stay that does not lie under it.
    load_n
        Static load on the seat.
    factor
        How many times stronger than its load a floor has to be to count as safe-looking.

    Examples
    --------
    >>> from seatmesh import WoodWishes
    >>> shop = WoodWishes(shop_c=20.0, shop_humidity_percent=50.0).shop
    >>> round(shop.moisture_percent, 1)
    9.3
    """

    shop_c: float = 20.0
    shop_humidity_percent: float = 50.0
    shop_moisture_percent: float | None = None
    winter_c: float = 21.0
    winter_humidity_percent: float = 30.0
    winter_moisture_percent: float | None = None
    summer_c: float = 24.0
    summer_humidity_percent: float = 60.0
    summer_moisture_percent: float | None = None
    planing_mm: float = 3.0
    jointing_mm: float = 3.0
    trimming_mm: float = 20.0
    plank_width_mm: float = 0.0
    plank_length_mm: float = 0.0
    plank_thickness_mm: float = 0.0
    glue_clear_mm: float = GLUE_CLEAR_MM
    load_n: float = LOAD_N
    factor: float = 3.0

    @property
    def shop(self) -> Climate:
        """Where the seat is made."""
        return Climate("shop", self.shop_c, self.shop_humidity_percent, self.shop_moisture_percent)

    @property
    def rooms(self) -> tuple[Climate, Climate]:
        """Where it goes: at its driest, and at its dampest."""
        return (
            Climate("winter", self.winter_c, self.winter_humidity_percent, self.winter_moisture_percent),
            Climate("summer", self.summer_c, self.summer_humidity_percent, self.summer_moisture_percent),
        )
