"""The woods that the tool knows: weight, movement and strength of each, with where every figure is from.

Read in the handbook or a copy of its tables: specific gravity, bending and tension across the grain (W5, table 5-3, at
12 % moisture), coefficients of movement (W3, table 13-5). What is missing in the handbook is None, and `notes` names
what stands in for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

NAMES: Mapping[str, str] = {
    "white ash": "ash",
    "american basswood": "basswood",
    "american beech": "beech",
    "black cherry": "cherry",
    "american elm": "elm",
    "sugar maple": "hard maple",
    "white pine": "pine",
    "eastern white pine": "pine",
    "northern red oak": "red oak",
    "black walnut": "walnut",
    "yellow-poplar": "yellow poplar",
}
"""Other names of the same woods."""


@dataclass(frozen=True)
class SpeciesRow:
    """What is known of a wood.

    Attributes
    ----------
    specific_gravity
        Oven-dry mass over volume at 12 % moisture.
    radial, tangential
        Change of dimension over dimension for each percent of moisture, between 6 and 14 %.
    bending_mpa, stiffness_gpa, across_mpa
        Modulus of rupture, modulus of elasticity in bending, and tension across the grain, of small clear pieces at
        12 %; None where nobody has it.
    across_stand_in_mpa
        What is taken for a strength across the grain that is not known; `notes` says of what.
    notes
        Stand-ins and doubts, in words.
    """

    specific_gravity: float
    radial: float
    tangential: float
    bending_mpa: float | None = None
    stiffness_gpa: float | None = None
    across_mpa: float | None = None
    across_stand_in_mpa: float | None = None
    notes: tuple[str, ...] = ()


BLACK_MAPLE = (
    "tension across the grain is unknown for sugar maple: that of black maple, 4.6 MPa, stands in for it"
)
COPIED = "tension across the grain was read in a copy of the handbook's table"

ROWS: Mapping[str, SpeciesRow] = {
    "ash": SpeciesRow(0.60, 0.00169, 0.00274, 103.0, 12.0, 6.5),
    "basswood": SpeciesRow(0.37, 0.00230, 0.00330, 60.0, 10.1, 2.4),
    "beech": SpeciesRow(0.64, 0.00190, 0.00431, 103.0, 11.9, 7.0, notes=(COPIED,)),
    "butternut": SpeciesRow(0.38, 0.00116, 0.00223, 56.0, 8.1, 3.0),
    "cherry": SpeciesRow(0.50, 0.00126, 0.00248, 85.0, 10.3, 3.9),
    "elm": SpeciesRow(0.50, 0.00144, 0.00338, 81.0, 9.2, 4.6),
    "hard maple": SpeciesRow(0.63, 0.00165, 0.00353, 109.0, 12.6, None, 4.6, (BLACK_MAPLE,)),
    "pine": SpeciesRow(0.35, 0.00071, 0.00212, 59.0, 8.5, 2.1),
    "red oak": SpeciesRow(0.63, 0.00158, 0.00369, 99.0, 12.5, 5.5, notes=(COPIED,)),
    "walnut": SpeciesRow(0.55, 0.00190, 0.00274, 101.0, 11.6, 4.8),
    "white oak": SpeciesRow(0.68, 0.00180, 0.00365, 105.0, 12.3, 5.5),
    "yellow birch": SpeciesRow(0.62, 0.00256, 0.00338, 114.0, 13.9, 6.3, notes=(COPIED,)),
    "yellow poplar": SpeciesRow(
        0.42,
        0.00158,
        0.00289,
        70.0,
        10.9,
        3.7,
        notes=(
            "coefficients of movement are worked out from the handbook's shrinkage S, as (S/30)/(100 - 2S/3)",
        ),
    ),
}
"""By the name that an order gives."""
