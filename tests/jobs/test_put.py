"""Files come into a job's folder all together or not at all, whoever else is at it."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from seatmesh.errors import FileRefusedError
from seatmesh.jobs.put import in_staging
from seatmesh.jobs.record import RECORD, read_record

from .small_jobs import order, snapshot, write

SMALL_JOBS = str(Path(__file__).with_name("small_jobs.py"))


def test_a_run_takes_the_place_of_what_the_same_run_left(tmp_path):
    out, job = tmp_path / "out", order(tmp_path / "a.toml", says="12 mm")
    write(job, out, run="parts", parts_1="a", parts_2="a", parts_3="a")
    write(job, out, run="sheets", sheets_plan="a")
    done = write(job, out, run="parts", parts_1="b")
    assert set(snapshot(done.folder)) == {RECORD, "parts/1.txt", "sheets/plan.txt"}
    assert len(done.notes) == 1
    assert "parts/2.txt, parts/3.txt" in done.notes[0]
    assert {one.path: one.run for one in read_record(done.folder).files} == {
        "parts/1.txt": "parts",
        "sheets/plan.txt": "sheets",
    }


def test_files_of_another_shape_are_named(tmp_path):
    out, file = tmp_path / "out", tmp_path / "a.toml"
    write(order(file, says="12 mm"), out, run="sheets", **{f"sheets_{n}": "" for n in range(9)})
    done = write(order(file, says="14 mm"), out)
    (note,) = done.notes
    assert "show the seat in another shape than the files just made" in note
    assert "9 in sheets/" in note
    assert (
        write(order(file, says="14 mm"), out, run="sheets", **{f"sheets_{n}": "" for n in range(9)}).notes
        == ()
    )


@pytest.mark.parametrize("fail_at", range(4))
@pytest.mark.parametrize("failure", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()])
def test_a_failure_at_any_file_leaves_all_as_it_was(tmp_path, monkeypatch, fail_at, failure):
    out, file = tmp_path / "out", tmp_path / "a.toml"
    write(order(file, says="12 mm"), out, a="old", b="old", sub_c="old")
    before, job = snapshot(out), order(file, says="14 mm")
    count, true = iter(range(100)), Path.replace

    def fail(self, target):
        if next(count) == fail_at:
            raise failure
        return true(self, target)

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(FileRefusedError if isinstance(failure, OSError) else KeyboardInterrupt):
        write(job, out, a="new", sub_d="new", sub_c="new")
    assert next(count) > fail_at
    assert {name: data for name, data in snapshot(out).items() if "sub/d" not in name} == before
    assert not (out / "chair" / "sub" / "d.txt").exists()
    assert [path.name for path in out.iterdir()] == ["chair"]


def test_files_go_to_another_disk_by_a_copy(tmp_path, monkeypatch):
    out, file = tmp_path / "out", tmp_path / "a.toml"
    write(order(file, says="12 mm"), out, a="old")
    true = Path.replace

    def across(self, target):
        if ".in-the-making" in str(self):
            raise OSError(errno.EXDEV, "Invalid cross-device link")
        return true(self, target)

    def no_link(*_: object, **__: object) -> None:
        raise OSError(errno.EXDEV, "Invalid cross-device link")

    stat = Path.stat
    monkeypatch.setattr(Path, "replace", across)
    monkeypatch.setattr(os, "link", no_link)
    monkeypatch.setattr(
        Path, "stat", lambda self, **k: _on_disk(stat(self, **k), ".in-the-making" in str(self))
    )
    done = write(order(file, says="14 mm"), out, a="new")
    assert set(snapshot(done.folder)) == {RECORD, "a.txt"}
    assert (done.folder / "a.txt").read_text() == "new"


def _on_disk(found: os.stat_result, other: bool) -> os.stat_result:
    return os.stat_result((*found[:2], found[2] + other, *found[3:]))


def test_a_failed_first_run_leaves_nothing(tmp_path):
    out = tmp_path / "out"

    def fail() -> None:
        with in_staging(out) as stage:
            (stage / "half").write_text("half")
            raise OSError(errno.EIO, "Input/output error")

    with pytest.raises(FileRefusedError, match="Input/output error"):
        fail()
    assert not out.exists()


@pytest.mark.parametrize(("sign", "folders"), [("", 1), ("!", 6)])
def test_several_at_once_never_mix(tmp_path, sign, folders):
    """Six orders of one title: one of them gets the folder. Six titles that are one name: each gets its own."""
    started = [
        subprocess.Popen(
            [sys.executable, SMALL_JOBS, str(n), str(tmp_path), f"chair{sign * n}"], stdout=subprocess.PIPE
        )
        for n in range(6)
    ]
    said = [one.communicate()[0].decode().strip() for one in started]
    assert [one.returncode for one in started] == [0] * 6
    done = [Path(one) for one in said if one]
    assert len(done) == len({*done}) == folders
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(one.name for one in done)
    for folder in done:
        made = {data for name, data in snapshot(folder).items() if name != RECORD}
        assert len(made) == 1
        assert read_record(folder).made_from.name.endswith(f"{made.pop().decode()}.toml")
