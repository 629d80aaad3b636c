"""Reading of TOML files: what is refused before or after reading, and in which words."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from seatmesh.errors import FileRefusedError, UnknownKeyError
from seatmesh.files.toml_file import read_toml, refuse_unknown


def put(folder: Path, data: bytes) -> Path:
    path = folder / "a.toml"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("data", [b'a = 1\n[b]\nc = "d"\n', b'\xef\xbb\xbfa = 1\r\n[b]\r\nc = "d"\r\n'])
def test_reads_a_table_with_or_without_a_byte_order_mark(tmp_path: Path, data: bytes) -> None:
    path = put(tmp_path, data)
    assert read_toml(path, "order file") == {"a": 1, "b": {"c": "d"}}
    assert read_toml(str(path), "order file") == {"a": 1, "b": {"c": "d"}}
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"a = \n", "is not TOML: .*line 1"),
        (b"a = 1\na = 2\n", "is not TOML"),
        (b"a = " + b"9" * 5000, "is not TOML"),
        (b"a = " + b"[" * 100_000, "is nested too deeply"),
        (b'a = "\xff"\n', "is not UTF-8 text .byte 5"),
        ("a = 1".encode("utf-16"), "is not UTF-8"),
        (b"\x00\x01\x02", "is not TOML"),
    ],
    ids=["no value", "twice", "digits", "nested", "latin", "utf-16", "binary"],
)
def test_refuses_what_is_not_toml(tmp_path: Path, data: bytes, told: str) -> None:
    with pytest.raises(FileRefusedError, match=f"^order file '.*a.toml' {told}") as refused:
        read_toml(put(tmp_path, data), "order file")
    assert len(str(refused.value)) < 400


def test_refuses_a_huge_file_before_reading_it(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        os.truncate(file.fileno(), 10**11)  # sparse: takes no room, but reading it would
    with pytest.raises(FileRefusedError, match="100000000000 bytes; at most 1000000 are read"):
        read_toml(path, "body file")


def test_the_limit_itself_is_read(tmp_path: Path) -> None:
    path = put(tmp_path, b"a = 1\n#" + b"x" * 93)
    assert read_toml(path, "body file", limit_bytes=100) == {"a": 1}
    with pytest.raises(FileRefusedError, match="100 bytes; at most 99"):
        read_toml(path, "body file", limit_bytes=99)


def test_refuses_what_is_missing_a_folder_or_no_file(tmp_path: Path) -> None:
    with pytest.raises(FileRefusedError, match="there is no such file; check the path"):
        read_toml(tmp_path / "none.toml", "body file")
    with pytest.raises(FileRefusedError, match="is a folder"):
        read_toml(tmp_path, "body file")
    with pytest.raises(FileRefusedError, match="there is no such file"):
        read_toml(put(tmp_path, b"") / "b.toml", "body file")
    for path in ("a\0b.toml", "x" * 5000):
        with pytest.raises(FileRefusedError):
            read_toml(path, "body file")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_refuses_a_pipe_that_would_never_end(tmp_path: Path) -> None:
    path = tmp_path / "pipe.toml"
    os.mkfifo(path)
    with pytest.raises(FileRefusedError, match="not a regular file"):
        read_toml(path, "body file")


def test_refuses_unknown_keys_by_name_with_the_nearest() -> None:
    refuse_unknown({"width_mm": 1}, ("width_mm", "depth_mm"), "[blank]")
    with pytest.raises(
        UnknownKeyError, match=r"^\[blank\]: unknown key 'widht_mm'; did you mean 'width_mm'"
    ) as refused:
        refuse_unknown({"widht_mm": 1}, ("width_mm", "depth_mm"), "[blank]")
    assert (refused.value.key, refused.value.nearest) == ("widht_mm", "width_mm")
