from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from seatmesh.errors import FileRefusedError
from seatmesh.files.whole_or_nothing import atomic_path, write_bytes, write_text, write_together


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_bytes_and_text_arrive_as_given_and_nothing_else_is_left(tmp_path: Path) -> None:
    write_bytes(tmp_path / "a.bin", b"\x00\r\n\xff")
    write_text(tmp_path / "b.txt", "Höhe\r\n3/8″\n")
    assert (tmp_path / "a.bin").read_bytes() == b"\x00\r\n\xff"
    assert (tmp_path / "b.txt").read_bytes() == "Höhe\r\n3/8″\n".encode()
    assert names_in(tmp_path) == ["a.bin", "b.txt"]


def test_missing_folders_are_made_and_an_old_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "one" / "two" / "seat.txt"
    write_text(path, "old")
    write_text(str(path), "new")
    assert path.read_text() == "new"


def test_the_path_lent_has_the_same_folder_and_suffix(tmp_path: Path) -> None:
    with atomic_path(tmp_path / "seat.png") as lent:
        assert lent.parent == tmp_path
        assert lent.suffix == ".png"
        assert lent.exists()
        assert not (tmp_path / "seat.png").exists()
        lent.write_bytes(b"picture")
    assert (tmp_path / "seat.png").read_bytes() == b"picture"


def test_a_new_file_has_the_permissions_that_the_system_gives_new_files(tmp_path: Path) -> None:
    (tmp_path / "plain").touch()
    write_text(tmp_path / "written", "x")
    plain, written = ((tmp_path / name).stat().st_mode for name in ("plain", "written"))
    assert stat.S_IMODE(written) == stat.S_IMODE(plain)


@pytest.mark.parametrize("failure", [ValueError("half way"), KeyboardInterrupt()])
def test_a_failure_half_way_leaves_the_old_file_and_no_other(tmp_path: Path, failure: BaseException) -> None:
    path = tmp_path / "seat.stl"
    path.write_bytes(b"proven")

    def fail_half_way() -> None:
        with atomic_path(path) as lent:
            lent.write_bytes(b"half")
            raise failure

    with pytest.raises(type(failure)):
        fail_half_way()
    assert path.read_bytes() == b"proven"
    assert names_in(tmp_path) == ["seat.stl"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full; free some space"),
        (errno.EACCES, "no permission to write"),
        (errno.EROFS, "read-only"),
        (errno.EIO, "choose another path"),
    ],
)
def test_what_the_system_refuses_is_said_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    path = tmp_path / "seat.json"
    path.write_text("proven")

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    for step in ("replace", "fsync"):
        with monkeypatch.context() as patched:
            patched.setattr(os, step, refuse)
            with pytest.raises(FileRefusedError, match=rf"seat\.json' cannot be written: .*{words}"):
                write_text(path, "new")
        assert path.read_text() == "proven"
        assert names_in(tmp_path) == ["seat.json"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_disk_that_fills_up_while_writing_is_said_in_words(tmp_path: Path) -> None:
    with (
        pytest.raises(FileRefusedError, match="the disk is full"),
        atomic_path(tmp_path / "seat.stl"),
        Path("/dev/full").open("wb", buffering=0) as full,
    ):
        full.write(b"more than fits")
    assert names_in(tmp_path) == []


def test_a_file_where_a_folder_is_needed_is_refused(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    for path in (tmp_path / "taken" / "seat.stl", tmp_path / "taken" / "deeper" / "seat.stl"):
        with pytest.raises(FileRefusedError, match="a file stands where a folder is needed"):
            write_text(path, "x")
    assert (tmp_path / "taken").read_text() == "a file"


def test_a_folder_where_the_file_should_go_is_refused(tmp_path: Path) -> None:
    (tmp_path / "seat.stl").mkdir()
    with pytest.raises(FileRefusedError, match="a folder stands there"):
        write_text(tmp_path / "seat.stl", "x")


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="this system has no /proc")
def test_a_place_where_nothing_can_be_made_is_refused() -> None:
    with pytest.raises(FileRefusedError, match=r"/proc/.*seat\.stl' cannot be written"):
        write_text("/proc/self/none/seat.stl", "x")


def test_a_pipe_is_not_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileRefusedError, match="not a regular file"):
        write_text(pipe, "x")
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_text(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.parametrize("path", ["", "seat\0.stl", "x" * 300 + ".stl"])
def test_a_path_that_names_no_file_is_refused(path: str) -> None:
    with pytest.raises(FileRefusedError, match="cannot be written"):
        write_text(path, "x")


def test_text_that_is_not_unicode_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileRefusedError, match=r"character 3 .* surrogate"):
        write_text(tmp_path / "a.txt", "ab\ud800")
    assert names_in(tmp_path) == []


def test_files_that_belong_together_are_written_all_or_none(tmp_path: Path) -> None:
    """The last of them is a folder; the one before is there already, the first is new."""
    new, old, folder = tmp_path / "a.csv", tmp_path / "b.txt", tmp_path / "c.pdf"
    old.write_bytes(b"proven")
    folder.mkdir()
    with pytest.raises(FileRefusedError, match=r"c\.pdf.*a folder stands there"):
        write_together({new: b"1", old: b"2", folder: b"3"})
    assert names_in(tmp_path) == ["b.txt", "c.pdf"]
    assert old.read_bytes() == b"proven"
    folder.rmdir()
    write_together({new: b"1", old: b"2", folder: b"3"})
    assert [path.read_bytes() for path in (new, old, folder)] == [b"1", b"2", b"3"]


@pytest.mark.parametrize("fails", [1, 2, 3])
def test_what_took_its_place_goes_back_where_the_next_cannot(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: int
) -> None:
    """The rename itself fails, of any of them."""
    paths = [tmp_path / name for name in "abc"]
    paths[0].write_bytes(b"proven")
    rename, count = os.replace, iter(range(1, 9))

    def refuse(source: Path, target: Path) -> None:
        if next(count) == fails:
            raise PermissionError(errno.EACCES, "denied")
        rename(source, target)

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(FileRefusedError):
        write_together(dict.fromkeys(paths, b"new"))
    assert names_in(tmp_path) == ["a"]
    assert paths[0].read_bytes() == b"proven"


def test_a_pipe_among_them_stays_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(FileRefusedError, match="not a regular file"):
        write_together({tmp_path / "a": b"1", tmp_path / "pipe": b"2"})
    assert names_in(tmp_path) == ["pipe"]
