"""Which folder a job's files go into: an order's own again and again, another's never untold."""

from __future__ import annotations

import dataclasses
import json
import shutil
from pathlib import Path

import pytest

from seatmesh.errors import FileRefusedError
from seatmesh.files.names import as_one_name
from seatmesh.jobs.place import Job, place_for
from seatmesh.jobs.record import RECORD, MadeFrom, read_record

from .small_jobs import order, snapshot, write

HINT = r"Give it another title, choose another folder with --out, or add --overwrite"


def seat_file(path: Path, seat: str, title: str = "chair") -> Job:
    return Job(MadeFrom("seat file", str(path), title, (), seat), seat)


def test_an_edited_order_goes_where_it_went(tmp_path):
    file, out = tmp_path / "chair.toml", tmp_path / "out"
    first = write(order(file, says="12 mm"), out)
    second = write(order(file, says="14 mm"), out)
    assert first.folder == second.folder == out / "chair"
    assert (out / "chair" / "seat.txt").read_text() == order(file, says="14 mm").seat
    assert second.notes == ()


def test_another_order_of_the_same_title_is_refused_by_both_names(tmp_path):
    out = tmp_path / "out"
    write(order(tmp_path / "anna.toml", says="12 mm"), out)
    before = snapshot(tmp_path)
    words = rf"chair' was made from the order file '.*anna\.toml' for Anna; .* file '.*eva\.toml' for Eva has .*{HINT}"
    eva = order(tmp_path / "eva.toml", says="14 mm", sitters=("Eva",))
    before["eva.toml"] = b"14 mm"
    with pytest.raises(FileRefusedError, match=words):
        place_for(out, eva)
    with pytest.raises(FileRefusedError, match=words):
        write(eva, out)
    assert snapshot(tmp_path) == before


def test_one_file_as_the_form_for_the_next_client_is_another_order(tmp_path):
    out, file = tmp_path / "out", tmp_path / "order.toml"
    write(order(file, says="12 mm"), out)
    with pytest.raises(FileRefusedError, match=r"for Anna; the order file .* for Eva has the same title"):
        write(order(file, says="14 mm", sitters=("Eva",)), out)
    assert write(order(file, says="14 mm", sitters=("Anna", "Eva")), out).folder == out / "chair"


def test_told_to_overwrite_nothing_of_the_other_order_stays(tmp_path):
    out = tmp_path / "out"
    write(order(tmp_path / "anna.toml", says="12 mm"), out, seat="anna", sheets_plan="anna")
    (out / "chair" / "notes.txt").write_text("mine")
    done = write(order(tmp_path / "eva.toml", says="14 mm"), out, overwrite=True, seat="eva")
    assert set(snapshot(done.folder)) == {RECORD, "seat.txt", "notes.txt"}
    assert (done.folder / "seat.txt").read_text() == "eva"
    assert not (done.folder / "sheets").exists()
    assert any("removed" in note and "sheets/plan.txt" in note for note in done.notes)
    assert read_record(done.folder).made_from.name == str(tmp_path / "eva.toml")


def test_titles_that_a_name_makes_one_get_a_folder_each(tmp_path):
    out = tmp_path / "out"
    titles = [
        "Anna's chair",
        "ANNA'S CHAIR",
        "Anna s chair",
        "???",
        "!!!",
        "straße",
        "strasse",
        "σοφος",
        "σοφοσ",
    ]
    folders = [
        write(order(tmp_path / f"{n}.toml", title, says=title), out).folder for n, title in enumerate(titles)
    ]
    again = [
        write(order(tmp_path / f"{n}.toml", title, says=title), out)
        for n, title in reversed([*enumerate(titles)])
    ]
    assert folders[0] == out / "anna-s-chair"
    assert len({as_one_name(folder.name) for folder in folders}) == len(titles)
    assert [one.folder for one in reversed(again)] == folders
    assert all((one.folder / "seat.txt").read_text() for one in again)


def test_an_order_under_another_title_leaves_what_it_made_before(tmp_path):
    """To give it another title is what refusals advise; so it has to keep the earlier results."""
    out, file = tmp_path / "out", tmp_path / "a.toml"
    first = write(order(file, "Anna", says="1"), out)
    for title in ("ANNA", "Anna!", "Anna 2"):
        done = write(order(file, title, says="2"), out)
        assert done.folder != first.folder
        assert (done.notes == ()) == (title == "Anna 2")
    assert (first.folder / "seat.txt").read_text() == order(file, "Anna", says="1").seat


def test_order_and_results_may_move_together_and_apart(tmp_path):
    home = tmp_path / "home"
    write(order(home / "chair.toml", says="12 mm"), home / "out")
    shutil.copytree(home, tmp_path / "away")
    shutil.rmtree(home)
    assert write(order(tmp_path / "away" / "chair.toml", says="14 mm"), tmp_path / "away" / "out").notes == ()
    (tmp_path / "away" / "out").rename(tmp_path / "stick")
    assert write(order(tmp_path / "away" / "chair.toml", says="16 mm"), tmp_path / "stick").notes == ()


