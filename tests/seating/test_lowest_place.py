"""Where a seat fitted to a drawn sitter would be deepest: how far it is looked for, beside what, by what pressure."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.seating.sureness import uncertainty


@pytest.fixture
def lowest(monkeypatch):
    told = {}

    def bed(law, backing):
        return SimpleNamespace(overlap_at=lambda mpa: told.update(mpa=mpa) or np.zeros_like(mpa))

    monkeypatch.setattr(uncertainty, "TissueBed", bed)
    level = dict.fromkeys(("heave_mm", "pitch_deg", "roll_deg", "load_x_mm", "load_y_mm"), np.zeros(1))
    level["pitch_deg"] = -np.degrees(np.array([uncertainty.LEG_HOLLOW_TURN]))

    class OnFlat(SimpleNamespace):
        def __len__(self):
            return 1

    on_flat = OnFlat(load_n=np.array([600.0]), contact_area_cm2=np.array([800.0]), **level)

    def find(at_y, at_x=0.0, stiffness=1.0):
        def skin(x, y):
            told["aside"] = np.unique(np.abs(x))
            return 1e-3 * ((y - at_y) ** 2 + at_x * x)

        seated = SimpleNamespace(
            anatomy=SimpleNamespace(sit_bone_x=60.0), skin=skin, held=lambda *_: (None, None)
        )
        at_mm = np.zeros((1, 1)), np.full((1, 1), 150.0)
        return uncertainty.deepest_y_mm(seated, at_mm, on_flat, np.array([stiffness]))[0]

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
    assert told["mpa"] == pytest.approx(np.full(42, 0.0075))
    find(0.0, stiffness=1.5)
    assert told["mpa"] == pytest.approx(np.full(42, 0.0050)), "stiffer flesh gives as the usual does to less"
