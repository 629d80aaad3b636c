"""What the service says people on a seat are holds every key of the library's report, without a worker."""

import importlib
import sys
from pathlib import Path

import pytest
from seatmesh_service.models.people.people_answer import PeopleOut
from seatmesh_service.routes.seats.sitting.people import _question
from seatmesh_service.tasks.of_a_seat.people import question_of

from seatmesh.errors import InputError
from seatmesh.people.study import ask
from seatmesh.people.told.report import people_report
from seatmesh.surface import Seat

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "people"))
made_people = importlib.import_module("made_people")


def extras(model, at="People"):
    """Return the keys of an answer that its class does not name."""
    found = [f"{at}.{name}" for name in model.model_extra or {}]
    for name in type(model).model_fields:
        value = getattr(model, name)
        for one in value if isinstance(value, list) else [value]:
            if hasattr(one, "model_extra"):
                found += extras(one, f"{at}.{name}")
    return found


def test_every_key_of_a_report_is_typed(monkeypatch):
    monkeypatch.setattr("seatmesh.people.table.press_people", made_people.by_formula)
    public = {
        "women_share": 0.4,
        "stature_mm": {"male": {"mean": 1760, "sd": 72}},
        "ages": [{"from_years": 18, "to_years": 58, "share": 1}],
    }
    asked = _question({"count": 300, "public": public, "asked": {"peak_kpa": 25}}, 20_000)
    report = people_report(ask(question_of(Seat(), asked)))
    assert report["failing"]
    assert extras(PeopleOut.model_validate(report)) == []


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"count": 0}, "1 to 20000"),
        ({"count": 2.5}, "whole number"),
        ({"seed": -1}, "whole number"),
        ({"public": "martians"}, "us-2011"),
        ({"public": {"women_share": 3}}, "0 to 1"),
        ({"public": ["a"]}, "a name or a table"),
        ({"asked": {"knee_clearance": 3}}, "knee_clearance_mm"),
        ({"asked": 3}, "table of bounds"),
        ({"asked": {"knee_clearance_mm": "wide"}}, "knee_clearance_mm"),
        ({"front_height_mm": 20}, "200 to 900"),
        ({"people": 3}, "unknown key"),
    ],
)
def test_what_a_request_may_not_ask(asked, words):
    with pytest.raises(InputError, match=words):
        _question(asked, 20_000)