def test_a_renamed_order_that_says_the_same_is_the_same(tmp_path):
    out = tmp_path / "out"
    write(order(tmp_path / "a.toml", says="12 mm"), out)
    assert write(order(tmp_path / "b.toml", says="12 mm"), out).folder == out / "chair"
    with pytest.raises(FileRefusedError, match=HINT):
        write(order(tmp_path / "c.toml", says="14 mm"), out)


def test_a_link_to_an_order_is_that_order(tmp_path):
    out, file = tmp_path / "out", tmp_path / "a.toml"
    write(order(file, says="12 mm"), out)
    (tmp_path / "link.toml").symlink_to(file)
    edited = order(file, says="14 mm")
    linked = dataclasses.replace(edited.made_from, name=str(tmp_path / "link.toml"))
    assert write(dataclasses.replace(edited, made_from=linked), out).folder == out / "chair"


def test_a_seat_file_s_seat_decides(tmp_path):
    out = tmp_path / "out"
    job = order(tmp_path / "a.toml", says="12 mm")
    write(job, out)
    assert (
        write(seat_file(tmp_path / "copy.json", job.seat), out, run="sheets", plan="").folder == out / "chair"
    )
    place_for(out, order(tmp_path / "a.toml", says="14 mm"))
    with pytest.raises(FileRefusedError, match=rf"the seat file '.*saved\.json' has the same title.*{HINT}"):
        write(seat_file(tmp_path / "saved.json", "another"), out, run="sheets", plan="")


def test_an_order_s_own_seat_comes_after_a_seat_file_s(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    write(seat_file(tmp_path / "copy.json", job.seat), out, run="sheets", plan="")
    place_for(out, dataclasses.replace(job, seat=""))
    assert write(job, out).folder == out / "chair"


def test_the_demo_spares_an_order_that_was_edited(tmp_path):
    out = tmp_path / "out"
    demo = Job(MadeFrom("demo", "viola", "viola", ("viola",), "says so"), "seat", "the demo's order")
    write(demo, out)
    copy = out / "viola" / "order.toml"
    assert copy.read_text() == "the demo's order"
    newer = dataclasses.replace(demo, order_copy="a later release's order")
    assert write(newer, out).folder == out / "viola"
    copy.write_text("my own order")
    with pytest.raises(FileRefusedError, match=r"order\.toml' was edited, and would be lost"):
        write(demo, out)
    mine = order(copy, "viola", says="my own order", sitters=("viola",))
    assert write(mine, out).folder == out / "viola"
    assert copy.read_text() == "my own order"
    with pytest.raises(FileRefusedError, match=r"was made from the order file .*the demo's order 'viola'"):
        write(demo, out)
    assert write(demo, out, overwrite=True).folder == out / "viola"
    assert copy.read_text() == "the demo's order"
    other = order(tmp_path / "viola.toml", "viola", says="another", sitters=("viola",))
    write(other, out, overwrite=True)
    assert not copy.exists(), "it would be taken for the order of what stands there now"


def earlier(folder: Path, title: str = "chair", sitter: str = "Anna") -> None:
    """Make a folder as earlier releases left it."""
    folder.mkdir(parents=True)
    (folder / "seat.json").write_text(json.dumps({"format": "seatmesh seat", "version": 1, "title": title}))
    (folder / "report.json").write_text(json.dumps({"title": title, "sitters": [{"name": sitter}]}))
    (folder / "seat.txt").write_text("my own")
    (folder / "sheets").mkdir()
    (folder / "sheets" / "sheets.pdf").write_text("earlier")


def test_a_folder_of_an_earlier_release_goes_on(tmp_path):
    out = tmp_path / "out"
    earlier(out / "chair")
    done = write(order(tmp_path / "a.toml", says="12 mm"), out, report="new")
    assert "was made by an earlier release" in done.notes[0]
    assert "sheets/sheets.pdf" in done.notes[1], "it may show another shape"
    assert (out / "chair" / "seat.txt").read_text() == "my own"
    assert write(order(tmp_path / "a.toml", says="14 mm"), out, report="new").folder == out / "chair"


def test_a_seat_of_an_earlier_release_tells_title_and_sitters(tmp_path):
    out = tmp_path / "out"
    earlier(out / "chair")
    write(seat_file(out / "chair" / "seat.json", "its seat"), out, run="sheets", sheets_plan="new")
    assert read_record(out / "chair").made_from.sitters == ("Anna",)
    for sitters in (("Eva",), ("Anna", "Eva")):
        with pytest.raises(FileRefusedError, match=HINT):
            place_for(
                out, dataclasses.replace(order(tmp_path / "b.toml", says="14 mm", sitters=sitters), seat="")
            )
    assert write(order(tmp_path / "a.toml", says="14 mm"), out, report="new").folder == out / "chair"


@pytest.mark.parametrize("change", [{"sitter": "Eva"}, {"title": "Chair"}])
def test_a_folder_of_an_earlier_release_and_another_order_stays(tmp_path, change):
    out = tmp_path / "out"
    earlier(out / "chair", **change)
    before = snapshot(out)
    job = order(tmp_path / "a.toml", says="12 mm")
    if "title" in change:
        assert write(job, out).folder != out / "chair"
    else:
        with pytest.raises(FileRefusedError, match=rf"earlier release, which kept no record.*{HINT}"):
            write(job, out)
    assert {name: data for name, data in snapshot(out).items() if name.startswith("chair/")} == {
        name: data for name, data in before.items() if name.startswith("chair/")
    }


def test_a_stranger_s_files_stay(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    (out / "chair").mkdir(parents=True)
    (out / "chair" / "photo.jpg").write_text("photo")
    assert write(job, out).folder == out / "chair", "a client's folder may hold other things"
    (out / "chair" / "plan.txt").write_text("drawn by hand")
    with pytest.raises(
        FileRefusedError, match=r"plan\.txt' is there already and no record says that seatmesh made it"
    ):
        write(job, out, plan="new")
    assert (out / "chair" / "plan.txt").read_text() == "drawn by hand"
    write(job, out, overwrite=True, plan="new")
    assert snapshot(out)["chair/photo.jpg"] == b"photo"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"format": "seatmesh job", "version": 2}',
        '{"format": "seatmesh job", "version": 1}',
        "[" * 9999,
    ],
)
def test_a_record_that_cannot_be_read_is_doubt(tmp_path, text):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    (out / "chair").mkdir(parents=True)
    (out / "chair" / RECORD).write_text(text)
    with pytest.raises(FileRefusedError, match=rf"made-from\.json that this release cannot read.*{HINT}"):
        write(job, out)
    assert (out / "chair" / RECORD).read_text() == text
    assert write(job, out, overwrite=True).folder == out / "chair"


