"""Woods by name: what a wood weighs, how it moves and what it bears; or the maker's own values for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from seatmesh.errors import UnknownWordError, ValueRefusedError, nearest_to
from seatmesh.refused import bare, of, said
from seatmesh.units import shown
from seatmesh.wood.elastic_ratios import ElasticRatios, ratios_of
from seatmesh.wood.species_rows import NAMES, ROWS

MOISTURE = 0.12
"""Water over dry wood in a workshop; what the table's volumes hold for."""

SPECIFIC_GRAVITY = {name: row.specific_gravity for name, row in ROWS.items()}
"""Oven-dry mass over volume at 12 % moisture, by name."""
SOURCE = "Wood Handbook (FPL-GTR-190), table 5-3, at 12 % moisture"
USUAL = "white oak"
"""What is taken where nobody says of what wood a board is."""
OWN_NEEDED = ("density_kg_m3", "radial_per_percent", "tangential_per_percent")
"""What an order has to give of a wood that is not in the table."""


@dataclass(frozen=True)
class Timber:
    """A wood and its density in a workshop."""

    name: str
    density_kg_m3: float

    def mass_kg(self, volume_mm3: float) -> float:
        """Return the mass of a volume."""
        return self.density_kg_m3 * volume_mm3 * 1e-9


@dataclass(frozen=True)
class Species:
    """A wood as a board is made of it; None is not known.

    Attributes
    ----------
    density_kg_m3
        Of air-dry wood, at 12 % moisture.
    radial_per_percent, tangential_per_percent
        Change of dimension over dimension for each percent of moisture, along a ray and along a ring.
    bending_mpa, stiffness_gpa, across_mpa
        Strength in bending, stiffness in bending, strength in tension across the grain.
    own
        Whether the maker gave any of these.
    notes
        What stands in for what, in words.
    """

    name: str
    density_kg_m3: float
    radial_per_percent: float
    tangential_per_percent: float
    bending_mpa: float | None = None
    stiffness_gpa: float | None = None
    across_mpa: float | None = None
    own: bool = False
    notes: tuple[str, ...] = ()

    @property
    def ratios(self) -> ElasticRatios:
        """How stiff it is across the grain and in shear, over along it."""
        return ratios_of(self.name)


def known_name(name: str) -> str | None:
    """Return a wood's name in the table, or None where the table does not list it."""
    key = " ".join(name.lower().split())
    key = NAMES.get(key, key)
    return key if key in ROWS else None


def wood_named(name: str) -> Timber:
    """Return a wood by its name.

    Raises
    ------
    UnknownWordError
        The wood is not in the table.
    """
    key = known_name(name)
    if key is None:
        raise UnknownWordError(name, SPECIFIC_GRAVITY, "wood")
    return Timber(key, 1000.0 * SPECIFIC_GRAVITY[key] * (1.0 + MOISTURE))


def species_named(name: str, own: Mapping[str, float] | None = None, label: str = "species") -> Species:
    """Return a wood of the table, with the maker's `own` values in place of the table's, or one of own values alone.

    `own` has fields of `Species`.

    Raises
    ------
    ValueRefusedError
        The table has no such wood and own values are missing: the message says which. Or wood moves more along a ray
        than along a ring, which none does.

    Examples
    --------
    >>> from seatmesh import species_named
    >>> walnut = species_named("black walnut")
    >>> walnut.name, walnut.bending_mpa
    ('walnut', 101.0)
    """
    own = dict(own or {})
    key = known_name(name)
    if key is None:
        missing = [one for one in OWN_NEEDED if one not in own]
        if missing:
            near = nearest_to(name, [*ROWS, *NAMES])
            meant = f"did you mean '{near}'? Else " if near else ""
            raise ValueRefusedError(
                label,
                shown(name),
                f"known are {', '.join(ROWS)}",
                said(
                    f"{meant.replace('{', '').replace('}', '')}choose one of them, or give this wood's own "
                    + ", ".join("{}" for _ in missing),
                    *(of(f"board.{one}") for one in missing),
                ),
            )
        made = Species(" ".join(name.split()), **own, own=True, notes=_unknown(own))
    else:
        row = ROWS[key]
        across = row.across_stand_in_mpa if row.across_mpa is None else row.across_mpa
        notes = tuple(one for one in row.notes if "across_mpa" not in own or "across" not in one)
        table = Species(
            key, 1000.0 * row.specific_gravity * (1.0 + MOISTURE), row.radial, row.tangential,
            row.bending_mpa, row.stiffness_gpa, across, bool(own), notes,
        )  # fmt: skip
        made = replace(table, **own)  # type: ignore[arg-type]
    if made.radial_per_percent > made.tangential_per_percent:
        raise ValueRefusedError(
            f"{label} radial_per_percent",
            said(
                "{} with {}",
                bare("board.radial_per_percent", made.radial_per_percent),
                of("board.tangential_per_percent", made.tangential_per_percent),
            ),
            "every wood moves less along its rays than along its rings",
            "check which is which",
        )
    return made


def _unknown(own: Mapping[str, float]) -> tuple[str, ...]:
    words = {
        "bending_mpa": "strength in bending",
        "stiffness_gpa": "stiffness",
        "across_mpa": "tension across the grain",
    }
    missing = [words[one] for one in words if one not in own]
    return (f"not known of it: {', '.join(missing)}",) if missing else ()
