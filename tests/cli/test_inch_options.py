"""Options of `mesh`, `mock-up`, `read` and `gauge` take lengths in inches, and answer in the order's unit."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from seatmesh import read_seat, write_seat
from seatmesh.cli import main
from seatmesh.cli.commands.mock_up_command import _bed

METRIC = re.compile(r"\b(?:mm|cm|cm2|cm3)\b")


@pytest.fixture(scope="module")
def shop(tmp_path_factory, carved_seat):
    folder = tmp_path_factory.mktemp("shop")
    write_seat(replace(carved_seat, units="in", title="porch"), folder / "porch.json")
    write_seat(carved_seat, folder / "viola.json")
    return folder


def answered(capsys, *words) -> str:
    capsys.readouterr()
    assert main([str(one) for one in words]) == 0
    return capsys.readouterr().out


def test_a_mesh_takes_its_tolerance_in_inches_and_is_told_in_them(shop, capsys) -> None:
    """1/32 in is 0.79375 mm: the same file as from that. 480 mm are 18.898 in, 430 are 16.929, 45 are 1.772."""
    said = answered(capsys, "mesh", shop / "porch.json", "--to", shop / "a.stl", "--tolerance-mm", '1/32"')
    answered(capsys, "mesh", shop / "porch.json", "--to", shop / "b.stl", "--tolerance-mm", "0.79375")
    assert (shop / "a.stl").read_bytes() == (shop / "b.stl").read_bytes()
    assert '18 29/32" x 16 15/16" x 1 25/32" at scale 1' in said
    assert "cu in" in said
    assert not METRIC.search(said.replace("its numbers are mm", "")), said
    plain = answered(capsys, "mesh", shop / "viola.json", "--to", shop / "c.stl", "--tolerance-mm", "1 mm")
    assert "480 mm x 430 mm x 45 mm at scale 1" in plain


@pytest.mark.parametrize(
    ("given", "bed"),
    [
        ("220x220x250", (220.0, 220.0, 250.0)),
        ("220 X 220 × 250 mm", (220.0, 220.0, 250.0)),
        ("8x8x10 in", (203.2, 203.2, 254.0)),
        ('8 3/4" x 8 3/4 x 9"', (222.25, 222.25, 228.6)),
        ("22x22x25 cm", (220.0, 220.0, 250.0)),
        ("220 mm x 8 x 10 in", (220.0, 203.2, 254.0)),
    ],
)
def test_a_bed_is_read_in_either_unit(given: str, bed: tuple[float, ...]) -> None:
    """A unit at the end is that of all which have none."""
    assert _bed(given) == pytest.approx(bed)


def test_a_mock_up_takes_inches_and_is_told_in_them(shop, capsys) -> None:
    words = [
        "mock-up",
        shop / "porch.json",
        "--out",
        shop / "out",
        "--wall-mm",
        '1/16"',
        "--bed-mm",
        "8x8x8 in",
    ]
    said = answered(capsys, *words, "--scale", "1:8", "--shell-mm", '1/8"')
    assert re.search(r'stl: 1 of [\d /]+" x [\d /]+" x [\d /]+"', said)
    assert not METRIC.search(said.replace("-mm.stl", "")), said  # the file's own numbers
    assert "shell-3.175" in said


def test_a_scan_is_read_back_with_its_roll_in_inches(shop, capsys) -> None:
    """3/4 in is 19.05 mm."""
    answered(capsys, "mesh", shop / "porch.json", "--to", shop / "scan.stl", "--tolerance-mm", "0.2")
    words = [
        "read",
        shop / "scan.stl",
        "--unit",
        "mm",
        "--blank",
        shop / "porch.json",
        "--to",
        shop / "back.json",
    ]
    said = answered(capsys, *words, "--front-roll-mm", '3/4"')
    assert read_seat(shop / "back.json").front_roll_mm == pytest.approx(19.05)
    assert 'front roll 3/4"' in said
    assert not METRIC.search(said), said


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["mesh", "SEAT", "--to", "x.stl", "--tolerance-mm", "fine"], "--tolerance-mm = 'fine'"),
        (
            ["mesh", "SEAT", "--to", "x.stl", "--tolerance-mm", "1,250"],
            "may stand for decimals or for thousands",
        ),
        (["mock-up", "SEAT", "--bed-mm", "220x220"], "--bed-mm = '220x220'"),
        (["mock-up", "SEAT", "--bed-mm", "axbxc"], "--bed-mm"),
        (["mock-up", "SEAT", "--wall-mm", "thin"], "--wall-mm"),
        (["mock-up", "SEAT", "--shell-mm", '1/0"'], "--shell-mm"),
        (["read", "x.stl", "--to", "y.json", "--front-roll-mm", "round"], "--front-roll-mm"),
    ],
)
def test_what_is_no_length_is_refused_by_its_option(shop, capsys, monkeypatch, words, named: str) -> None:
    monkeypatch.chdir(shop)
    assert main(["porch.json" if one == "SEAT" else one for one in words]) == 2
    assert named in capsys.readouterr().err
    assert not (shop / "x.stl").exists()


def test_a_gauge_sheet_and_its_check_take_inches_and_answer_in_them(shop, capsys) -> None:
    sheet = ["gauge", "sheet", shop / "porch.json", "--bar-height-mm", '2 1/2"', "--spacing-mm", '2"']
    answered(capsys, *sheet, "--rest-heights-mm", '1/16",-1/16"', "--to", shop / "g.csv")
    head, *rows = (shop / "g.csv").read_text().splitlines()
    assert "expected_in" in head
    at = [head.split(",").index(name) for name in ("expected_in", "reading_in")]
    filled = [head]
    for row in rows:
        cells = row.split(",")
        cells[at[1]] = f"{float(cells[at[0]]) - 1 / 16:.3f}"
        filled.append(",".join(cells))
    (shop / "r.csv").write_text("\n".join(filled) + "\n")
    ask = ["gauge", "check", shop / "porch.json", shop / "r.csv", "--tolerance-mm", '1/64"']
    said = answered(capsys, *ask)
    assert not METRIC.search(said), said
    report = json.loads(answered(capsys, *ask, "--json"))
    assert not any(METRIC.search(note) for note in report["notes"]), report["notes"]
