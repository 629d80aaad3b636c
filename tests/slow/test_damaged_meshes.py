"""Damaged scans: refused in words or read, never a crash, a hang or a great deal of memory."""

from __future__ import annotations

import contextlib
import resource
import runpy
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from seatmesh.errors import InputError
from seatmesh.formats.scan_contents import MOST_POINTS
from seatmesh.formats.scan_file import read_raw
from seatmesh.mesh import Mesh

HELPERS = runpy.run_path(str(Path(__file__).parents[1] / "reading" / "conftest.py"))
WRITERS: dict[str, tuple[str, Callable[[Mesh], bytes]]] = HELPERS["WRITERS"]
KINDS = sorted(WRITERS)
WEDGE = Mesh(
    np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 0.0], [0.0, 20.0, 0.0], [0.5, 0.25, 10.125]]),
    np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]),
)
LONGEST_S = 5.0
MOST_MIB = 1024
ALL = 10_000
QUICK = 320


@st.composite
def damaged(draw: Any) -> tuple[str, bytes]:
    """Cut, overwrite, repeat, swap or leave out pieces of a file of some kind; or its inside, if it is a zip."""
    kind = draw(st.sampled_from(KINDS))
    suffix, write = WRITERS[kind]
    inner = kind == "3MF" and draw(st.booleans())
    data = HELPERS["model_xml"](WEDGE).encode() if inner else write(WEDGE)
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(data)))
        end = draw(st.integers(start, min(len(data), start + 80)))
        piece = draw(
            st.binary(max_size=12)
            | st.sampled_from(
                [b"", b"\xff\xff\xff\xff", b"\x7f\xf0", b"nan", b"-1", b"1e999", b"99999999999", b"\n", b"<"]
            )
            | st.just(data[start:end] * draw(st.integers(0, 200)))
        )
        data = data[:start] + piece + data[end:]
    if draw(st.integers(0, 9)) == 0:
        data = data[: draw(st.integers(0, len(data)))]
    return suffix, HELPERS["zipped"](data) if inner else data


def read_or_refuse(folder: Path, given_file: tuple[str, bytes]) -> None:
    suffix, data = given_file
    path = folder / f"scan{suffix}"
    path.write_bytes(data)
    start = time.perf_counter()
    with contextlib.suppress(InputError):
        raw = read_raw(path)
        assert 0 < len(raw.points) <= 3 * MOST_POINTS
        assert np.isfinite(raw.points).all()
        assert raw.faces.size == 0 or 0 <= raw.faces.min() <= raw.faces.max() < len(raw.points)
    assert time.perf_counter() - start < LONGEST_S
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 < 4 * MOST_MIB


FEW = settings(
    max_examples=QUICK,
    deadline=None,
    derandomize=True,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)


@FEW
@given(damaged())
def test_some_damaged_scans(tmp_path: Path, file: tuple[str, bytes]) -> None:
    read_or_refuse(tmp_path, file)


@pytest.mark.slow
@settings(parent=FEW, max_examples=ALL)
@given(damaged())
def test_ten_thousand_damaged_scans(tmp_path: Path, file: tuple[str, bytes]) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    read_or_refuse(tmp_path, file)
    # Files of a few kilobytes ask for no room to speak of.
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 - before < 200


@FEW
@given(st.sampled_from([".stl", ".obj", ".ply", ".3mf", ".csv", ".txt"]), st.binary(max_size=400))
def test_what_was_never_a_scan(tmp_path: Path, suffix: str, data: bytes) -> None:
    read_or_refuse(tmp_path, (suffix, data))
