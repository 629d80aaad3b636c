"""Kept seats: identity, whole or not at all, the least used make room, a new start finds what was finished."""

import contextlib
import errno
import hashlib
import json
import shutil
import sqlite3
from concurrent.futures import ThreadPoolExecutor

import pytest
from seatmesh_service.keeping.contents import content_path, content_ready, contents, put_content
from seatmesh_service.keeping.identity import canonical_bytes, is_id, seat_id
from seatmesh_service.keeping.room import NoRoomError
from seatmesh_service.keeping.seat_folders import ANSWER, ORDER, SEAT, new_seat, seat_folder
from seatmesh_service.keeping.signed_names import GZ, new_name
from seatmesh_service.keeping.store import Store
from seatmesh_service.limits import ServiceLimits, limits_from, settings_of

from seatmesh.errors import FileRefusedError, InputError

IDS = [f"{number:032x}" for number in range(4)]


def parts(seat, size=1000, title="A b"):
    """Return the files of a seat: so many bytes in all."""
    order = json.dumps({"title": title}).encode()
    answer = f'{{"id":"{seat}"'.encode()
    answer += b" " * (size - len(order) - 2 - len(answer) - 1) + b"}"
    return {ORDER: order, SEAT: b"{}", ANSWER + GZ: b"", ANSWER: answer}


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
    with contextlib.suppress(KeyboardInterrupt), new_seat(tmp_path, IDS[0]) as place:
        (place / ORDER).write_text("{}")
        raise KeyboardInterrupt
    assert not seat_folder(tmp_path, IDS[0]).exists()
    store.put_seat(IDS[0], parts(IDS[0]))
    store.put_file(IDS[0], "mesh.stl", b"mesh", None)
    assert store.read(IDS[0], "mesh.stl") == b"mesh"
    assert list((tmp_path / "making").iterdir()) == []
    assert store.folder_name(IDS[0]) == "a-b"


def test_a_new_start_finds_what_was_finished_and_clears_what_was_not(tmp_path):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.put_file(IDS[0], "mesh.stl", b"mesh", None)
    staged = tmp_path / "making" / new_name(IDS[1])
    staged.mkdir()
    (staged / ORDER).write_text("an answer is missing")
    (tmp_path / "making" / new_name("file")).write_text("half")
    put_content(tmp_path, b"in place, but killed before it was entered")
    again = Store(tmp_path, 10**9)
    assert again.has(IDS[0])
    assert again.read(IDS[0], "mesh.stl") == b"mesh"
    assert not again.has(IDS[1])
    assert list((tmp_path / "making").iterdir()) == []
    assert list(contents(tmp_path)) == [hashlib.sha256(b"mesh").hexdigest()]
    assert not seat_folder(tmp_path, IDS[1]).exists()


def test_a_start_beside_another_service_clears_nothing_away(tmp_path):
    Store(tmp_path, 10**9)
    half = tmp_path / "making" / new_name("file")
    half.write_text("half")
    loose = put_content(tmp_path, b"in place, not yet entered")
    Store(tmp_path, 10**9, alone=False)
    assert half.exists()
    assert list(contents(tmp_path)) == [loose]


def test_two_services_see_each_others_seats_and_files(tmp_path):
    one, other = Store(tmp_path, 10**9), Store(tmp_path, 10**9, alone=False)
    one.put_seat(IDS[0], parts(IDS[0]))
    other.put_file(IDS[0], "a.obj", b"x" * 10, b"z")
    assert (one.read(IDS[0], "a.obj"), one.read(IDS[0], "a.obj", packed=True)) == (b"x" * 10, b"z")
    assert one.total == other.total
    other.drop(IDS[0])
    assert not one.has(IDS[0])
    assert list(contents(tmp_path)) == []
    with pytest.raises(KeyError):
        one.put_file(IDS[0], "a.obj", b"x", None)
    # Nothing lies there that nobody would ever take away.
    assert list(contents(tmp_path)) == []


def test_the_least_used_seat_makes_room_for_another(tmp_path):
    store = Store(tmp_path, 10**9, 3500)
    for seat in IDS[:3]:
        store.put_seat(seat, parts(seat))
    assert store.has(IDS[0])  # used again: now the second is the least used
    store.put_seat(IDS[3], parts(IDS[3]))
    assert [store.has(seat) for seat in IDS] == [True, False, True, True]
    assert not seat_folder(tmp_path, IDS[1]).exists()
    assert store.total <= 3500
    with pytest.raises(KeyError):
        store.read(IDS[1])


def test_files_make_room_for_files_and_never_a_seat(tmp_path):
    store = Store(tmp_path, 2000, 3500)
    for seat in IDS[:2]:
        store.put_seat(seat, parts(seat))
    for name in ("a.stl", "b.stl", "c.stl"):
        store.put_file(IDS[0], name, name.encode() * 180, None)
    assert [store.has(IDS[0], name) for name in ("", "a.stl", "b.stl", "c.stl")] == [True, False, True, True]
    assert store.has(IDS[1])
    assert len(list(contents(tmp_path))) == 2


