from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest

from seatmesh.chair import Chair
from seatmesh.errors import (
    FileRefusedError,
    InputError,
    MissingKeyError,
    UnknownKeyError,
    ValueRefusedError,
)
from seatmesh.formats.seat_file import LARGEST_FILE_BYTES, read_seat, write_seat
from seatmesh.formats.seat_file_fields import from_table, to_plain
from seatmesh.solution import Ending
from seatmesh.spline import BicubicSpline, clamped_knots
from seatmesh.surface import Seat, flat_seat
from seatmesh.wood.blank import Blank

Edit = Callable[[dict[str, Any]], None]


def small_seat() -> Seat:
    hollow = BicubicSpline(
        clamped_knots(-240.0, 240.0, 2),
        clamped_knots(50.0, 430.0, 3),
        np.random.default_rng(1).normal(size=(5, 6)),
    )
    return Seat(Blank(width_mm=481.3), Chair(front_height_mm=441.5), hollow, 17.3, "Cello, „first“ \t☺", "in")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    write_seat(small_seat(), tmp_path / "seat.json")
    return tmp_path / "seat.json"


def edited(file: Path, edit: Edit) -> Path:
    table = json.loads(file.read_text())
    edit(table)
    file.write_text(json.dumps(table))
    return file


def test_a_seat_comes_back_the_same_to_the_bit(tmp_path: Path, uneven_seat: Seat) -> None:
    x, y = np.random.default_rng(2).uniform([[-240.0], [0.0]], [[240.0], [430.0]], (2, 5000))
    for seat in (uneven_seat, small_seat(), flat_seat()):
        write_seat(seat, tmp_path / "seat.json")
        back = read_seat(tmp_path / "seat.json")
        np.testing.assert_array_equal(back.depth_mm(x, y), seat.depth_mm(x, y))
        assert replace(back, hollow=None) == replace(seat, hollow=None)
        for name in ("knots_x", "knots_y", "coefficients"):
            np.testing.assert_array_equal(getattr(back.hollow, name, 0), getattr(seat.hollow, name, 0))


def test_how_the_search_for_it_ended_comes_back_with_a_seat(tmp_path: Path) -> None:
    for ending in (Ending("converged", 12, 2.5e-5), Ending("stopped: it was still falling", 100, None)):
        write_seat(replace(small_seat(), ending=ending), tmp_path / "seat.json")
        assert read_seat(tmp_path / "seat.json").ending == ending
    # It is no part of the shape, and files from before it was kept say nothing of it.
    table = json.loads((tmp_path / "seat.json").read_text())
    del table["ending"]
    (tmp_path / "old.json").write_text(json.dumps(table))
    assert read_seat(tmp_path / "old.json").ending is None
    assert replace(flat_seat(), ending=ending) == flat_seat()


def test_the_same_seat_gives_the_same_bytes_whole_numbers_or_not(tmp_path: Path) -> None:
    write_seat(small_seat(), tmp_path / "a.json")
    write_seat(read_seat(tmp_path / "a.json"), tmp_path / "b.json")
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    write_seat(flat_seat(Blank(width_mm=480)), tmp_path / "c.json")
    write_seat(flat_seat(Blank(width_mm=480.0)), tmp_path / "d.json")
    assert (tmp_path / "c.json").read_bytes() == (tmp_path / "d.json").read_bytes()


def test_the_file_states_its_format_and_its_units(file: Path) -> None:
    table = json.loads(file.read_text())
    assert (table["format"], table["version"]) == ("seatmesh seat", 1)
    assert set(table["hollow"]) == {"knots_x_mm", "knots_y_mm", "coefficients_mm"}
    assert np.shape(table["hollow"]["coefficients_mm"]) == (5, 6)
    assert table["blank"]["width_mm"] == 481.3
    assert table["chair"]["front_height_mm"] == 441.5
    assert file.read_bytes().endswith(b"}\n")
    assert b"\r" not in file.read_bytes()


def test_a_byte_order_mark_is_no_part_of_the_file(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes())
    assert read_seat(file).title == small_seat().title


