"""Figures of a sitting are typed attributes, entries by name, and plain values for JSON."""

import copy
import dataclasses
import json
import pickle

import pytest

from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import NotSolvedError, UnknownKeyError
from seatmesh.seating.sit import sit
from seatmesh.seating.sitting_figures import Figures
from seatmesh.surface import flat_seat

# The keys that the reference of the command `sit` promises for every sitting in balance.
PROMISED = (
    "load_n", "contact_area_cm2", "area_above_0_67_kpa_cm2", "mean_kpa", "peak_kpa", "peak_gradient_kpa_per_cm",
    "hottest_8_percent_share", "load_share", "tissue_left_ratio", "knee_clearance_mm", "tailbone_clearance_mm",
    "converged", "residual",
)  # fmt: skip


@pytest.fixture(scope="module")
def figures():
    return sit(estimate_body("female", 1640, 61), flat_seat()).figures


def test_every_promised_figure_is_an_attribute_and_an_entry(figures):
    assert set(PROMISED) <= set(figures)
    assert list(figures) == [one.name for one in dataclasses.fields(Figures)]
    for name in ("load_n", "mean_kpa", "peak_kpa", "knee_clearance_mm", "converged"):
        assert getattr(figures, name) == figures[name] == figures.get(name)
    assert figures.load_share.tailbone == figures["load_share"]["tailbone"] == figures.load_share["tailbone"]
    assert figures.load_point_mm.y_mm == figures["load_point_mm"]["y_mm"]
    assert 0.35 <= figures["tissue_left_ratio"] <= 0.65  # B6


def test_they_are_the_same_json_either_way(figures):
    assert json.dumps(dict(figures)) == json.dumps(dataclasses.asdict(figures))
    assert set(json.loads(json.dumps(dict(figures)))["load_share"]) == {
        "left_sit_bone", "right_sit_bone", "left_thigh", "right_thigh", "tailbone",
    }  # fmt: skip


def test_they_cannot_be_written_and_know_no_other_name(figures):
    with pytest.raises(dataclasses.FrozenInstanceError):
        figures.peak_kpa = 1.0
    with pytest.raises(AttributeError, match="peak_kpa"):
        _ = figures.peak
    assert "peak" not in figures
    with pytest.raises(UnknownKeyError, match="did you mean 'peak_kpa'"):
        Figures.known("made up", peak_kp=1.0)


def test_copies_and_pickles_are_equal(figures):
    lost = Figures.known("the body misses the seat", load_n=400.0, converged=False, residual=None)
    for one in (figures, lost):
        assert copy.deepcopy(one) == pickle.loads(pickle.dumps(one)) == one == dict(one)
        assert all(name in repr(one) for name in one)
    assert figures != lost
    with pytest.raises(NotSolvedError, match=r"no peak_kpa.*misses the seat"):
        _ = pickle.loads(pickle.dumps(lost)).peak_kpa
