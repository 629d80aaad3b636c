"""Sets of seats: the choice against trying everything by hand, rules, and a gain that is judged on other people."""

from itertools import combinations, product

import numpy as np
import pytest

from seatmesh import read_seat
from seatmesh.design.demo import demo_orders
from seatmesh.design.orders.order import order_from_table
from seatmesh.errors import ValueRefusedError
from seatmesh.people.criteria import Asked
from seatmesh.people.drawn import draw_part
from seatmesh.people.engine.run import Threads
from seatmesh.people.public import SOLDIERS
from seatmesh.people.question import PeopleQuestion
from seatmesh.people.sizes.answer import sizes_for, sizes_report, write_sizes
from seatmesh.people.sizes.candidates import Candidate, sitters_for, stretches
from seatmesh.people.sizes.choose import Fare, best_rule, best_set
from seatmesh.people.sizes.words import sizes_text, verdict
from seatmesh.surface import Seat


@pytest.fixture
def fare():
    generator = np.random.default_rng(4)
    return Fare(generator.uniform(0.5, 1.5, 60), generator.random((60, 6)), 1.0 + generator.random((60, 6)))


@pytest.mark.parametrize("k", [1, 2, 3, 4])
def test_the_best_set_is_the_best_of_all(fare, k):
    worth = {one: fare.weights @ fare.served[:, one].max(axis=1) for one in combinations(range(6), k)}
    assert best_set(fare, k) == max(worth, key=worth.get)


def test_a_wish_for_the_worst_changes_the_choice():
    """One seat serves more people; on the other nobody is badly off."""
    served = np.array([[1.0, 0.8]] * 9 + [[0.0, 0.8]])
    times = np.array([[1.0, 1.2]] * 9 + [[3.0, 1.2]])
    fare = Fare(np.ones(10), served, times)
    assert fare.worst_times(times[:, 0]) == pytest.approx(3.0)
    assert best_set(fare, 1) == (0,)
    assert best_set(fare, 1, wish_for_worst=0.2) == (1,)


def test_the_rule_is_the_best_by_cuts_tried_one_by_one(fare):
    values = np.random.default_rng(5).normal(1700.0, 70.0, 60)
    rule = best_rule(fare, (1, 3, 4), {"stature_mm": values})
    taken = rule.taken(values)
    found = fare.weights @ fare.served[np.arange(60), taken]
    bounds = np.unique(np.quantile(values, np.arange(1, 20) / 20).round())
    best = 0.0
    for cuts in combinations(bounds, 2):
        place = np.searchsorted(cuts, values, side="right")
        for order in product((1, 3, 4), repeat=3):
            if len(set(order)) == 3:
                best = max(best, fare.weights @ fare.served[np.arange(60), np.array(order)[place]])
    assert found == pytest.approx(best)
    assert set(taken) == {1, 3, 4}


def test_stretches_cover_the_public():
    for k in (1, 2, 3, 4):
        parts = [
            one
            for one in stretches(4)
            if one.measure == "stature_mm" and round(1 / (one.high - one.low)) == k
        ]
        assert [one.low for one in parts] == pytest.approx([i / k for i in range(k)])
    assert [one.words for one in stretches(2)] == [
        "all", "shortest half", "tallest half", "lightest half", "heaviest half",
    ]  # fmt: skip


def test_four_people_stand_for_a_stretch():
    people = draw_part(SOLDIERS, 3, 0)
    chosen = sitters_for(people, np.arange(100))
    assert len(chosen) == 4
    stature, mass = (people.column(name)[chosen] for name in ("stature_mm", "mass_kg"))
    assert stature[:2].max() < stature[2:].min()
    assert mass[0] < mass[1]
    assert mass[2] < mass[3]


def order():
    return order_from_table(demo_orders()["quartet"][1], "order", "quartet")


def test_sizes_for_people_who_only_differ_in_legs(formula, monkeypatch):
    """By the formula of the tests feet hang on leg length alone: seats of two heights serve where one does not."""
    from made_people import by_formula

    from seatmesh.chair import Chair

    def by_height(people, seat):
        pressed = by_formula(people, seat)
        height = seat.chair.front_height_mm
        legs = people.column("popliteal_height_mm")
        pressed.figures[:, 6] = np.where(np.abs(legs + 25.0 - height) < 30.0, 0.12, 0.0)
        return pressed

    monkeypatch.setattr("seatmesh.people.table.press_people", by_height)
    heights = (400.0, 415.0, 432.0, 455.0, 470.0)
    monkeypatch.setattr(
        "seatmesh.people.sizes.answer.candidates",
        lambda *_: [Candidate(f"{h:g}", Seat(chair=Chair(front_height_mm=h))) for h in heights],
    )
    asked = Asked(None, None, None, None, 0.06, None, None, None)
    sizes = sizes_for(PeopleQuestion(Seat(), SOLDIERS, asked, 800), order(), 3)
    report = sizes_report(sizes)
    one, two, three = report["sets"]
    assert two["gain"] > 4.0 * two["gain_standard_error"]
    assert one["by_rule"]["share"] < two["by_rule"]["share"]
    for found in report["sets"]:
        assert found["by_rule"]["share"] <= found["best"]["share"] + 1e-12
        bounds = found["rule"]["bounds"]
        assert bounds == sorted(bounds)
        high = [seat["front_height_mm"] for seat in found["seats"]]
        assert high == sorted(high)
    assert report["chosen_on"] == report["judged_on"] == 400
    assert "A second size gains +" in verdict(report)
    assert "more than chance in drawing explains" in verdict(report)
    assert "below" in sizes_text(report)
    assert len(three["seats"]) == 3


