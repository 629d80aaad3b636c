"""The map: written whole, the same each time, readable by the colour-blind and without colour."""

from dataclasses import replace
from io import BytesIO

import matplotlib.image
import numpy as np
import pytest
from matplotlib.colors import to_rgb

from seatmesh.errors import ValueRefusedError
from seatmesh.gauge.check.check_readings import check_readings
from seatmesh.gauge.check.map_picture import DEEP_COLOURS, SYMBOLS, TAKE_COLOURS, gauge_map
from seatmesh.picture.contact.pressure_scale import lightness


@pytest.fixture(scope="module")
def check(carved_seat, gauged, make_rows, places):
    x, y = places
    off = 2.5 * np.exp(-((x + 75.0) ** 2 + (y - 250.0) ** 2) / (2 * 30.0**2))
    off -= 3.0 * np.exp(-((x - 75.0) ** 2 + (y - 180.0) ** 2) / (2 * 40.0**2))
    off[-1] += 3.0
    return check_readings(carved_seat, make_rows(gauged, off, seed=2))


def drawn(check, **how):
    out = BytesIO()
    gauge_map(check, out, **how)
    return out.getvalue()


def test_the_map_shows_what_to_take_on_its_side_and_is_the_same_each_time(check):
    data = drawn(check)
    assert data == drawn(check)
    pixels = matplotlib.image.imread(BytesIO(data))[..., :3]
    middle = pixels.shape[1] / 2
    for colours, right in ((TAKE_COLOURS, True), (DEEP_COLOURS, False)):
        # The key at the foot shows all colours: only what stands above it counts.
        plan = pixels[: int(0.8 * pixels.shape[0])]
        shown = np.any([np.all(np.abs(plan - to_rgb(c)) < 0.01, axis=2) for c in colours], axis=0)
        columns = np.nonzero(shown)[1]
        assert len(columns) > 1000
        assert np.mean((columns > middle) == right) > 0.95


def test_more_is_darker_and_every_state_has_its_own_symbol():
    for colours in (TAKE_COLOURS, DEEP_COLOURS):
        shades = lightness(np.array([to_rgb(c) for c in colours]))
        assert np.all(np.diff(shades) < -5.0)
    assert len({look["marker"] for look in SYMBOLS.values()}) == 5


def test_inches_are_drawn_too_and_other_units_refused(check):
    assert drawn(check, units="in") != drawn(check)
    with pytest.raises(ValueRefusedError, match="units"):
        drawn(replace(check), units="cubits")
