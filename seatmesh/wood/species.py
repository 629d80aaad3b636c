"""What a wood weighs, for the mass that a stage takes off."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.errors import UnknownKeyError

MOISTURE = 0.12
"""Water over dry wood in a workshop; what the table's volumes hold for."""

# Specific gravity, oven-dry mass over volume at 12 % moisture: Forest Products Laboratory, Wood Handbook,
# FPL-GTR-190 (2010), table 5-3 (W5); beech, red oak and yellow birch from memory. Good for a guess at the weight.
SPECIFIC_GRAVITY = {
    "ash": 0.60,
    "basswood": 0.37,
    "beech": 0.64,
    "cherry": 0.50,
    "elm": 0.50,
    "hard maple": 0.63,
    "pine": 0.35,
    "red oak": 0.63,
    "walnut": 0.55,
    "white oak": 0.68,
    "yellow birch": 0.62,
    "yellow poplar": 0.42,
}
SOURCE = "Wood Handbook (FPL-GTR-190), table 5-3, at 12 % moisture"


@dataclass(frozen=True)
class Timber:
    """A wood and its density in a workshop."""

    name: str
    density_kg_m3: float

    def mass_kg(self, volume_mm3: float) -> float:
        """Return the mass of a volume."""
        return self.density_kg_m3 * volume_mm3 * 1e-9


def wood_named(name: str) -> Timber:
    """Return a wood by its name.

    Raises
    ------
    UnknownKeyError
        For a wood that the table has not.
    """
    key = " ".join(name.lower().split())
    if key not in SPECIFIC_GRAVITY:
        raise UnknownKeyError(name, SPECIFIC_GRAVITY, "wood")
    return Timber(key, 1000.0 * SPECIFIC_GRAVITY[key] * (1.0 + MOISTURE))
