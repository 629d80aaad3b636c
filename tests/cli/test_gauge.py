"""`seatmesh gauge` as a maker meets it: files, exit codes, JSON, and nothing lost."""

import csv
import json

import numpy as np
import pytest

from seatmesh import read_seat, sheets_of, write_seat
from seatmesh.cli import main


@pytest.fixture(scope="module")
def bench(tmp_path_factory, carved_seat):
    folder = tmp_path_factory.mktemp("bench")
    write_seat(carved_seat, folder / "seat.json")
    ask = ["gauge", "sheet", str(folder / "seat.json"), "--spacing-mm", "30", "--bar-height-mm", '2 3/8"']
    assert main([*ask, "--rod-offset-mm", "5", "--to", str(folder / "sheet.csv")]) == 0
    return folder


def typed(folder, name, change):
    with (folder / "sheet.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    for k, row in enumerate(rows):
        row["reading_mm"] = change(k, row, float(row["expected_mm"]))
    with (folder / name).open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    return str(folder / name)


def test_the_sheet_is_written_to_type_into_and_to_print(bench):
    head = (bench / "sheet.csv").read_text().splitlines()
    assert head[0].startswith("point,x_mm,y_mm,expected_mm,reading_mm")
    assert head[1].split(",")[3] == "65.33"  # 2 3/8 in = 60.325 mm, and 5 mm
    assert "LEFT" in (bench / "sheet.txt").read_text()


def test_check_prints_one_json_object_with_a_map_beside_it(bench, capsys):
    rng = np.random.default_rng(1)

    def left_over(k, row, expected):
        """1 mm of wood left wherever the seat is carved by more than that; deck and rim are sound."""
        carved = expected - float(row["datum_mm"]) > 1.0
        return f"{(expected - 1.0 * carved + rng.normal(0, 0.2)) / 25.4:.3f} in"

    name = typed(bench, "r.csv", left_over)
    ask = ["gauge", "check", str(bench / "seat.json"), name, "--json", "--map", str(bench / "map.png")]
    assert main(ask) == 0
    report = json.loads(capsys.readouterr().out)
    assert {"points", "left_minus_right_mm", "ripples", "next_cuts", "finished"} <= set(report)
    taken = [one["to_take_mm"] for one in report["points"] if one["state"] == "take"]
    assert len(taken) > 60
    assert np.mean(taken) == pytest.approx(1.0, abs=0.1)
    assert report["finished"] is False
    assert {"row", "height_mm", "tilt_deg", "told_by"} <= set(report["bar"][0])
    assert (bench / "map.png").read_bytes()[:4] == b"\x89PNG"
    assert (
        main(["gauge", "check", str(bench / "seat.json"), name, "--tolerance-mm", "1.5", "--units", "in"])
        == 0
    )
    assert "FINISHED within" in capsys.readouterr().out


def test_a_sheet_never_overwrites_readings(bench, capsys):
    name = typed(bench, "kept.csv", lambda k, row, e: f"{e:.2f}")
    before = (bench / "kept.csv").read_bytes()
    ask = ["gauge", "sheet", str(bench / "seat.json"), "--bar-height-mm", "60", "--to", name]
    assert main(ask) == 2
    assert "would be lost" in capsys.readouterr().err
    assert (bench / "kept.csv").read_bytes() == before


def test_a_sheet_to_write_on_takes_the_place_of_its_like_alone(bench, tmp_path, capsys):
    """Neither of another sheet of ours, nor of one that somebody wrote into."""
    ask = [
        "gauge",
        "sheet",
        str(bench / "seat.json"),
        "--bar-height-mm",
        "60",
        "--to",
        str(tmp_path / "a.csv"),
    ]
    assert main(ask) == 0
    assert main(ask) == 0
    ours = (tmp_path / "a.pdf").read_bytes()
    plan = sheets_of(read_seat(bench / "seat.json"), kinds=("pdf",)).files["sheets.pdf"]
    for other in (plan, ours + b"1 0 obj\n(61.5)\nendobj\n%%EOF\n", b"%PDF-1.4 (seatmesh) %%EOF"):
        (tmp_path / "a.pdf").write_bytes(other)
        capsys.readouterr()
        assert main(ask) == 2
        assert "is no gauge sheet" in capsys.readouterr().err
        assert (tmp_path / "a.pdf").read_bytes() == other


@pytest.mark.parametrize("suffix", [".txt", ".pdf"])
def test_a_sheet_is_written_whole_or_not_at_all(bench, tmp_path, capsys, suffix):
    (tmp_path / f"a{suffix}").mkdir()
    ask = [
        "gauge",
        "sheet",
        str(bench / "seat.json"),
        "--bar-height-mm",
        "60",
        "--to",
        str(tmp_path / "a.csv"),
    ]
    assert main(ask) == 2
    assert "a folder stands there" in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == [f"a{suffix}"]


def test_a_check_writes_its_map_and_its_further_rows_or_neither(bench, tmp_path, capsys):
    rng = np.random.default_rng(5)

    def doubtful(k, row, expected):
        return f"{expected + (4.0 if k % 29 == 7 else rng.normal(0, 0.2)):.2f}"

    name = typed(bench, "d.csv", doubtful)
    ask = ["gauge", "check", str(bench / "seat.json"), name, "--further", str(tmp_path / "more.csv")]
    (tmp_path / "map.png").mkdir()
    assert main([*ask, "--map", str(tmp_path / "map.png")]) == 2
    assert "a folder stands there" in capsys.readouterr().err
    assert not (tmp_path / "more.csv").exists()
    assert main([*ask, "--map", str(tmp_path / "m.png")]) == 0
    assert (tmp_path / "more.csv").exists()
    assert (tmp_path / "m.png").read_bytes()[:4] == b"\x89PNG"


def test_save_writes_a_seat_or_says_that_there_is_none(bench, capsys):
    ask = ["gauge", "save", str(bench / "seat.json"), "--json", "--body", "cello"]
    assert main([*ask, "--gouge", "60,160,35,2", "--to", str(bench / "saved.json")]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["saved"]
    assert report["pressure"][0]["after_kpa"] > 0.0
    drawn, saved = read_seat(bench / "seat.json"), read_seat(bench / "saved.json")
    assert float(saved.depth_mm(60, 160) - drawn.depth_mm(60, 160)) == pytest.approx(2.0, abs=0.02)
    assert main([*ask, "--gouge", "60,160,35,20", "--to", str(bench / "lost.json")]) == 1
    assert not json.loads(capsys.readouterr().out)["saved"]
    assert not (bench / "lost.json").exists()


def test_copy_makes_a_seat_file_mirrored_if_wished(bench, capsys):
    name = typed(bench, "c.csv", lambda k, row, e: f"{e + 1.5 * (float(row['x_mm']) > 0) * (e > 68):.2f}")
    ask = ["gauge", "copy", name, "--blank", str(bench / "seat.json"), "--json", "--front-roll-mm", "20"]
    assert main([*ask, "--to", str(bench / "copy.json")]) == 0
    assert json.loads(capsys.readouterr().out)["uneven_mm"] > 1.0
    assert main([*ask, "--mirrored", "--to", str(bench / "other.json")]) == 0
    interval = json.loads(capsys.readouterr().out)["interval_90"]
    place = interval["places"][len(interval["places"]) // 3]
    other = read_seat(bench / "other.json")
    assert place["depth_mm"] == pytest.approx(float(other.depth_mm(place["x_mm"], place["y_mm"])), abs=1e-3)
    assert main([*ask, "--fits", "viola", "--for", "cello", "--to", str(bench / "cello.json")]) == 0
    assert read_seat(bench / "cello.json").title.startswith("copied, adapted from")
    copy, other = read_seat(bench / "copy.json"), read_seat(bench / "other.json")
    assert float(copy.depth_mm(90, 180)) == pytest.approx(float(other.depth_mm(-90, 180)), abs=1e-9)
    assert float(copy.depth_mm(90, 180)) > float(copy.depth_mm(-90, 180)) + 1.0


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["sheet", "SEAT", "--bar-height-mm", "60", "--to", "x.txt"], "--to"),
        (["sheet", "SEAT", "--bar-height-mm", "sixty", "--to", "x.csv"], "--bar-height-mm"),
        (["sheet", "SEAT", "--bar-height-mm", "60", "--rests-mm", "5", "--to", "x.csv"], "--rests-mm"),
        (["sheet", "SEAT", "--bar-height-mm", "60", "--stage", "1.5", "--to", "x.csv"], "stage"),
        (["sheet", "SEAT", "--bar-height-mm", "60", "--units", "ft", "--to", "x.csv"], "--units"),
        (["check", "SEAT", "none.csv"], "no such file"),
        (["save", "SEAT"], "cut"),
        (["save", "SEAT", "--gouge", "1,2,3"], "--gouge"),
        (["copy", "none.csv", "--to", "x.json"], "no such file"),
        (["copy", "none.csv", "--to", "x.json", "--for", "cello"], "--fits, --for"),
    ],
)
def test_refusals_exit_2_and_name_what_was_given(bench, capsys, monkeypatch, words, named):
    monkeypatch.chdir(bench)
    assert main(["gauge", *(str(bench / "seat.json") if w == "SEAT" else w for w in words)]) == 2
    captured = capsys.readouterr()
    assert named in captured.err
    assert captured.out == ""
    assert not (bench / "x.csv").exists()