UNKNOWN: list[tuple[Edit, str]] = [
    (lambda t: t.update(titel="x"), "'titel'; did you mean 'title'"),
    (lambda t: t["blank"].update(widht_mm=1.0), "blank: unknown key 'widht_mm'; did you mean 'width_mm'"),
    (
        lambda t: t["hollow"].update(knot_x_mm=[]),
        "hollow: unknown key 'knot_x_mm'; did you mean 'knots_x_mm'",
    ),
]
MISSING: list[tuple[Edit, str]] = [
    (lambda t: t.pop("hollow"), "'hollow' is missing"),
    (lambda t: t["chair"].pop("rake_deg"), "chair: 'rake_deg' is missing"),
    (lambda t: t["hollow"].pop("coefficients_mm"), "hollow: 'coefficients_mm' is missing"),
]
REFUSED: list[tuple[Edit, str]] = [
    (lambda t: t.update(format="other"), r"format and version = \('other', 1\)"),
    (lambda t: t.update(version=2), r"format and version = \('seatmesh seat', 2\)"),
    (lambda t: t.update(version=True), "format and version"),
    (lambda t: t.pop("version"), "format and version"),
    (lambda t: t.update(blank=[]), r"blank = \[\]: allowed is a table"),
    (lambda t: t.update(hollow=3), "hollow = 3: allowed is a table"),
    (lambda t: t.update(units="cm"), "units = 'cm': allowed are mm, in"),
    (lambda t: t.update(units=["mm"]), "units = .*type str"),
    (lambda t: t.update(title=None), "title = None: .*type str"),
    (lambda t: t.update(front_roll_mm=-1.0), r"front_roll_mm = -1\.0: allowed is 0 or above"),
    (lambda t: t["blank"].update(width_mm=0), r"blank\.width_mm = 0\.0: allowed is above 0"),
    (lambda t: t["blank"].update(depth_mm=-430.0), r"blank\.depth_mm = -430\.0: allowed is above 0"),
    (lambda t: t["blank"].update(thickness_mm="45"), r"blank\.thickness_mm = '45': allowed is a number"),
    (lambda t: t["blank"].update(thickness_mm=True), r"blank\.thickness_mm = True"),
    (lambda t: t["blank"].update(thickness_mm=10**400), r"blank\.thickness_mm = 1000"),
    (lambda t: t["blank"].update(width_mm=48000.0), r"blank\.width_mm = 48000\.0: .*10000; check its unit"),
    (
        lambda t: t["blank"].update(outline="round"),
        "outline = 'round': allowed are rounded, straight-sided",
    ),
    (lambda t: t["hollow"]["coefficients_mm"].pop(), "coefficients_mm = .*5 lists of 6 numbers"),
    (lambda t: t["hollow"]["coefficients_mm"][3].pop(), "coefficients_mm = .*5 lists of 6 numbers"),
    (lambda t: t["hollow"].update(coefficients_mm={}), "coefficients_mm = .*5 lists of 6 numbers"),
    (lambda t: t["hollow"]["coefficients_mm"][3].__setitem__(2, "x"), r"coefficients_mm\[3\]\[2\] = 'x'"),
    (lambda t: t["hollow"]["coefficients_mm"][3].__setitem__(2, [1]), r"coefficients_mm\[3\]\[2\] = \[1\]"),
    (lambda t: t["hollow"]["knots_x_mm"].__setitem__(4, None), r"knots_x_mm\[4\] = None"),
    (lambda t: t["hollow"].update(knots_x_mm=[0.0] * 7), "knots_x_mm = .*8 to 2000 numbers"),
    (lambda t: t["hollow"].update(knots_x_mm=[0.0] * 9), "knots_x_mm = .*four alike"),
    (lambda t: t["hollow"]["knots_x_mm"].__setitem__(0, -241.0), "knots_x_mm = .*four alike"),
    (lambda t: t["hollow"]["knots_x_mm"].__setitem__(4, -240.0), "knots_x_mm = .*four alike"),
    (lambda t: t["hollow"]["knots_y_mm"].__setitem__(4, 400.0), "knots_y_mm = .*rising"),
    (lambda t: t["hollow"]["knots_y_mm"].reverse(), "knots_y_mm = .*rising"),
]


