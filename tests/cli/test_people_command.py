"""`seatmesh people`: what it prints, keeps, writes and refuses."""

import json

import pytest
from pyarrow import parquet

from seatmesh import write_seat
from seatmesh.cli import main
from seatmesh.people.table import COLUMNS


@pytest.fixture(scope="module")
def seat(tmp_path_factory, carved_seat):
    path = tmp_path_factory.mktemp("people") / "seat.json"
    write_seat(carved_seat, path)
    return str(path)


def test_people_are_told_counted_and_written(seat, tmp_path, capsys):
    wanted = ["people", seat, "--count", "4", "--public", "us-2011", "--front-height-mm", '17"', "--json"]
    wanted += [
        "--keep",
        str(tmp_path / "parts"),
        "--to",
        str(tmp_path / "all.parquet"),
        "--ask",
        "peak_kpa=60",
    ]
    assert main(wanted) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["count"] == 4
    assert report["front_height_mm"] == pytest.approx(17 * 25.4)
    assert {"name", "bound", "share", "standard_error"} <= set(report["criteria"][0])
    assert "peak_kpa" in {one["name"] for one in report["criteria"]}
    table = parquet.read_table(tmp_path / "all.parquet")
    assert tuple(table.column_names) == COLUMNS
    assert table["number"].to_pylist() == [1, 2, 3, 4]
    first = (tmp_path / "all.parquet").read_bytes()
    assert main(wanted) == 0
    assert json.loads(capsys.readouterr().out) == report
    assert (tmp_path / "all.parquet").read_bytes() == first


def test_words_for_a_maker(seat, tmp_path, capsys):
    (tmp_path / "guests.toml").write_text(
        'words = "guests"\nwomen_share = 0.6\n[mass_kg]\nfemale = { mean = 70, sd = 14 }\n'
        "[[ages]]\nfrom_years = 18\nto_years = 40\nshare = 1\n"
    )
    assert main(["people", seat, "--count", "2", "--public", str(tmp_path / "guests.toml"), "--flat"]) == 0
    out = capsys.readouterr().out
    assert "of guests" in out
    assert "not medical advice" in out


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--count", "0"], "1 to 1,000,000"),
        (["--public", "martians"], "soldiers, us-2011"),
        (["--public", "no-such.toml"], "no-such.toml"),
        (["--ask", "knee"], "NAME=BOUND"),
        (["--ask", "knee_clearance=3"], "knee_clearance_mm"),
        (["--ask", "knee_clearance_mm=wide"], "is a number"),
        (["--women", "2"], "0 to 1"),
        (["--to", "all.csv"], ".parquet"),
        (["--front-height-mm", "43"], "200 to 900"),
        (["--workers", "2", "--scheduler", "tcp://x:1"], "one of them"),
        (["--workers", "0"], "1 to 256"),
        (["--scheduler", "tcp://127.0.0.1:9"], "no Dask scheduler answers"),
    ],
)
def test_what_is_refused(seat, given, words, capsys, monkeypatch):
    monkeypatch.setattr("seatmesh.people.engine.cluster.CONNECT_S", 1.0)
    assert main(["people", seat, *given]) == 2
    assert words in capsys.readouterr().err
