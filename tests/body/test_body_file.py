"""Body files: what is read, what is refused, and the files that come with the tool."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from seatmesh.body import body_file, make_bodies
from seatmesh.body.body import Body, Habit, Measure
from seatmesh.body.body_file import bodies_folder, body_from_table, body_toml, read_body
from seatmesh.body.make_bodies import QUARTET, Player
from seatmesh.body.survey.estimate import estimate_body
from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, UnknownKeyError, ValueRefusedError

NEEDED = {"stature_mm": 1650, "mass_kg": 62}


def read(table: dict[str, Any]) -> Body:
    return body_from_table({**NEEDED, **table}, "body file 'a.toml'", "a")


def put(folder: Path, text: str, name: str = "a.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_reads_a_whole_file(tmp_path: Path) -> None:
    body = read_body(
        put(
            tmp_path,
            """
            name = "violin 1"
            sex = "female"
            stature_mm = '5 cm'
            mass_kg = 62
            popliteal_height_mm = '15 3/4"'
            hip_breadth_sitting_mm = "39.5 cm"
            sit_bone_spacing_mm = 118.5
            [standard_errors]
            popliteal_height_mm = '1/8"'
            mass_kg = 0.5
            sit_bone_spacing_mm = 3
            [habit]
            splay_deg = 14
            forward_mm = '1"'
            """.replace("'5 cm'", '"165 cm"'),
        )
    )
    assert (body.name, body.sex) == ("violin 1", "female")
    assert body.measures["stature_mm"] == Measure(1650.0, 6.0, "measured")
    assert body.measures["mass_kg"] == Measure(62.0, 0.5, "measured")
    assert body.measures["popliteal_height_mm"] == Measure(400.05, 3.175, "measured")
    assert body.measures["hip_breadth_sitting_mm"] == Measure(395.0, 6.0, "measured")
    assert body.measures["sit_bone_spacing_mm"] == Measure(118.5, 3.0, "given")
    assert body.habit == Habit(splay_deg=14.0, pelvis_tilt_deg=0.0, forward_mm=25.4)


def test_the_rest_is_what_estimate_body_makes_of_it() -> None:
    body = read(
        {"sex": "male", "hip_breadth_sitting_mm": 371, "standard_errors": {"hip_breadth_sitting_mm": 9}}
    )
    same = estimate_body("male", 1650, 62, hip_breadth_sitting_mm=Measure(371.0, 9.0, "measured"))
    assert body.measures == same.measures
    assert body.notes == same.notes


def test_name_and_sex_may_be_left_out(tmp_path: Path) -> None:
    body = read_body(put(tmp_path, "stature_mm = 1650\nmass_kg = 62\n", "my aunt.toml"))
    assert (body.name, body.sex, body.habit) == ("my aunt", None, Habit())
    assert body.measures["hip_breadth_sitting_mm"].interval_90 is not None


@pytest.mark.parametrize(("missing", "todo"), [("stature_mm", "measure"), ("mass_kg", "weigh")])
def test_stature_and_mass_have_to_be_there(missing: str, todo: str) -> None:
    table = {key: value for key, value in NEEDED.items() if key != missing}
    with pytest.raises(MissingKeyError, match=rf"^body file 'a\.toml': '{missing}' is missing; {todo}"):
        body_from_table(table, "body file 'a.toml'", "a")


REFUSED = [
    ({"popliteal_heigth_mm": 400}, UnknownKeyError, "did you mean 'popliteal_height_mm'"),
    ({"weight": 62}, UnknownKeyError, "unknown key 'weight'"),
    ({"habit": {"splay": 5}}, UnknownKeyError, "[habit]: unknown key 'splay'; did you mean 'splay_deg'"),
    (
        {"standard_errors": {"mass": 1}},
        UnknownKeyError,
        "[standard_errors]: unknown key 'mass'; did you mean 'mass_kg'",
    ),
    ({"standard_errors": {"popliteal_height_mm": 3}}, MissingKeyError, "'popliteal_height_mm' is missing"),
    ({"standard_errors": {"mass_kg": -1}}, ValueRefusedError, "standard error of mass_kg = -1"),
    ({"standard_errors": 3}, ValueRefusedError, "write [standard_errors]"),
    ({"habit": []}, ValueRefusedError, "write [habit]"),
    ({"habit": {"splay_deg": 60}}, ValueRefusedError, "allowed are -10 to 45 deg"),
    ({"habit": {"splay_deg": "wide"}}, ValueRefusedError, "splay_deg = 'wide'"),
    ({"habit": {"pelvis_tilt_deg": float("nan")}}, ValueRefusedError, "pelvis_tilt_deg = nan"),
    ({"habit": {"forward_mm": '10"'}}, ValueRefusedError, "allowed are -80 to 150 mm"),
    ({"sex": "f"}, ValueRefusedError, 'allowed are "male" and "female"'),
    ({"sex": 1}, ValueRefusedError, 'allowed are "male" and "female"'),
    ({"name": ""}, ValueRefusedError, "give a short name"),
    ({"name": "  "}, ValueRefusedError, "give a short name"),
    ({"name": "a\nb"}, ValueRefusedError, "give a short name"),
    ({"name": "a" * 81}, ValueRefusedError, "give a short name"),
    ({"name": 3}, ValueRefusedError, "give a short name"),
    ({"mass_kg": "62 kilos"}, ValueRefusedError, "mass_kg = '62 kilos'"),
    ({"stature_mm": "tall"}, ValueRefusedError, "stature_mm = 'tall'"),
    ({"stature_mm": 1.65}, ValueRefusedError, "1.65 looks like metres; give 1650"),
    ({"stature_mm": "1.65"}, ValueRefusedError, "1.65 looks like metres; give 1650"),
    ({"stature_mm": [1650]}, ValueRefusedError, "stature_mm = [1650]"),
]


@pytest.mark.parametrize(("change", "error", "told"), REFUSED)
def test_refuses_what_a_body_file_may_not_say(
    change: dict[str, Any], error: type[InputError], told: str
) -> None:
    with pytest.raises(error) as refused:
        read(change)
    assert told in str(refused.value)


@pytest.mark.parametrize("text", ["stature_mm = ", "\x00", "[" * 50_000])
def test_a_file_that_is_no_toml_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(FileRefusedError, match=r"^body file "):
        read_body(put(tmp_path, text))


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileRefusedError, match="there is no such file"):
        read_body(tmp_path / "nobody.toml")


@pytest.mark.parametrize("name", ["violin 1", 'the "big" chair \\ 2', "Zoë, 5′", "#1"])
def test_what_is_written_reads_back(tmp_path: Path, name: str) -> None:
    measures = {"stature_mm": 1650.25, "mass_kg": 62.1, "popliteal_height_mm": 401}
    habit = Habit(7.5, -3.0, 20.0)
    text = body_toml(name, "female", measures, habit, ("invented", "two lines"))
    assert text.startswith("# invented\n# two lines\nname = ")
    body = read_body(put(tmp_path, text))
    assert (body.name, body.sex, body.habit) == (name, "female", habit)
    assert {key: body.value(key) for key in measures} == measures
    assert "sex" not in body_toml(name, None, measures)


def test_files_of_the_tool_are_what_their_maker_writes(tmp_path: Path) -> None:
    folder = bodies_folder()
    assert make_bodies.main([str(tmp_path)]) == 0
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert len(made) == 10
    assert {name: (folder / name).read_bytes() for name in made} == made


def test_files_of_the_tool_read_without_a_note() -> None:
    bodies = {path.stem: read_body(path) for path in sorted(bodies_folder().glob("*.toml"))}
    assert {"violin-1", "violin-2", "viola", "cello", "woman-p05", "man-p95"} <= set(bodies)
    (note,) = bodies["viola"].notes
    assert note.startswith("112 kg (247 lb) make a body mass index of 36. ")
    assert all(body.notes == () for name, body in bodies.items() if name != "viola")
    assert [bodies[name].name for name in ("violin-1", "violin-2", "viola", "cello")] == [
        "violin 1",
        "violin 2",
        "viola",
        "cello",
    ]
    assert bodies["woman-p50"].name == "woman, 50th percentile"
    assert (bodies["cello"].habit.forward_mm, bodies["cello"].habit.splay_deg) == (25.0, 14.0)


def test_the_quartet_is_of_clearly_different_build() -> None:
    bodies = [
        read_body(bodies_folder() / f"{name}.toml") for name in ("violin-1", "violin-2", "viola", "cello")
    ]
    index = [body.value("mass_kg") / (body.value("stature_mm") / 1000) ** 2 for body in bodies]
    assert sorted(body.value("stature_mm") for body in bodies)[-1] > 1.2 * bodies[0].value("stature_mm")
    assert max(index) > 1.6 * min(index)
    assert all(sum(m.origin == "measured" for m in body.measures.values()) in (4, 5) for body in bodies)


@pytest.mark.parametrize("player", QUARTET, ids=lambda one: one.instrument)
def test_what_a_player_is_said_to_be_taped_at_goes_with_the_build(player: Player) -> None:
    expected = estimate_body(player.sex, player.stature_mm, player.mass_kg).measures
    for name, value in player.taped.items():
        assert abs(value - expected[name].value) < expected[name].standard_error


def test_percentiles_rise() -> None:
    for who in ("woman", "man"):
        low, middle, high = (read_body(bodies_folder() / f"{who}-p{p}.toml") for p in ("05", "50", "95"))
        for name in middle.measures:
            if name not in ("sit_bone_spacing_mm", "underside_flatness_percent"):  # follow neither
                assert low.value(name) < middle.value(name) < high.value(name)


def test_folder_beside_the_package_or_in_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    package = tmp_path / "seatmesh"
    (package / "body").mkdir(parents=True)
    monkeypatch.setattr(body_file, "__file__", str(package / "body" / "body_file.py"))
    with pytest.raises(FileRefusedError, match="no folder 'bodies'"):
        bodies_folder()
    (tmp_path / "bodies").mkdir()
    assert bodies_folder() == tmp_path / "bodies"
    (package / "bodies").mkdir()
    assert bodies_folder() == package / "bodies"


def test_a_folder_without_leave_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert make_bodies.main([str(tmp_path / "file" / "bodies")]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_every_refusal_is_an_input_error() -> None:
    for _, error, _ in REFUSED:
        assert issubclass(error, InputError)
    assert isinstance(bodies_folder(), Path)


def test_measures_are_read_in_feet_pounds_and_stones_and_with_a_decimal_comma(tmp_path) -> None:
    """1 lb = 0.45359237 kg, 1 in = 25.4 mm (international yard and pound, 1959)."""
    path = tmp_path / "anna.toml"
    path.write_text(
        'stature_mm = "5\' 6 1/2\\""\nmass_kg = "12 st"\npopliteal_height_mm = "41,5 cm"\n'
        '[standard_errors]\nmass_kg = "2 lb"\n',
        encoding="utf-8",
    )
    body = read_body(path)
    assert body.value("stature_mm") == pytest.approx(1689.1)
    assert body.value("mass_kg") == pytest.approx(168 * 0.45359237)
    assert body.value("popliteal_height_mm") == pytest.approx(415.0)
    assert body.measures["mass_kg"].standard_error == pytest.approx(2 * 0.45359237)