@pytest.mark.parametrize(
    ("kind", "edit", "words"),
    [
        *((UnknownKeyError, *case) for case in UNKNOWN),
        *((MissingKeyError, *case) for case in MISSING),
        *((ValueRefusedError, *case) for case in REFUSED),
    ],
)
def test_what_is_wrong_inside_is_refused_by_name(
    file: Path, kind: type[InputError], edit: Edit, words: str
) -> None:
    with pytest.raises(kind, match=words) as refused:
        read_seat(edited(file, edit))
    assert "seat.json" in str(refused.value)
    assert len(str(refused.value)) < 400 + len(str(file))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is not JSON"),
        (b"title = 'order'", "is not JSON"),
        (b'{"format": "seatmesh seat"', "is not JSON"),
        (b'{"version": ' + b"9" * 5000 + b"}", "is not JSON"),
        (b"\xff\xfe\x00", "is not UTF-8"),
        (b"[" * 200_000, "nested too deeply"),
        (b'{"a":' * 100_000, "nested too deeply"),
        (b'{"front_roll_mm": NaN}', "holds NaN"),
        (b'{"front_roll_mm": -Infinity}', "holds -Infinity"),
        (b'{"title": "a", "title": "b"}', "holds 'title' twice"),
    ],
)
def test_what_is_no_seat_file_at_all_is_refused(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "seat.json"
    path.write_bytes(data)
    with pytest.raises(FileRefusedError, match=words):
        read_seat(path)


@pytest.mark.parametrize("data", [b"[]", b"3", b"null", b'"seat"', b"{}"])
def test_json_that_is_no_seat_is_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "seat.json"
    path.write_bytes(data)
    with pytest.raises(ValueRefusedError, match="allowed is 'seatmesh seat', 1"):
        read_seat(path)


def test_a_number_too_large_for_a_float_is_refused(file: Path) -> None:
    file.write_text(file.read_text().replace("17.3", "1e999"))
    with pytest.raises(ValueRefusedError, match="front_roll_mm = inf"):
        read_seat(file)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "seat.json"
    with path.open("wb") as file:
        file.truncate(LARGEST_FILE_BYTES + 1)
    with pytest.raises(FileRefusedError, match=r"20000001 bytes; at most 20000000 are read"):
        read_seat(path)


@pytest.mark.parametrize("name", ["none.json", ".", "\0.json", "x" * 300])
def test_a_file_that_is_not_there_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileRefusedError, match=r"no such file|is a folder|cannot be read"):
        read_seat(f"{tmp_path}/{name}")


def test_a_seat_that_could_not_be_read_back_is_not_written(file: Path) -> None:
    proven = file.read_bytes()
    seat = small_seat()
    assert seat.hollow is not None
    broken = replace(seat.hollow, coefficients=np.full((5, 6), np.nan))
    for bad in (replace(seat, hollow=broken), replace(seat, units="cm"), replace(seat, front_roll_mm=-2.0)):
        with pytest.raises(ValueRefusedError):
            write_seat(bad, file)
    assert file.read_bytes() == proven


@dataclass(frozen=True)
class Joint:
    kind: Literal["leg", "spindle"]
    at_mm: tuple[float, float]
    through: bool = False


@dataclass(frozen=True)
class Block:
    count: int
    joints: tuple[Joint, ...] = ()
    note: str | None = None


def test_fields_of_every_kind_that_a_blank_may_come_to_have_go_there_and_back() -> None:
    block = Block(2, (Joint("leg", (60, 70.5)), Joint("spindle", (1.0, 2.0), True)), "x")
    table = json.loads(json.dumps(to_plain(block, Block)))
    assert table["joints"][0] == {"kind": "leg", "at_mm": [60.0, 70.5], "through": False}
    assert from_table(Block, table, "block") == block
    assert from_table(Block, to_plain(Block(1), Block), "block") == Block(1)


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (lambda t: t.update(count=2.0), r"block\.count = 2\.0: .*int"),
        (lambda t: t.update(count=True), r"block\.count = True: .*int"),
        (lambda t: t.update(note=3), r"block\.note = 3: .*str"),
        (lambda t: t.update(joints={}), r"block\.joints = \{\}: .*list"),
        (
            lambda t: t["joints"][1].update(kind="arm"),
            r"joints\[1\]\.kind = 'arm': allowed are leg, spindle",
        ),
        (lambda t: t["joints"][1].update(kind=["leg"]), r"joints\[1\]\.kind"),
        (lambda t: t["joints"][0].update(at_mm=[1.0]), r"joints\[0\]\.at_mm = \[1\.0\]: .*right length"),
        (lambda t: t["joints"][0].update(at_mm=[1.0, None]), r"joints\[0\]\.at_mm\[1\] = None"),
        (lambda t: t["joints"][0].update(through=1), r"joints\[0\]\.through = 1: .*bool"),
    ],
)
def test_fields_of_the_wrong_kind_are_refused_by_their_place(edit: Edit, words: str) -> None:
    table = to_plain(Block(2, (Joint("leg", (60.0, 70.5)), Joint("leg", (1.0, 2.0))), "x"), Block)
    edit(table)
    with pytest.raises(ValueRefusedError, match=words):
        from_table(Block, table, "block")


def test_a_file_from_before_there_were_adjustments_has_none(carved_seat: Seat, tmp_path: Path) -> None:
    write_seat(carved_seat, tmp_path / "seat.json")
    table = json.loads((tmp_path / "seat.json").read_text())
    del table["adjustments"]
    (tmp_path / "old.json").write_text(json.dumps(table))
    assert read_seat(tmp_path / "old.json").adjustments == ()
    del table["title"]
    (tmp_path / "old.json").write_text(json.dumps(table))
    with pytest.raises(MissingKeyError, match="title"):
        read_seat(tmp_path / "old.json")
