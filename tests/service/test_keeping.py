"""Kept seats: identity, whole or not at all, the least used make room, a new start finds what was finished."""

import json
import os

import pytest
from seatmesh_service.keeping.identity import canonical_bytes, is_id, seat_id
from seatmesh_service.keeping.kept_index import Store
from seatmesh_service.keeping.seat_folders import ANSWER, ORDER, SEAT, keep_file, new_seat, seat_folder
from seatmesh_service.keeping.signed_names import file_name, new_name
from seatmesh_service.limits import ServiceLimits, limits_from, settings_of

from seatmesh.errors import InputError

IDS = [f"{number:032x}" for number in range(4)]


def put(folder, seat, size=1000, title="A b", stopped=False):
    with new_seat(folder, seat) as place:
        answer = f'{{"id":"{seat}"'
        answer += " " * (size - len(answer) - 1) + "}"
        for name, data in ((ORDER, json.dumps({"title": title})), (SEAT, "{}"), (ANSWER, answer)):
            (place / name).write_text(data)
            if stopped:
                raise KeyboardInterrupt


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"a": 18, "b": [1, 2]}, {"b": [1.0, 2], "a": 18.0}),
        ({"a": 0}, {"a": -0.0}),
        ({"a": 1e15}, {"a": 1000000000000000}),
        ({"a": {"b": 1, "c": 2}}, {"a": {"c": 2, "b": 1}}),
    ],
)
def test_equal_orders_have_one_id(one, other):
    assert seat_id(one) == seat_id(other)
    assert canonical_bytes(one) == canonical_bytes(other)
    assert is_id(seat_id(one))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"a": 1}, {"a": True}),
        ({"a": 1}, {"a": "1"}),
        ({"a": [1, 2]}, {"a": [2, 1]}),
        ({"a": 18}, {"a": 18.000001}),
    ],
)
def test_other_orders_have_others(one, other):
    assert seat_id(one) != seat_id(other)


def test_another_version_has_other_ids(monkeypatch):
    before = seat_id({"a": 1})
    monkeypatch.setattr("seatmesh.__version__", "99")
    assert seat_id({"a": 1}) != before


@pytest.mark.parametrize("text", ["", "..", "A" * 32, "0" * 31, "0" * 33, "0" * 32 + "\n", "../" + "0" * 29])
def test_nothing_else_is_an_id(text):
    assert not is_id(text)


def test_a_seat_is_there_whole_or_not_at_all(tmp_path):
    store = Store(tmp_path, 10**9)
    with pytest.raises(KeyboardInterrupt):
        put(tmp_path, IDS[0], stopped=True)
    assert not seat_folder(tmp_path, IDS[0]).exists()
    put(tmp_path, IDS[0])
    store.add(IDS[0])
    keep_file(tmp_path, IDS[0], "mesh.stl", b"mesh")
    store.add(IDS[0], "mesh.stl")
    assert store.read(IDS[0], "mesh.stl") == b"mesh"
    assert list((tmp_path / "making").iterdir()) == []
    assert store.folder_name(IDS[0]) == "a-b"


def test_a_new_start_finds_what_was_finished_and_clears_what_was_not(tmp_path):
    Store(tmp_path, 10**9)
    put(tmp_path, IDS[0])
    keep_file(tmp_path, IDS[0], "mesh.stl", b"mesh")
    staged = tmp_path / "making" / new_name(IDS[1])
    staged.mkdir()
    (staged / ORDER).write_text("an answer is missing")
    (tmp_path / "making" / new_name("file")).write_text("half")
    again = Store(tmp_path, 10**9)
    assert again.has(IDS[0])
    assert again.read(IDS[0], "mesh.stl") == b"mesh"
    assert not again.has(IDS[1])
    assert list((tmp_path / "making").iterdir()) == []
    assert not seat_folder(tmp_path, IDS[1]).exists()


