"""Closed forms of contact (Johnson 1985, *Contact Mechanics*, ch. 4, 4.3, 5.8): spheres on plane layers; N, mm, MPa."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Patch:
    """A round patch of contact: radius, approach, greatest pressure, and the load on its hottest 8 %."""

    radius_mm: float
    approach_mm: float
    peak_mpa: float
    hottest_8_percent: float


def curvature_in_dish(sphere_mm: float, dish_mm: float) -> float:
    """Return Re of a sphere in a dish, 1/Re = 1/R - 1/Rs (C2, C4)."""
    return 1.0 / (1.0 / sphere_mm - 1.0 / dish_mm)


def hertz(sphere_mm: float, modulus_mpa: float, poisson: float, force_n: float) -> Patch:
    """Return C1: a^3 = 3 F R / 4 E*, d = a^2 / R, p0 = 3 F / 2 pi a^2; p goes with (1 - r^2/a^2)^(1/2)."""
    stiff = modulus_mpa / (1.0 - poisson**2)
    a = (3.0 * force_n * sphere_mm / (4.0 * stiff)) ** (1.0 / 3.0)
    return Patch(a, a**2 / sphere_mm, 1.5 * force_n / (np.pi * a**2), _inner_share(1.5))


def foundation(sphere_mm: float, modulus_mpa: float, thickness_mm: float, force_n: float) -> Patch:
    """Return C3: F = pi K R d^2 / h, a^2 = 2 R d, p0 = 2 F / pi a^2; p goes with 1 - r^2/a^2."""
    d = np.sqrt(force_n * thickness_mm / (np.pi * modulus_mpa * sphere_mm))
    a = np.sqrt(2.0 * sphere_mm * d)
    return Patch(a, d, 2.0 * force_n / (np.pi * a**2), _inner_share(2.0))


def thin_incompressible(
    sphere_mm: float, shear_mpa: float, thickness_mm: float, force_n: float, slip: float
) -> Patch:
    """Return C6, c 3 (frictionless) or 12 (no slip): F = pi c G a^6 / 96 R h^3, a^2 = 4 R d, p with (1 - r2/a2)^2.

    Derived from lubrication theory; cf. Jaffar 1989.
    """
    a = (96.0 * sphere_mm * thickness_mm**3 * force_n / (np.pi * slip * shear_mpa)) ** (1.0 / 6.0)
    peak = slip * shear_mpa * a**4 / (32.0 * sphere_mm * thickness_mm**3)
    return Patch(a, a**2 / (4.0 * sphere_mm), peak, _inner_share(3.0))


def confined_over_young(poisson: float) -> float:
    """Return C5, the modulus of a layer that cannot swell sideways over Young's."""
    return (1.0 - poisson) / ((1.0 + poisson) * (1.0 - 2.0 * poisson))


def _inner_share(power: float) -> float:
    """Return C8: for p with (1 - r^2/a^2)^(power - 1) the middle 8 % of the area carry 1 - 0.92^power."""
    return 1.0 - 0.92**power
