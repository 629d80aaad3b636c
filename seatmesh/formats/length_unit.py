"""Units of a scan: asked for, and looked at for whether they can be meant."""

from __future__ import annotations

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.formats.scan_contents import Raw
from seatmesh.units import MM_PER_FOOT, MM_PER_INCH, shown

MM_PER = {"mm": 1.0, "in": MM_PER_INCH, "m": 1000.0, "cm": 10.0, "ft": MM_PER_FOOT, "um": 0.001}
GIVEN = ("mm", "in", "m", "cm")
"""What a user may say; the others only a file says."""


def unit_of(raw: Raw, given: str | None, where: str) -> str:
    """Return the unit of a file: what it says itself, or else what was given.

    Raises
    ------
    ValueRefusedError
        None was given for a file that does not say, one was given that is none, or the two disagree.
    """
    if given is not None and given not in GIVEN:
        raise NotAmongError("unit", shown(given), GIVEN)
    if raw.unit is None:
        if given is None:
            raise ValueRefusedError(
                "unit",
                given,
                f"{where} does not say its unit; allowed are {', '.join(GIVEN)}",
                "say which it is in",
            )
        return given
    if given is not None and not raw.unit_is_sure:
        return given
    if given is not None and given != raw.unit:
        raise ValueRefusedError(
            "unit",
            shown(given),
            f"{where} says that it is in {raw.unit}",
            "leave the unit out, or correct the file",
        )
    return raw.unit
