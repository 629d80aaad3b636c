"""The folder of a service: a stranger's is refused untouched, and what the service did not make is not taken away."""

import contextlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from seatmesh_service.keeping import own_folder as folder_module
from seatmesh_service.keeping.identity import seat_id
from seatmesh_service.keeping.own_folder import MARK, TEXT, claim
from seatmesh_service.keeping.seat_folders import (
    ANSWER,
    FILES,
    ORDER,
    SEAT,
    InTheWayError,
    new_seat,
    seat_folder,
)
from seatmesh_service.keeping.signed_names import GZ, file_name, name_of, new_name
from seatmesh_service.keeping.store import Store

from seatmesh.cli.entry import main
from seatmesh.errors import FileRefusedError

IDS = [f"{number:032x}" for number in range(4)]
OLD_FILES = (
    "mesh-1.0-0.1.stl", "mesh-0.25-0.5.obj", "mesh-0.25-0.5.obj.gz", "solid.step", "depths-20.0.csv", "order.toml",
    "report.json", "plan-mm.png", "sections-own.png", "depth-grid-5.0.json", "gauge-40.0-60.0--3.5.csv",
    f"map-{'3f' * 16}.json", f"sheets-{'a0' * 16}.pdf", f"job-{'09' * 16}.pdf", "heights-2.0.txt",
)  # fmt: skip
"""Names as the routes of the release before the mark gave them."""


def everything(folder):
    """Return every entry below a folder with what it is: the bytes of a file, where a link leads, or None."""
    return {
        str(path.relative_to(folder)): str(path.readlink())
        if path.is_symlink()
        else path.read_bytes()
        if path.is_file()
        else None
        for path in sorted(Path(folder).rglob("*"))
    }


def keep(folder, seat, name, data):
    with contextlib.closing(Store(folder, 10**9, alone=False)) as store:
        store.put_file(seat, name, data, None)


def parts(seat, size=1000):
    answer = f'{{"id":"{seat}","x":"'.encode()
    whole = answer + b"x" * (size - len(answer) - 2) + b'"}'
    return {ORDER: b"{}", SEAT: b"{}", ANSWER + GZ: b"", ANSWER: whole}


def put(folder, seat):
    with new_seat(folder, seat) as place:
        for name, data in parts(seat).items():
            (place / name).write_bytes(data)


def release(one):
    os.close(one.handle)
    return one


@pytest.fixture
def own(tmp_path):
    """Return a folder that is the service's own, with one seat and one of its files."""
    folder = tmp_path / "kept"
    release(claim(folder))
    put(folder, IDS[0])
    Store(folder, 10**9).close()
    keep(folder, IDS[0], "mesh.stl", b"mesh")
    return folder


STRANGERS = [
    {"plans/chair.dxf": "lines"},
    {"seats/plans/chair.dxf": "lines"},
    {"making/half/notes.txt": "notes"},
    {f"seats/{IDS[0]}/answer.json": "{}"},
    {"in-use": "", "seats/plans/chair.dxf": "lines"},
    {"in-use": "", "making/plans/chair.dxf": "lines"},
    {"in-use": "", f"seats/{IDS[0]}/answer.json": '{"id":"another"}'},
    {"in-use": "", f"seats/{IDS[0]}/notes.txt": "notes"},
    {"in-use": "mine", "seats/x": "x"},
    {MARK: "words of mine", "seats/x": "x"},
    {".hidden": ""},
]