def test_a_pinned_seat_makes_room_for_none_and_a_store_full_of_them_says_so(tmp_path):
    store = Store(tmp_path, 10**9, 2500)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.pin(IDS[0], True)
    for seat in IDS[1:3]:
        store.put_seat(seat, parts(seat))
    assert [store.has(seat) for seat in IDS[:3]] == [True, False, True]
    store.pin(IDS[2], True)
    with pytest.raises(NoRoomError, match="pinned seats fill"):
        store.put_seat(IDS[3], parts(IDS[3]))
    assert [store.has(seat) for seat in IDS] == [True, False, True, False]
    store.pin(IDS[0], False)
    store.put_seat(IDS[3], parts(IDS[3]))
    assert [store.has(seat) for seat in IDS] == [False, False, True, True]


def test_what_is_larger_than_the_store_is_refused_and_pushes_nothing_out(tmp_path):
    store = Store(tmp_path, 2000, 3000)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.put_file(IDS[0], "a.stl", b"x" * 900, None)
    with pytest.raises(NoRoomError, match="larger store_mb"):
        store.put_file(IDS[0], "b.stl", b"x" * 2001, None)
    with pytest.raises(NoRoomError, match="larger seats_mb"):
        store.put_seat(IDS[1], parts(IDS[1], 3001))
    assert store.has(IDS[0], "a.stl")
    assert not seat_folder(tmp_path, IDS[1]).exists()


def test_a_full_disk_gives_up_what_can_be_made_again_and_then_says_so(tmp_path, monkeypatch):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    for number in range(20):
        store.put_file(IDS[0], f"{number}.stl", bytes([number]) * 100, None)
    left = [2]

    def full(path, data):
        if left[0]:
            left[0] -= 1
            raise OSError(errno.ENOSPC, "No space left on device")
        path.write_bytes(data)

    monkeypatch.setattr("seatmesh_service.keeping.contents.write_new", full)
    store.put_file(IDS[0], "new.stl", b"new", None)
    assert store.read(IDS[0], "new.stl") == b"new"
    kept = [store.has(IDS[0], f"{number}.stl") for number in range(20)]
    assert kept == [False] * 16 + [True] * 4  # twice eight, those used longest ago
    left[0] = 10**6
    with pytest.raises(NoRoomError, match="disk is full") as refused:
        store.put_file(IDS[0], "more.stl", b"more", None)
    assert str(tmp_path) not in str(refused.value)
    assert store.has(IDS[0])
    assert not list((tmp_path / "making").iterdir())


def test_nobody_waits_for_the_index_while_a_file_is_written(tmp_path, monkeypatch):
    store = Store(tmp_path, 10**9)
    other = Store(tmp_path, 10**9, alone=False)
    store.put_seat(IDS[0], parts(IDS[0]))
    waited = []

    def slow(path, data):
        # Another thread of this process, and another process.
        for one in (store, other):
            with ThreadPoolExecutor(1) as thread:
                try:
                    thread.submit(one.pin, IDS[0], True).result(2)
                    waited.append(False)
                except TimeoutError:
                    waited.append(True)
                    return path.write_bytes(data)
        return path.write_bytes(data)

    monkeypatch.setattr("seatmesh_service.keeping.index.PATIENCE_S", 1.0)
    monkeypatch.setattr("seatmesh_service.keeping.contents.write_new", slow)
    store.put_file(IDS[0], "a.obj", b"x" * 100, b"z")
    assert waited == [False] * 4
    assert store.read(IDS[0], "a.obj", packed=True) == b"z"
    # Taken away between the look and the entry.
    monkeypatch.setattr(
        "seatmesh_service.keeping.contents.write_new", lambda path, data: path.write_bytes(data)
    )
    with content_ready(tmp_path, b"z") as place:
        store.forget(IDS[0], "a.obj")
        assert content_path(tmp_path, place()).read_bytes() == b"z"


@pytest.mark.parametrize("number", [errno.EMFILE, errno.ENFILE])
def test_a_process_with_too_many_files_open_strikes_nothing_off(tmp_path, monkeypatch, number):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.put_file(IDS[0], "a.obj", b"x", None)

    def none_left(*_given, **_named):
        raise OSError(number, "Too many open files")

    with monkeypatch.context() as patched:
        patched.setattr("pathlib.Path.read_bytes", none_left)
        for what in (
            lambda: store.kept(IDS[0]),
            lambda: store.read(IDS[0]),
            lambda: store.read(IDS[0], "a.obj"),
        ):
            with pytest.raises(OSError, match="Too many"):
                what()
    assert store.has(IDS[0])
    assert store.read(IDS[0], "a.obj") == b"x"


def test_equal_files_are_there_once_and_stay_as_long_as_one_has_them(tmp_path):
    store = Store(tmp_path, 10**9)
    for seat in IDS[:2]:
        store.put_seat(seat, parts(seat))
        store.put_file(seat, "a.obj", b"x" * 100, b"z")
    assert len(list(contents(tmp_path))) == 2
    store.forget(IDS[0], "a.obj")
    assert store.read(IDS[1], "a.obj") == b"x" * 100
    store.drop(IDS[1])
    assert list(contents(tmp_path)) == []