@pytest.mark.parametrize("path", ["../mine.txt", "/etc/mine.txt", "a/../../mine.txt", "C:\\mine.txt", ""])
def test_a_record_names_no_file_outside_its_folder(tmp_path, path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    folder = write(job, out).folder
    table = json.loads((folder / RECORD).read_text())
    table["files"][0]["path"] = path
    (folder / RECORD).write_text(json.dumps(table))
    assert read_record(folder) is None


def test_what_stands_in_the_way_is_refused(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    out.mkdir()
    (out / "chair").write_text("a file")
    with pytest.raises(FileRefusedError, match="a file or a broken link stands where the folder is needed"):
        place_for(out, job)
    (out / "chair").unlink()
    (out / "chair").symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileRefusedError, match="a file or a broken link stands where the folder is needed"):
        place_for(out, job, overwrite=True)
    (out / "chair").unlink()
    (out / "chair" / "a.txt").mkdir(parents=True)
    (out / "chair" / "sheets").write_text("a file")
    (out / "chair" / "link.txt").symlink_to(tmp_path / "a.toml")
    for name, words in (
        ("a.txt", "no plain file"),
        ("sheets/plan.txt", "is a file where a folder is needed"),
        ("link.txt", "no plain file"),
    ):
        with pytest.raises(FileRefusedError, match=words):
            place_for(out, job, [name], overwrite=True)


def test_what_is_protected_is_refused(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    folder = write(job, out).folder
    (folder / "seat.txt").chmod(0o444)
    with pytest.raises(FileRefusedError, match=r"seat\.txt' is write-protected"):
        write(job, out, overwrite=True)
    (folder / "seat.txt").chmod(0o644)
    for protected in (folder, out):
        protected.chmod(0o555)
        with pytest.raises(FileRefusedError, match="is write-protected"):
            place_for(out, job, overwrite=True)
        protected.chmod(0o755)
    with pytest.raises(FileRefusedError, match=r"a\.toml' is not a folder; choose another with --out"):
        place_for(tmp_path / "a.toml", job)
    with pytest.raises(FileRefusedError, match=r"a\.toml' is not a folder; choose another with --out"):
        place_for(tmp_path / "a.toml" / "deeper", job)


def test_a_linked_folder_is_followed_and_stays_a_link(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    (tmp_path / "disk" / "chair").mkdir(parents=True)
    out.mkdir()
    (out / "chair").symlink_to(tmp_path / "disk" / "chair")
    write(job, out)
    assert (out / "chair").is_symlink()
    assert (tmp_path / "disk" / "chair" / "seat.txt").read_text() == job.seat
    assert write(order(tmp_path / "a.toml", says="14 mm"), out).folder == out / "chair"
