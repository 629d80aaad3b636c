"""What comes of a body sitting on a seat: pose, pressure and figures."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.arrays import Floats
from seatmesh.body.body import Body
from seatmesh.by_value import by_value, lock
from seatmesh.contact import Pose
from seatmesh.seating.sitting_figures import Figures
from seatmesh.surface import Seat

ARRAYS = ("x_mm", "y_mm", "pressure_kpa", "skin_mm", "bone_mm", "wood")


@by_value
@dataclass(frozen=True, eq=False)
class Sitting:
    """A body in balance on a seat; its arrays are copies that cannot be written.

    Attributes
    ----------
    body, seat, posture
        Who sits on what, and how.
    x_mm, y_mm
        The grid's columns and rows, shapes (nx,) and (ny,), in the frame of the blank.
    pressure_kpa
        Shape (ny, nx): row i is y_mm[i], column j is x_mm[j]; 0 where there is no contact.
    skin_mm, bone_mm
        Heights z of the unpressed underside of skin and of bone in the pose of balance, shape (ny, nx); where they
        pass through the seat the tissue is compressed. Infinite where the body does not reach.
    wood
        Shape (ny, nx), the share of each grid cell that lies inside the outline.
    pose
        Heave, pitch and roll of the balance, and the load it carries.
    figures
        Areas, pressures, shares and clearances as typed attributes; `figures["peak_kpa"]` works as well as
        `figures.peak_kpa`.
    verdict
        "converged", or in words why there is no balance.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, sit
    >>> sitting = sit(estimate_body("male", 1740, 69), flat_seat())
    >>> sitting.pressure_kpa.shape == (len(sitting.y_mm), len(sitting.x_mm))
    True
    >>> lost = sit(estimate_body("male", 1740, 69), flat_seat(), at_mm=(1000.0, 0.0))
    >>> lost.converged, lost.figures.converged
    (False, False)
    """

    body: Body
    seat: Seat
    posture: str
    x_mm: Floats
    y_mm: Floats
    pressure_kpa: Floats
    skin_mm: Floats
    bone_mm: Floats
    wood: Floats
    pose: Pose
    figures: Figures
    verdict: str

    def __post_init__(self) -> None:
        lock(self, float, *ARRAYS)

    @property
    def converged(self) -> bool:
        """Whether the balance was found."""
        return self.verdict == "converged"
