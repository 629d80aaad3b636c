"""The balance on an elastic foundation against C3 and C4: `python tests/verification/orders.py` prints the table.

Linear law, no spread: columns that act alone. Errors are relative; the order is that of a fitted power of the cell.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from closed_forms import curvature_in_dish, foundation

from seatmesh.contact import Layer, Load, balance
from seatmesh.tissue import TissueBed, TissueLaw, even_layer

SPHERE_MM, THICKNESS_MM, MODULUS_MPA, FORCE_N, DISH_MM = 100.0, 40.0, 0.06, 150.0, 200.0
CELLS_MM = (12.0, 6.0, 3.0, 1.5, 0.75)
LINEAR = TissueLaw(MODULUS_MPA, lift=0.0, onset=0.0, stiffening=0.0, power=1.0)


@dataclass(frozen=True)
class Convergence:
    """Relative errors of one quantity over `CELLS_MM`."""

    check: str
    quantity: str
    errors: tuple[float, ...]

    @property
    def order(self) -> float:
        """Fitted power of the cell's size with which the error falls."""
        return float(np.polyfit(np.log(CELLS_MM), np.log(self.errors), 1)[0])


def pressed(radius_mm: float, cell_mm: float, law: TissueLaw = LINEAR) -> tuple[float, float, float]:
    """Return approach (mm), greatest pressure (MPa) and contact area (mm2) of a sphere on the foundation."""
    # An odd offset keeps the cells from lying symmetrically about the sphere, which would flatter the errors.
    side = np.arange(-132.0, 132.0, cell_mm) + 0.37 * cell_mm
    x, y = (one.ravel() for one in np.meshgrid(side, side))
    bed = TissueBed(law, even_layer(np.full_like(x, THICKNESS_MM)))
    layer = Layer(x, y, (x**2 + y**2) / (2.0 * radius_mm), np.full_like(x, cell_mm**2), bed)
    solution = balance(layer, Load(FORCE_N, 0.0, 0.0))
    sink = solution.value.sink_mm(x, y)
    pressure = bed.response(sink - layer.gap_mm)[0]
    return solution.value.heave_mm, float(pressure.max()), float(np.count_nonzero(pressure) * cell_mm**2)


def table(law: TissueLaw = LINEAR) -> list[Convergence]:
    """Return the convergence of approach and peak for C3 and C4."""
    rows = []
    for check, radius in (("C3", SPHERE_MM), ("C4", curvature_in_dish(SPHERE_MM, DISH_MM))):
        exact = foundation(radius, MODULUS_MPA, THICKNESS_MM, FORCE_N)
        found = [pressed(radius, cell, law) for cell in CELLS_MM]
        for number, (quantity, value) in enumerate(
            (("approach", exact.approach_mm), ("peak", exact.peak_mpa))
        ):
            errors = tuple(abs(one[number] / value - 1.0) for one in found)
            rows.append(Convergence(check, quantity, errors))
    return rows


def printed(rows: list[Convergence]) -> str:
    """Return the table as text."""
    cells = "".join(f"{cell:>10g}" for cell in CELLS_MM)
    lines = [f"{'id':4}{'quantity':10}{cells}   order   (relative error at each cell, mm)"]
    for row in rows:
        errors = "".join(f"{error:10.1e}" for error in row.errors)
        lines.append(f"{row.check:4}{row.quantity:10}{errors}{row.order:8.2f}")
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(printed(table()) + "\n")
