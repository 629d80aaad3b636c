"""Where a seat fitted to a drawn sitter would be deepest: how far it is looked for, beside what, by what pressure."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.seating.sureness import uncertainty


@dataclass(frozen=True)
class Level:
    """A pose that sinks the body evenly."""

    pitch: float = 0.0

    def sink_mm(self, x, y):
        return np.zeros_like(x)


@pytest.fixture
def lowest(monkeypatch):
    told = {}

    def bed(law, backing):
        return SimpleNamespace(overlap_at=lambda mpa: told.update(mpa=mpa) or 0.0)

    monkeypatch.setattr(uncertainty, "TissueBed", bed)
    on_flat = SimpleNamespace(figures=SimpleNamespace(load_n=600.0, contact_area_cm2=800.0), pose=Level())

    def find(at_y, at_x=0.0):
        def fields(x, y):
            told["aside"] = np.unique(np.abs(x))
            return SimpleNamespace(skin=1e-3 * ((y - at_y) ** 2 + at_x * x), backing=None)

        seated = SimpleNamespace(anatomy=SimpleNamespace(sit_bone_x=60.0), fields=fields)
        return uncertainty.deepest_y_mm(SimpleNamespace(seated=seated, at_mm=(0.0, 150.0)), on_flat)

    return find, told


def test_the_lowest_place_is_looked_for_within_80_mm_of_the_sit_bones(lowest):
    find, _ = lowest
    for at in (-79.0, -3.3, 0.0, 41.0, 79.0):
        assert find(at) == pytest.approx(150.0 + at), (
            "a parabola between points finds a parabola's lowest place"
        )
    assert find(200.0) == pytest.approx(230.0)
    assert find(-200.0) == pytest.approx(70.0)


def test_it_is_looked_for_a_centimetre_outside_the_sit_bones_under_the_mean_pressure(lowest):
    """600 N over 800 cm2 are 7.5 kPa."""
    find, told = lowest
    find(0.0)
    assert told["aside"].tolist() == [70.0]
    assert told["mpa"] == pytest.approx(0.0075)
