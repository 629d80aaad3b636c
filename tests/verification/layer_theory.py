"""A paraboloid pressed on a bonded incompressible elastic layer, at small strain: theory without a mesh.

The layer's compliance in Hankel space (Johnson 1985, *Contact Mechanics*, 5.8) turns the contact into an integral
equation of the second kind (Lebedev and Ufliand 1958; Sneddon), solved here by Gauss quadrature:
phi(t) + (2/pi) int_0^a phi(s) K(t, s) ds = (4 G/pi) (d - t^2/R), K = int_0^inf (L(kh) - 1) cos kt cos ks dk, with
phi(a) = 0 at a smooth edge and F = 2 pi int_0^a phi dt. L = 1 gives Hertz.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LayerContact:
    """Contact radius (mm), approach (mm) and force (N)."""

    contact_radius_mm: float
    approach_mm: float
    force_n: float


def bonded_layer(
    contact_radius_mm: float, knob_mm: float, thickness_mm: float, mu_kpa: float, points: int = 60
) -> LayerContact:
    """Return the approach and force at which a knob of radius `knob_mm` touches up to `contact_radius_mm`."""
    a, h = contact_radius_mm, thickness_mm
    nodes, weights = np.polynomial.legendre.leggauss(points)
    t, w = 0.5 * a * (nodes + 1.0), 0.5 * a * weights
    at = np.append(t, a)
    kernel = _kernel(at, t, h) * (2.0 / np.pi) * w
    system = np.eye(points) + kernel[:-1]
    per_approach = np.linalg.solve(system, np.ones(points))
    per_curvature = np.linalg.solve(system, t**2)
    edge_approach = 1.0 - kernel[-1] @ per_approach
    edge_curvature = a**2 - kernel[-1] @ per_curvature
    approach = float(edge_curvature / edge_approach / knob_mm)
    phi = 4e-3 * mu_kpa / np.pi * (approach * per_approach - per_curvature / knob_mm)
    return LayerContact(a, approach, float(2.0 * np.pi * (w @ phi)))


def dimitriadis(approach_mm: float, knob_mm: float, thickness_mm: float, mu_kpa: float) -> float:
    """Return the force (N) by check-values C7 (Dimitriadis et al. 2002): a series in x = sqrt(R d) / h."""
    x = np.sqrt(knob_mm * approach_mm) / thickness_mm
    series = 1.0 + 1.133 * x + 1.283 * x**2 + 0.769 * x**3 + 0.0975 * x**4
    return float(16.0 / 9.0 * 3e-3 * mu_kpa * np.sqrt(knob_mm) * approach_mm**1.5 * series)


def _kernel(t: Floats, s: Floats, h: float) -> Floats:
    nodes, weights = np.polynomial.legendre.leggauss(200)
    xi = 15.0 * (nodes + 1.0)
    k = xi / h
    bonded = (np.sinh(2 * xi) - 2 * xi) / (np.cosh(2 * xi) + 1.0 + 2 * xi**2)
    spectrum = 15.0 * weights / h * (bonded - 1.0)
    return np.asarray(np.cos(np.outer(t, k)) * spectrum @ np.cos(np.outer(k, s)))
