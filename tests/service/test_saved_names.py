"""Names that files are saved under, in any script.

RFC 6266, 4.1 and 5 (both names; a client takes filename* where it knows it); RFC 8187, 3.2 (UTF-8, percent-encoded).
The second reader is the standard library's, `email.message`, which decodes RFC 2231's form of the same.
"""

from email.message import Message
from urllib.parse import unquote

import pytest
from seatmesh_service.answers import attachment

from .conftest import ORDER


@pytest.mark.parametrize("title", ["安娜的椅子", "Dvořákova židle"])
def test_a_file_is_saved_under_its_seat_s_own_name(client, title):
    seat = client.post("/seats", json={**ORDER, "title": title}).json()["id"]
    header = client.get(f"/seats/{seat}/depths.csv").headers["content-disposition"]
    assert header.isascii()
    message = Message()
    message["Content-Disposition"] = header.replace(
        header[header.index(" filename=") : header.index(" filename*")], ""
    )
    assert message.get_filename() == f"{title.lower().replace(' ', '-')}-depths-mm.csv"


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("dvořákova-židle.toml", "dvorakova-zidle.toml"),
        ("椅-depths-mm.csv", "depths-mm.csv"),
        ("søren-großstuhl.stl", "soren-grossstuhl.stl"),
        ("łoś.pdf", "los.pdf"),
        ("椅子.toml", "seat.toml"),
        ("стул-mm.stl", "mm.stl"),
        ("كرسي.csv", "seat.csv"),
        ("कुर्सी-mm.stl", "mm.stl"),
        ("🪑.stl", "seat.stl"),
    ],
)
def test_an_older_client_gets_what_is_left_in_ascii(name, plain):
    header = attachment(name)
    assert header.startswith(f'attachment; filename="{plain}"; filename*=')
    # What is all ASCII reads alike in Latin-1, in which older clients take headers.
    assert header.encode("ascii").decode("latin-1") == header
    assert unquote(header.rpartition("''")[2]) == name


def test_a_plain_name_stays_plain():
    assert attachment("viola-1-4-mm.stl") == 'attachment; filename="viola-1-4-mm.stl"'


def test_a_name_that_begins_a_formula_is_text_in_the_table(client):
    """OWASP, "CSV Injection": a cell that begins with = is run by whoever opens the table."""
    body = {"name": "=1+1", "sex": "female", "stature_mm": 1640, "mass_kg": 61}
    seat = client.post("/seats", json=ORDER).json()["id"]
    answer = client.post(f"/seats/{seat}/contact-maps?format=csv", json={"bodies": [body]})
    lines = answer.text.splitlines()
    assert lines[0] == "body,x_mm,y_mm,pressure_kpa"
    assert len(lines) > 100
    assert {line.split(",")[0].strip('"') for line in lines[1:]} == {"'=1+1"}
    assert min(float(line.split(",")[1]) for line in lines[1:]) < -50.0