@pytest.mark.parametrize("files", STRANGERS)
def test_a_strangers_folder_is_refused_and_not_touched(tmp_path, files, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name, text in files.items():
        (tmp_path / "X" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "X" / name).write_text(text)
    before = everything(tmp_path / "X")
    assert main(["serve", "--folder", "X", "--port", "29871"]) == 2
    said = capsys.readouterr().err
    assert "Nothing in it was touched" in said
    assert "--folder" in said
    assert everything(tmp_path / "X") == before


def test_a_folder_with_a_link_alone_is_a_strangers(tmp_path):
    (tmp_path / "X").mkdir()
    (tmp_path / "X" / "seats").symlink_to(tmp_path)
    with pytest.raises(FileRefusedError, match="holds what the service did not make: 'seats'"):
        claim(tmp_path / "X")


@pytest.mark.parametrize("length", [0, 1, len(TEXT) // 3, len(TEXT) - 1, len(TEXT)])
def test_a_start_killed_while_it_marks_locks_nobody_out(tmp_path, length):
    (tmp_path / "X").mkdir()
    (tmp_path / "X" / MARK).write_text(TEXT[:length])
    release(claim(tmp_path / "X"))
    text = (tmp_path / "X" / MARK).read_text()
    assert TEXT.startswith(text)
    assert text.splitlines()[0] == TEXT.splitlines()[0]
    release(claim(tmp_path / "X"))


def test_a_mark_of_a_later_layout_stays_as_it_is(tmp_path):
    (tmp_path / "X").mkdir()
    later = TEXT.replace("layout 3", "layout 7\nmore words")
    (tmp_path / "X" / MARK).write_text(later)
    release(claim(tmp_path / "X"))
    assert (tmp_path / "X" / MARK).read_text() == later


KILLED = """
import os, signal, sys
from pathlib import Path
from seatmesh_service.keeping import own_folder as folder
real, left = getattr(os, sys.argv[2]), int(sys.argv[3])
def killing(*given, **named):
    global left
    if left == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    left -= 1
    return real(*given, **named)
setattr(os, sys.argv[2], killing)
folder.claim(Path(sys.argv[1]))
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.parametrize("call", ["open", "write", "fsync", "mkdir"])
@pytest.mark.parametrize("after", [0, 1, 2])
def test_a_kill_at_any_call_of_a_start_locks_nobody_out(tmp_path, call, after):
    folder = tmp_path / "X"
    ended = subprocess.run([sys.executable, "-c", KILLED, str(folder), call, str(after)], check=False)
    assert ended.returncode == -9
    assert release(claim(folder)).notes == ()
    assert (folder / MARK).read_text() == TEXT


def former_folder(folder, seats=IDS[:2]):
    """Make a folder as the release before the mark made it."""
    for room in ("seats", "making"):
        (folder / room).mkdir(parents=True)
    (folder / "in-use").touch(mode=0o600)
    for seat in seats:
        (folder / "seats" / seat / FILES).mkdir(parents=True)
        for name, text in (
            (ORDER, "{}"),
            (SEAT, "{}"),
            (ANSWER, f'{{"id":"{seat}","title":"t"}}'),
            (ANSWER + GZ, "z"),
        ):
            (folder / "seats" / seat / name).write_text(text)
        for name in OLD_FILES:
            (folder / "seats" / seat / FILES / name).write_text(f"{name} of {seat}")


def test_the_folder_of_an_earlier_release_is_taken_over_and_said(tmp_path):
    former_folder(tmp_path / "X")
    (tmp_path / "X" / "making" / f"{IDS[3]}-0123456789ab").mkdir()
    (tmp_path / "X" / "making" / "tmpab12cd34").mkdir()
    notes = release(claim(tmp_path / "X")).notes
    assert "its 2 kept seats are taken over" in notes[0]
    assert "leaves alone what it did not make: 'making/" in notes[1]
    store = Store(tmp_path / "X", 10**9)
    for seat in IDS[:2]:
        assert store.has(seat)
        # What can be made again is made again when it is asked for.
        assert not (seat_folder(tmp_path / "X", seat) / FILES).exists()
    assert release(claim(tmp_path / "X")).notes == notes[1:]
    store.drop(IDS[0], "")
    assert not seat_folder(tmp_path / "X", IDS[0]).exists()
    assert sorted(one.name for one in (tmp_path / "X" / "making").iterdir()) == [
        f"{IDS[3]}-0123456789ab",
        "tmpab12cd34",
    ]


def test_a_folder_whose_mark_was_deleted_is_taken_over_like_an_earlier_one(own):
    (own / MARK).unlink()
    (own / "making" / new_name(IDS[2])).mkdir()
    assert "its 1 kept seat is taken over" in release(claim(own)).notes[0]
    assert Store(own, 10**9).read(IDS[0], "mesh.stl") == b"mesh"


def test_a_takeover_that_was_cut_short_goes_on(tmp_path):
    former_folder(tmp_path / "X")
    files = tmp_path / "X" / "seats" / IDS[0] / FILES
    (files / "solid.step").rename(files / file_name(IDS[0], "solid.step"))
    release(claim(tmp_path / "X"))
    assert Store(tmp_path / "X", 10**9).has(IDS[0])
    assert not files.exists()


@pytest.mark.parametrize("rooms", [[], ["making"]])
def test_an_earlier_release_that_was_killed_at_its_first_start_locks_nobody_out(tmp_path, rooms):
    (tmp_path / "in-use").touch()
    for room in rooms:
        (tmp_path / room).mkdir()
    assert "0 kept seats are taken over" in release(claim(tmp_path)).notes[0]


def stranger_everywhere(folder):
    """Lay a file, a folder and a link of a stranger's into every folder of a service."""
    outside = folder.parent / "outside"
    outside.mkdir()
    (outside / "plan.txt").write_text("a plan")
    for place in [folder, *(path for path in folder.rglob("*") if path.is_dir())]:
        (place / "mine.stl").write_text("mine")
        (place / "plans").mkdir()
        (place / "plans" / "chair.dxf").write_text("lines")
        (place / "linked").symlink_to(outside)
        (place / "mesh-1.0-0.1-0123abcd.stl").write_text("a name much like the service's")
    (folder / "seats" / ("f" * 32)).symlink_to(outside)
    (folder / "making" / new_name(IDS[3])).symlink_to(outside)
    (folder / "making" / new_name("file")).symlink_to(outside / "plan.txt")
    return outside


def of_the_stranger(found):
    return {
        name: what
        for name, what in found.items()
        if any(part in name for part in ("mine.stl", "plans", "linked", "0123abcd", "f" * 32))
        or (isinstance(what, str) and "outside" in what)
    }


def test_nothing_of_a_strangers_is_taken_away_whatever_happens(own, monkeypatch):
    staged = own / "making" / new_name(IDS[2])  # as a killed worker leaves it
    staged.mkdir()
    (staged / ORDER).write_text("{}")
    (staged / ".seat-0123456789ab.json").write_text("{")
    outside = stranger_everywhere(own)
    before = of_the_stranger(everything(own))
    assert len(before) > 30
    notes = release(claim(own)).notes
    assert (
        "leaves alone what it did not make: 'linked', 'mesh-1.0-0.1-0123abcd.stl', 'mine.stl' and" in notes[0]
    )
    store = Store(own, 10**9)
    assert not (staged / ORDER).exists()
    assert store.has(IDS[0], "mesh.stl")
    assert not store.has("f" * 32)
    for name in ("mine.stl", "mesh-1.0-0.1-0123abcd.stl"):
        assert not store.has(IDS[0], name)
    store.drop(IDS[0], "mesh.stl")
    store.drop(IDS[0], "")
    assert not (seat_folder(own, IDS[0]) / ANSWER).exists()
    store.put_seat(IDS[0], parts(IDS[0]))  # the seat comes back among the stranger's things
    keep(own, IDS[0], "mesh.stl", b"again")
    monkeypatch.setattr("seatmesh.__version__", "99")
    again = Store(own, 1500, 1500)
    again.put_seat(IDS[1], parts(IDS[1]))  # the first makes room
    assert [again.has(seat) for seat in IDS[:2]] == [False, True]
    assert of_the_stranger(everything(own)) == before
    assert everything(outside) == {"plan.txt": b"a plan"}
    assert [
        one.name for one in (own / "seats" / IDS[0]).rglob("*") if one.name in (ORDER, SEAT, "mesh.stl")
    ] == []


def test_a_damaged_seat_is_neither_given_out_nor_taken_away_and_made_again_in_place(own):
    place = seat_folder(own, IDS[0])
    (place / ANSWER).write_text("{cut sho")
    (place / "notes.txt").write_text("mine")
    store = Store(own, 10**9)
    assert not store.has(IDS[0])
    assert (place / ANSWER).read_text() == "{cut sho"
    store.put_seat(IDS[0], parts(IDS[0]))
    assert json.loads(store.read(IDS[0]))["id"] == IDS[0]
    assert (place / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("kind", ["file", "link", "folder of links"])
def test_what_stands_in_a_seats_place_is_not_overwritten(own, kind):
    outside = own.parent / "outside"
    outside.mkdir()
    place = seat_folder(own, IDS[1])
    if kind == "file":
        place.write_text("mine")
    elif kind == "link":
        place.symlink_to(outside)
    else:
        place.mkdir()
        (place / ORDER).symlink_to(outside / "order")
    before = everything(own)
    with pytest.raises(InTheWayError, match="not make it"):
        put(own, IDS[1])
    assert everything(own) == before
    assert everything(outside) == {}


def test_a_file_that_became_a_link_is_neither_read_nor_written_through(own):
    secret = own.parent / "secret"
    secret.write_text("secret")
    store = Store(own, 10**9)
    path = store.located(IDS[0], "mesh.stl")
    path.unlink()
    path.symlink_to(secret)
    with pytest.raises(KeyError):
        store.read(IDS[0], "mesh.stl")
    assert path.is_symlink()
    store.put_file(IDS[0], "mesh.stl", b"mesh", None)  # in the link's place, not through it
    assert store.read(IDS[0], "mesh.stl") == b"mesh"
    assert secret.read_text() == "secret"


def test_a_group_of_contents_that_became_a_link_is_not_written_through(own):
    outside = own.parent / "outside"
    outside.mkdir()
    store = Store(own, 10**9)
    path = store.located(IDS[0], "mesh.stl")
    path.unlink()
    path.parent.rmdir()
    path.parent.symlink_to(outside)
    with pytest.raises(KeyError):
        store.read(IDS[0], "mesh.stl")
    with pytest.raises(NotADirectoryError):
        store.put_file(IDS[0], "mesh.stl", b"mesh", None)
    assert everything(outside) == {}


@pytest.mark.parametrize("room", ["seats", "made", "making"])
@pytest.mark.parametrize("kind", ["a file", "a link"])
def test_a_room_that_is_none_is_refused_in_words(tmp_path, room, kind):
    release(claim(tmp_path / "X"))
    place = tmp_path / "X" / room
    place.rmdir()
    if kind == "a file":
        place.write_text("mine")
    else:
        (tmp_path / "elsewhere").mkdir()
        place.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileRefusedError, match=f"'{room}' in it is {kind}"):
        claim(tmp_path / "X")


def test_other_things_in_place_of_a_folder_are_refused_in_words(tmp_path):
    (tmp_path / "file").write_text("mine")
    (tmp_path / "nowhere").symlink_to(tmp_path / "gone")
    for given, words in (
        ("file", "a file stands there"),
        ("file/below", "a file stands where a folder is needed"),
        ("nowhere", "a link that leads nowhere"),
        ("a\0b", "null"),
        ("n" * 300, "name is too long"),
    ):
        with pytest.raises(FileRefusedError, match=words):
            claim(tmp_path / given)
    assert sorted(everything(tmp_path)) == ["file", "nowhere"]


@pytest.mark.skipif(os.name == "nt" or os.getuid() != 0, reason="takes root, who can become somebody else")
@pytest.mark.parametrize("kept", [True, False])
def test_a_folder_without_permission_is_refused_and_left_as_it_is(tmp_path, kept):
    folder = tmp_path / "X"
    if kept:
        release(claim(folder))
    else:
        folder.mkdir()
    before = everything(folder)
    for path in (tmp_path, *tmp_path.parents):
        if path.stat().st_uid == os.getuid() and str(path).startswith("/tmp/"):
            path.chmod(0o755)
    words = subprocess.run(
        [sys.executable, "-c", f"""
import os
from pathlib import Path
from seatmesh_service.keeping.own_folder import claim
os.setuid(65534)
try:
    claim(Path({str(folder)!r}))
except Exception as error:
    print(type(error).__name__, error)
"""],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert words.startswith("FileRefusedError")
    assert "no permission to write there" in words
    assert everything(folder) == before


def test_a_full_disk_leaves_no_half_folder(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder_module.os, "write", full)
    with pytest.raises(FileRefusedError, match="the disk is full"):
        claim(tmp_path / "a" / "X")
    assert everything(tmp_path) == {}


def test_a_folder_is_had_alone_until_it_is_shared(tmp_path, monkeypatch):
    first = claim(tmp_path / "X")
    before = everything(tmp_path / "X")
    monkeypatch.setattr(folder_module, "PATIENCE_S", 0.2)
    with pytest.raises(FileRefusedError, match="in use by another service"):
        claim(tmp_path / "X")
    assert everything(tmp_path / "X") == before
    first.share()
    second = claim(tmp_path / "X")
    assert (first.alone, second.alone) == (True, False)
    second.share()
    release(first)
    release(second)
    assert release(claim(tmp_path / "X")).alone


@pytest.mark.parametrize(
    "name", ["mesh-1.0-0.1.stl", "a.obj", "a.obj.gz", "solid", "gauge-40.0-60.0--3.5.csv", "x.y.z"]
)
def test_names_on_the_shelf_are_read_back(name):
    kept = file_name(IDS[0], name)
    assert name_of(IDS[0], kept) == name
    assert name_of(IDS[1], kept) is None
    assert name_of(IDS[0], name) is None
    assert Path(kept).suffix == Path(name).suffix


@pytest.mark.parametrize("damaged", [SEAT, ORDER])
def test_a_seat_whose_files_are_damaged_is_made_again_when_its_order_is_posted_again(client, folder, damaged):
    order = {"title": f"damaged {damaged}", "sitter": [{"body": "cello"}], "blank": {"depth_mm": 400}}
    posted = client.post("/seats", json=order)
    seat = posted.json()["id"]
    place = seat_folder(folder, seat)
    whole = (place / damaged).read_bytes()
    (place / damaged).write_bytes(whole[:20])
    (place / "notes.txt").write_text("mine")
    path = f"/seats/{seat}/mesh.stl?tolerance_mm=2" if damaged == SEAT else f"/seats/{seat}/order.toml"
    answer = client.get(path)
    assert (answer.status_code, "post its order to /seats again" in answer.json()["detail"]) == (404, True)
    assert client.post("/seats", json=order).content == posted.content
    assert (place / damaged).read_bytes() == whole
    assert client.get(path).status_code == 200
    assert (place / "notes.txt").read_text() == "mine"


def test_a_strangers_folder_in_a_seats_place_is_told_of(client, folder):
    order = {"title": "in the way", "sitter": [{"body": "cello"}], "blank": {"depth_mm": 400}}
    place = seat_folder(folder, seat_id(order))
    place.write_text("mine")
    answer = client.post("/seats", json=order)
    assert answer.status_code == 500
    assert "not make it; move it elsewhere" in answer.json()["detail"]
    assert place.read_text() == "mine"
    place.unlink()
    assert client.post("/seats", json=order).status_code == 201