def test_nothing_is_gained_where_everybody_is_served(formula, monkeypatch):
    monkeypatch.setattr(
        "seatmesh.people.sizes.answer.candidates", lambda *_: [Candidate("a", Seat()), Candidate("b", Seat())]
    )
    asked = Asked(None, None, None, None, None, None, 1.0, None)
    report = sizes_report(sizes_for(PeopleQuestion(Seat(), SOLDIERS, asked, 100), order(), 2))
    assert report["sets"][1]["gain"] == 0.0
    assert "within chance" in verdict(report)
    assert "make one size" in verdict(report)


def set_of(k, gain=None, error=None):
    seat = {"shaped_for": "all", "front_height_mm": 431.8, "width_mm": 482.6, "depth_mm": 431.8}
    share = {"share": 0.5, "standard_error": 0.01}
    return {
        "sizes": k,
        "seats": [seat] * k,
        "rule": {
            "measure": "mass_kg" if k == 3 else "stature_mm" if k > 1 else None,
            "bounds": [65.0, 81.6][: k - 1],
        },
        "by_rule": share,
        "best": share,
        "gain": gain,
        "gain_standard_error": error,
        "worst_tenth_peak_over_own_best": 2.0,
    }


def test_a_gain_within_chance_is_said_to_be_that():
    sets = [set_of(1), set_of(2, 0.05, 0.01), set_of(3, 0.012, 0.007)]
    words = verdict({"sets": sets, "asked_seat": {"share": 0.4}})
    assert "Your own seat" not in words
    assert "Your own seat serves as many" in verdict({"sets": sets, "asked_seat": {"share": 0.5}})
    assert "A second size gains +5.0 ± 1.0 points over 1: more than chance in drawing explains." in words
    assert "A third size gains +1.2 ± 0.7 points over 2: that is within chance" in words


def test_sizes_speak_inches_and_pounds_where_the_seat_does():
    asked = {"share": 0.4, "standard_error": 0.02, "worst_tenth_peak_over_own_best": None}
    report = {"chosen_on": 50, "judged_on": 50, "asked_seat": asked, "sets": [set_of(1), set_of(3, 0.1, 0.1)]}
    words = sizes_text(report, "in")
    assert '(19" wide, 17" deep, front edge 17" high)' in words
    assert "below 143 lb" in words
    assert " mm" not in words
    assert "482.6" not in words
    assert "482" not in words
    assert "483 mm wide" in sizes_text(report)


def test_sizes_go_through_the_engine_and_on_from_what_is_kept(formula, monkeypatch, tmp_path):
    """Threads and a folder change nothing, and a second time nobody is seated again."""
    seats = [Candidate(name, Seat(title=name)) for name in ("a", "b")]
    monkeypatch.setattr("seatmesh.people.sizes.answer.candidates", lambda *_: seats)
    question = PeopleQuestion(Seat(), SOLDIERS, Asked(None, 25.0), 450)
    plain = sizes_report(sizes_for(question, order(), 2))
    kept = sizes_report(sizes_for(question, order(), 2, workers=Threads(3), keep=tmp_path / "k"))
    assert kept == plain
    assert len(list((tmp_path / "k").glob("size-*/part-*.npy"))) == 3 * 5
    names = write_sizes(sizes_for(question, order(), 2, keep=tmp_path / "k"), tmp_path / "seats")
    assert set(names) <= {"a.json", "b.json"}
    assert read_seat(tmp_path / "seats" / names[0]).title == names[0][0]
    monkeypatch.setattr("seatmesh.people.engine.part_work.table_of", None)
    assert sizes_report(sizes_for(question, order(), 2, keep=tmp_path / "k")) == plain


@pytest.mark.parametrize(
    ("most", "count", "worst"), [(0, 100, 0.0), (5, 100, 0.0), (2, 10, 0.0), (2, 100, 2.0)]
)
def test_sizes_that_are_refused(most, count, worst):
    with pytest.raises(ValueRefusedError):
        sizes_for(PeopleQuestion(Seat(), count=count), order(), most, wish_for_worst=worst)