def test_the_least_used_make_room(tmp_path):
    store = Store(tmp_path, 3500)
    for seat in IDS[:3]:
        put(tmp_path, seat)
        store.add(seat)
    assert store.has(IDS[0])  # used again: now the second is the least used
    put(tmp_path, IDS[3])
    store.add(IDS[3])
    assert [store.has(seat) for seat in IDS] == [True, False, True, True]
    assert not seat_folder(tmp_path, IDS[1]).exists()
    assert store.total <= 3500
    with pytest.raises(KeyError):
        store.read(IDS[1])


def test_files_of_a_seat_make_room_before_the_seat(tmp_path):
    store = Store(tmp_path, 3000)
    put(tmp_path, IDS[0])
    store.add(IDS[0])
    for name in ("a.stl", "b.stl", "c.stl"):
        keep_file(tmp_path, IDS[0], name, b"x" * 900)
        store.add(IDS[0], name)
    assert [store.has(IDS[0], name) for name in ("", "a.stl", "b.stl", "c.stl")] == [True, False, True, True]
    assert not store.path(IDS[0], "a.stl").exists()


def test_a_packed_form_counts_and_goes_with_its_file(tmp_path):
    store = Store(tmp_path, 10**9)
    put(tmp_path, IDS[0])
    store.add(IDS[0])
    alone = store.total
    for name in ("a.obj.gz", "a.obj", "half.obj.gz"):
        keep_file(tmp_path, IDS[0], name, b"x" * 100)
    store.add(IDS[0], "a.obj")
    assert store.total == alone + 200
    again = Store(tmp_path, 10**9)
    assert again.total == alone + 200
    files = seat_folder(tmp_path, IDS[0]) / "files"
    kept = file_name(IDS[0], "a.obj")
    assert sorted(path.name for path in files.iterdir()) == [kept, f"{kept}.gz"]
    again.drop(IDS[0], "a.obj")
    assert (again.total, list(files.iterdir())) == (alone, [])


def test_a_missing_file_does_not_take_its_seat_along(tmp_path):
    store = Store(tmp_path, 10**9)
    put(tmp_path, IDS[0])
    store.add(IDS[0])
    keep_file(tmp_path, IDS[0], "a.obj", b"x")
    store.add(IDS[0], "a.obj")
    store.path(IDS[0], "a.obj").unlink()
    with pytest.raises(KeyError):
        store.read(IDS[0], "a.obj")
    assert store.has(IDS[0])
    assert not store.has(IDS[0], "a.obj")


def test_use_is_remembered_over_a_new_start(tmp_path):
    store = Store(tmp_path, 10**9)
    for number, seat in enumerate(IDS[:2]):
        put(tmp_path, seat)
        os.utime(store.path(seat, ""), (number, number))
        store.add(seat)
    store.has(IDS[0])
    store.remember_use()
    smaller = Store(tmp_path, 1500)
    assert (smaller.has(IDS[0]), smaller.has(IDS[1])) == (True, False)


def test_what_was_taken_away_from_outside_is_not_there(tmp_path):
    store = Store(tmp_path, 10**9)
    put(tmp_path, IDS[0])
    store.add(IDS[0])
    store.path(IDS[0], "").unlink()
    with pytest.raises(KeyError):
        store.read(IDS[0])
    assert not store.has(IDS[0])


def test_limits_are_set_by_environment_and_over_it_by_option():
    environment = {"SEATMESH_LIMIT_FACETS": "5000", "SEATMESH_LIMIT_WORK_S": "2.5", "HOME": "/"}
    settings = settings_of(["facets=6000"], environment)
    assert limits_from(settings) == ServiceLimits(facets=6000, work_s=2.5)


@pytest.mark.parametrize(
    "option", ["facets", "facet=3", "facets=no", "facets=0", "facets=1.5", "work_s=nan", "workers=1e99"]
)
def test_other_limits_are_refused(option):
    with pytest.raises(InputError):
        limits_from(settings_of([option], {}))
