"""Moisture at rest: the handbook's table, against temperature and humidity."""

import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.wood.boards.moisture import Climate, equilibrium_moisture, extrapolates

# W6: Wood Handbook, table of equilibrium moisture content, from memory, as is the equation; they agree.
TABLE = [
    (70, 10, 2.5), (70, 30, 6.2), (70, 50, 9.2), (70, 65, 12.0), (70, 80, 16.0), (70, 90, 20.5), (30, 50, 9.5),
    (90, 50, 8.9),
]  # fmt: skip


@pytest.mark.parametrize(("fahrenheit", "humidity", "percent"), TABLE)
def test_moisture_is_the_tables_within_0_2_percent(fahrenheit, humidity, percent):
    assert equilibrium_moisture((fahrenheit - 32) / 1.8, humidity) == pytest.approx(percent, abs=0.2)


def test_a_second_statement_of_the_equation_agrees():
    """The same model in degrees Fahrenheit (Simpson 1998, FPL-RN-0268, written down from memory)."""
    for t in (30.0, 70.0, 120.0):
        for h in (0.1, 0.5, 0.9):
            w = 330 + 0.452 * t + 0.00415 * t**2
            k = 0.791 + 0.000463 * t - 0.000000844 * t**2
            k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
            k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
            both = k1 * k * h + 2 * k1 * k2 * k**2 * h**2
            m = 1800 / w * (k * h / (1 - k * h) + both / (1 + k1 * k * h + k1 * k2 * k**2 * h**2))
            assert equilibrium_moisture((t - 32) / 1.8, 100 * h) == pytest.approx(m, abs=0.012)


def test_moisture_rises_with_humidity_and_falls_with_warmth():
    assert equilibrium_moisture(20, 40) < equilibrium_moisture(20, 41)
    assert equilibrium_moisture(30, 40) < equilibrium_moisture(20, 40)


@pytest.mark.parametrize(("temperature", "humidity"), [(90, 50), (20, 0.5), (20, 100)])
def test_air_that_cannot_be_is_refused(temperature, humidity):
    with pytest.raises(ValueRefusedError, match="allowed are"):
        equilibrium_moisture(temperature, humidity)


def test_a_meter_stands_in_for_the_air():
    assert Climate("shop", 20, 50, 8.0).moisture_percent == 8.0
    assert "as given" in Climate("shop", 20, 50, 8.0).words
    assert not extrapolates(6.0)
    assert not extrapolates(14.0)
    assert extrapolates(5.9)
    assert extrapolates(14.1)
