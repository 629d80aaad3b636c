"""Sheets with readings typed in: either unit, partial; and every refusal names its line."""

import pytest

from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, UnknownKeyError
from seatmesh.gauge.readings.readings_file import as_read, parse_readings, read_readings, readings_from_tables
from seatmesh.gauge.readings.several_files import read_several

HEAD = "point,x_mm,y_mm,expected_mm,reading_mm\n"


def test_either_unit_is_read():
    rows = parse_readings(HEAD + '1,-25,100,80,"3 3/16"""\n2,25,100,80,3.1875 in\n3,0,100,80,80.9625\n')
    assert [row.reading_mm for row in rows] == pytest.approx([80.9625] * 3)
    unquoted = parse_readings(HEAD + '1,-25,100,80,3 3/16"\n')
    assert unquoted[0].reading_mm == pytest.approx(80.9625)


def test_rows_know_their_line_and_may_be_partial():
    rows = parse_readings(HEAD + "1,-25,100,80,\n\n2,25,100,80,81\n")
    assert [(row.line, row.reading_mm) for row in rows] == [(2, None), (4, 81.0)]


def test_names_decide_not_the_order_and_semicolons_separate_too():
    rows = parse_readings("reading_mm;expected_mm;y_mm;x_mm;point\n81;80;100;-25;7\n")
    assert (rows[0].point, rows[0].x_mm, rows[0].expected_mm, rows[0].reading_mm) == (7, -25.0, 80.0, 81.0)


def test_tables_are_read_like_lines():
    rows = readings_from_tables(
        [
            {
                "point": 1,
                "x_mm": -25,
                "y_mm": 100,
                "expected_mm": 80,
                "reading_mm": '3 3/16"',
                "left_proud_mm": 0.5,
            }
        ]
    )
    assert rows[0].reading_mm == pytest.approx(80.9625)
    assert rows[0].left_proud_mm == 0.5


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("", MissingKeyError, "line 1"),
        ("point,x_mm,y_mm,expected_mm\n1,0,0,0\n", MissingKeyError, "reading_mm"),
        (HEAD.replace("reading_mm", "readnig_mm"), UnknownKeyError, "did you mean 'reading_mm'"),
        ("point,point,x_mm,y_mm,expected_mm,reading_mm\n", FileRefusedError, "twice"),
        (HEAD, FileRefusedError, "no crossings"),
        (HEAD + "1,-25,,80,81\n", MissingKeyError, "line 2: 'y_mm'"),
        (
            "point,x_mm,y_mm,reading_mm,confirmed\n1,-25,100,81,perhaps\n",
            InputError,
            "line 2, confirmed",
        ),
        ("point,x_mm,y_mm,reading_mm,confirmed\n1,-25,100,,1\n", MissingKeyError, "line 2: 'reading_mm'"),
        (HEAD + "1,-25,100,80,eighty\n", InputError, "line 2, reading_mm"),
        (HEAD + "1,-25,100,80,81,5\n", FileRefusedError, "line 2 has 6 fields"),
        (HEAD + "one,-25,100,80,81\n", InputError, "line 2, point"),
        (HEAD + "1,-25,100,80,81\n1,25,100,80,81\n", FileRefusedError, "line 3: point 1 stands on line 2"),
        (HEAD + "1,-25,100,80,81\n2,-25,100,80,81\n", FileRefusedError, "line 3: the place x -25"),
        (HEAD + "1,-25,100,80,1e9 mm\n", InputError, "line 2, reading_mm"),
        (HEAD + "1,-25,100,80,999999\n", InputError, "check its unit"),
        (
            "point,x_mm,y_mm,expected_mm,reading_mm,left_proud_mm\n1,-25,100,80,,80\n",
            InputError,
            "line 2, left_proud_mm",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_line(text, kind, words):
    with pytest.raises(kind, match=words.replace("(", r"\(")):
        parse_readings(text)


def test_a_missing_file_and_one_that_is_no_text_are_refused(tmp_path):
    with pytest.raises(FileRefusedError, match="no such file"):
        read_readings(tmp_path / "none.csv")
    (tmp_path / "x.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileRefusedError, match="UTF-8"):
        read_readings(tmp_path / "x.csv")


def test_unknown_keys_of_tables_are_refused():
    with pytest.raises(UnknownKeyError, match="reading_mm"):
        readings_from_tables([{"point": 1, "reading": 3}])


def test_a_crossing_may_be_read_again():
    twice = parse_readings(HEAD + "1,-25,100,80,81\n1,-25,100,80,81.3\n")
    assert [row.reading_mm for row in twice] == [81.0, 81.3]
    head = "point,x_mm,y_mm,reading_mm,placing,confirmed\n"
    (one,) = parse_readings(head + "1,-25,100,81,7,1\n")
    assert (one.placing, one.confirmed, one.expected_mm) == (7, True, None)
    assert [row.echo for row in as_read([one])] == [False, True]
    assert as_read(twice) == twice


def test_further_files_are_read_after_the_first(tmp_path):
    first, second = tmp_path / "a.csv", tmp_path / "b.csv"
    first.write_text(HEAD + "1,-25,100,80,81\n")
    second.write_text("point,x_mm,y_mm,reading_mm\n1,-25,100,81.2\n2,25,100,80\n")
    rows = read_several([first, second])
    assert [(row.point, row.source) for row in rows] == [(1, 0), (1, 1), (2, 1)]
    assert rows[1].place_in_file == f"line 2 of '{second}'"
    with pytest.raises(FileRefusedError, match="counts once"):
        read_several([first, first])
    second.write_text("point,x_mm,y_mm,reading_mm\n1,-30,100,81.2\n")
    with pytest.raises(FileRefusedError, match=r"line 2 of .*b.csv'.*stands on line 2 of .*a.csv'"):
        read_several([first, second])
