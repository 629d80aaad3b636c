"""The chair that the seat belongs to: how high its front edge stands and how it is raked."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Chair:
    """Height and rake of the seat.

    Attributes
    ----------
    front_height_mm
        From the ground to the top of the front edge; None takes it from the sitter's popliteal height and shoes.
    rake_deg
        How far the seat falls toward the rear.
    shoe_mm
        Thickness of sole and heel.

    Examples
    --------
    >>> from seatmesh import Chair, Seat
    >>> Seat(chair=Chair(front_height_mm=450.0)).chair.rake_deg
    2.0
    """

    front_height_mm: float | None = None
    rake_deg: float = 2.0
    shoe_mm: float = 25.0
