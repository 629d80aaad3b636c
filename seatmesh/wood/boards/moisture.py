"""Moisture of wood that has come to rest in the air of a room."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.errors import ValueRefusedError

LEAST_C, MOST_C = -2.0, 50.0
LEAST_HUMIDITY, MOST_HUMIDITY = 5.0, 95.0
LOW_PERCENT, HIGH_PERCENT = 6.0, 14.0
"""Between these the coefficients of movement hold (W1); beyond them they are carried on, which is said."""
LEAST_PERCENT, MOST_PERCENT = 2.0, 25.0
"""Wood in a room is never drier or wetter: near 28 % it stops moving altogether."""


def equilibrium_moisture(temperature_c: float, humidity_percent: float) -> float:
    """Return the moisture that wood comes to in still air, percent of its dry mass.

    Two-hydrate sorption model as the Wood Handbook fits it to its table (W6).

    Raises
    ------
    ValueRefusedError
        Temperature or humidity lies outside what the fit is used for.
    """
    for name, value, low, high in (
        ("temperature_c", temperature_c, LEAST_C, MOST_C),
        ("humidity_percent", humidity_percent, LEAST_HUMIDITY, MOST_HUMIDITY),
    ):
        if not low <= value <= high:
            raise ValueRefusedError(name, f"{value:g}", f"allowed are {low:g} to {high:g}", "check its unit")
    t, h = temperature_c, humidity_percent / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    both = k1 * kh + k1 * k2 * kh**2
    # The last term's numerator counts the second hydrate twice.
    return 1800.0 / w * (kh / (1.0 - kh) + (both + k1 * k2 * kh**2) / (1.0 + both))


@dataclass(frozen=True)
class Climate:
    """The air of a room, or the moisture of the wood in it where the maker measured that."""

    name: str
    temperature_c: float
    humidity_percent: float
    measured_percent: float | None = None

    @property
    def moisture_percent(self) -> float:
        """Moisture of the wood there."""
        if self.measured_percent is not None:
            return self.measured_percent
        return equilibrium_moisture(self.temperature_c, self.humidity_percent)

    @property
    def words(self) -> str:
        """The climate in words."""
        if self.measured_percent is not None:
            return f"{self.name}: wood at {self.measured_percent:.1f} %, as given"
        return (
            f"{self.name}: {self.temperature_c:g} °C and {self.humidity_percent:g} % relative humidity, "
            f"wood at {self.moisture_percent:.1f} %"
        )


def extrapolates(percent: float) -> bool:
    """Tell whether coefficients of movement are carried beyond where they hold."""
    return not LOW_PERCENT <= percent <= HIGH_PERCENT