def test_the_room_for_what_is_being_written_heals(tmp_path):
    store = Store(tmp_path, 10**9)
    (tmp_path / "making").rmdir()
    store.put_seat(IDS[0], parts(IDS[0]))
    shutil.rmtree(tmp_path / "making")
    shutil.rmtree(tmp_path / "made")
    store.put_file(IDS[0], "a.obj", b"x", None)
    assert store.read(IDS[0], "a.obj") == b"x"


def test_a_missing_file_does_not_take_its_seat_along(tmp_path):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.put_file(IDS[0], "a.obj", b"x", None)
    store.located(IDS[0], "a.obj").unlink()
    with pytest.raises(KeyError):
        store.read(IDS[0], "a.obj")
    assert store.has(IDS[0])
    assert not store.has(IDS[0], "a.obj")


@pytest.mark.parametrize("damage", ["gone", "cut short", "nonsense", "zeros in the middle"])
def test_an_index_that_is_lost_or_damaged_is_made_anew_from_the_seats(tmp_path, damage):
    store = Store(tmp_path, 10**9)
    for seat in IDS[:3]:
        store.put_seat(seat, parts(seat))
    store.put_file(IDS[0], "a.obj", b"x" * 100, None)
    store.close()
    path = tmp_path / "index.sqlite"
    data = path.read_bytes()
    match damage:
        case "gone":
            path.unlink()
        case "cut short":
            path.write_bytes(data[: len(data) // 2])
        case "nonsense":
            path.write_bytes(b"no database" * 1000)
        case _:
            path.write_bytes(data[:4096] + bytes(8192) + data[12288:])
    again = Store(tmp_path, 10**9)
    assert [again.has(seat) for seat in IDS] == [True, True, True, False]
    assert not again.has(IDS[0], "a.obj")
    assert list(contents(tmp_path)) == []
    assert again.folder_name(IDS[0]) == "a-b"
    assert bool(again.notes) == (damage != "gone")


class _Refusing:
    """A connection of SQLite whose log cannot be written."""

    def __init__(self, base, code):
        self._base, self._code = base, code

    def execute(self, text, *given):
        if "journal_mode" in text:
            error = sqlite3.OperationalError("it cannot be done now")
            error.sqlite_errorcode = self._code
            raise error
        return self._base.execute(text, *given)

    def close(self):
        self._base.close()


# SQLite's result codes (sqlite.org/rescode.html): busy, an error of the disk while the log's index is made, full,
# cannot be opened, read-only.
@pytest.mark.parametrize("code", [5, 4874, 13, 14, 8])
def test_an_index_that_cannot_be_reached_now_is_never_taken_away(tmp_path, monkeypatch, code):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.pin(IDS[0], True)
    store.close()
    with monkeypatch.context() as patched:
        connect = sqlite3.connect
        patched.setattr(sqlite3, "connect", lambda *given, **named: _Refusing(connect(*given, **named), code))
        with pytest.raises(FileRefusedError, match="cannot be reached"):
            Store(tmp_path, 10**9)
    again = Store(tmp_path, 10**9)
    assert again.seat_row(IDS[0]).pinned
    assert not again.notes


def test_a_damaged_index_that_others_use_stays_where_it_is(tmp_path):
    Store(tmp_path, 10**9).close()
    path = tmp_path / "index.sqlite"
    path.write_bytes(b"no database" * 1000)
    with pytest.raises(FileRefusedError, match="another service has it"):
        Store(tmp_path, 10**9, alone=False)
    assert path.read_bytes() == b"no database" * 1000


def test_use_is_remembered_over_a_new_start(tmp_path):
    store = Store(tmp_path, 10**9)
    for seat in IDS[:2]:
        store.put_seat(seat, parts(seat))
    store._told_used.clear()
    store.has(IDS[0])
    store.close()
    smaller = Store(tmp_path, 10**9, 1500)
    assert (smaller.has(IDS[0]), smaller.has(IDS[1])) == (True, False)


def test_what_was_taken_away_from_outside_is_not_there(tmp_path):
    store = Store(tmp_path, 10**9)
    store.put_seat(IDS[0], parts(IDS[0]))
    store.located(IDS[0]).unlink()
    with pytest.raises(KeyError):
        store.read(IDS[0])
    assert not store.has(IDS[0])


def test_seats_are_listed_page_by_page(tmp_path):
    store = Store(tmp_path, 10**9)
    for seat in IDS:
        store.put_seat(seat, parts(seat))
    first = store.seats(3)
    rest = store.seats(3, (first[-1].made, first[-1].seat))
    assert [one.seat for one in (*first, *rest)] == IDS[::-1]
    assert {one.title for one in first} == {"A b"}
    assert all(one.size == 1000 and not one.pinned for one in first)


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
