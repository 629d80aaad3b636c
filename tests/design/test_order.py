"""Orders: what is read, what is refused, and in which words."""

import pytest

from seatmesh import InputError, read_order
from seatmesh.design.orders.order import order_from_table

SITTER = '[[sitter]]\nbody = "cello"\n'


def order(tmp_path, text):
    path = tmp_path / "chair.toml"
    path.write_text(text, encoding="utf-8")
    return read_order(path)


def test_only_a_sitter_is_needed(tmp_path):
    made = order(tmp_path, SITTER)
    assert made.title == "chair"
    assert made.blank.width_mm == 480.0
    assert made.wishes.depth_mm == 18.0
    assert made.sitters[0].body.name == "cello"


def test_lengths_may_be_inches_with_fractions(tmp_path):
    made = order(tmp_path, SITTER + "[blank]\nwidth_mm = '19 1/2\"'\nthickness_mm = '1 3/4 in'\n")
    assert made.blank.width_mm == pytest.approx(495.3)
    assert made.blank.thickness_mm == pytest.approx(44.45)


def test_a_body_file_beside_the_order_comes_first(tmp_path):
    (tmp_path / "cello").write_text('sex = "male"\nstature_mm = 1800\nmass_kg = 80\n', encoding="utf-8")
    assert order(tmp_path, SITTER).sitters[0].body.value("stature_mm") == 1800.0


def test_a_body_may_be_written_out(tmp_path):
    text = '[[sitter]]\nname = "Nan"\nweight = 2\nbody = {sex = "female", stature_mm = 1640, mass_kg = 61}\n'
    made = order(tmp_path, text)
    assert made.sitters[0].body.name == "Nan"
    assert made.sitters[0].weight == 2.0


def test_folder_names_are_plain(tmp_path):
    made = order(tmp_path, 'title = "Grandma\'s chair / No. 2"\n' + SITTER)
    assert made.folder_name == "grandma-s-chair-no-2"


REFUSED = {
    "": "sitter",
    SITTER + "[blank]\nwidht_mm = 480\n": "width_mm",
    SITTER + "[wish]\n": "wishes",
    SITTER + "[wishes]\npomel_mm = 4\n": "pommel_mm",
    SITTER + 'colour = "red"\n': "colour",
    SITTER + "[blank]\nwidth_mm = nan\n": "width_mm",
    SITTER + "[blank]\nwidth_mm = inf\n": "width_mm",
    SITTER + "[blank]\nwidth_mm = -480\n": "200 to 900",
    SITTER + "[blank]\nwidth_mm = 18.5\n": "looks like inches",
    SITTER + "[blank]\nwidth_mm = 48\n": "looks like centimetres",
    SITTER + "[blank]\nwidth_mm = 0.48\n": "looks like metres",
    SITTER + "[blank]\nwidth_mm = true\n": "width_mm",
    SITTER + "[blank]\nwidth_mm = [480]\n": "width_mm",
    SITTER + "[blank]\nthickness_mm = 30\n": "floor_mm 20 plus depth_mm 18",
    SITTER
    + "[blank]\nfloor_mm = 60\n": "floor_mm = 60: at most thickness_mm 45 less depth_mm 18; give floor_mm = 27",
    # No floor that is advised would be too thin to sit on, nor refused in its turn.
    SITTER + "[blank]\nthickness_mm = 19\n": "at least floor_mm 20 plus depth_mm 18; give thickness_mm = 38",
    SITTER + "[blank]\nwidth_mm = 360\n": "hip breadth of 'cello'",
    SITTER + '[blank]\noutline = "rownd"\n': "rounded",
    SITTER + "[blank]\ncorner_radius_mm = 250\n": "half",
    SITTER + "[wishes]\ndepth_mm = 6\npommel_mm = 9\n": "pommel",
    SITTER + "[wishes]\ndepth_mm = 10\nfront_roll_mm = 60\n": "front_roll_mm",
    SITTER + "[chair]\nrake_deg = 40\n": "rake_deg",
    "blank = 3\n" + SITTER: "table",
    'units = "cm"\n' + SITTER: "units",
    "title = 7\n" + SITTER: "title",
    'title = "a\\u0007"\n' + SITTER: "title",
    '[[sitter]]\nbody = "celo"\n': "cello",
    '[[sitter]]\nbody = "no/such.toml"\n': "does not exist",
    "[[sitter]]\nbody = 4\n": "body",
    '[[sitter]]\nname = "x"\n': "body",
    '[[sitter]]\nbody = "cello"\nweight = 0\n': "weight",
    '[[sitter]]\nbody = "cello"\nwieght = 1\n': "weight",
    "sitter = 3\n": "sitter",
    SITTER * 13: "at most 12",
    '[[sitter]]\nbody = {sex = "female", stature_mm = 1.7, mass_kg = 61}\n': "metres",
    '[[sitter]]\nbody = {sex = "female", stature_mm = 68, mass_kg = 61}\n': "inches",
    '[[sitter]]\nbody = {sex = "female", mass_kg = 61}\n': "stature_mm",
    "this is not TOML": "TOML",
}


@pytest.mark.parametrize("text", REFUSED)
def test_refused_in_one_line_that_says_what(tmp_path, text):
    with pytest.raises(InputError) as refusal:
        order(tmp_path, text)
    words = str(refusal.value)
    assert REFUSED[text] in words
    assert "\n" not in words


def test_a_body_file_in_an_orders_place_is_recognised(tmp_path):
    path = tmp_path / "anna.toml"
    path.write_text('name = "Anna"\nstature_mm = 1640\nmass_kg = 61\n')
    with pytest.raises(InputError, match=r"these are a body's measures: name this file in an order"):
        read_order(path)


def test_a_missing_file_a_folder_and_a_huge_file(tmp_path):
    with pytest.raises(InputError, match="there is no such file"):
        read_order(tmp_path / "none.toml")
    with pytest.raises(InputError, match="folder"):
        read_order(tmp_path)
    huge = tmp_path / "huge.toml"
    huge.write_bytes(b"#" * 2_000_000)
    with pytest.raises(InputError, match="bytes"):
        read_order(huge)


def test_an_order_from_outside_reads_no_files(tmp_path):
    (tmp_path / "own.toml").write_text("stature_mm = 1800\nmass_kg = 80\n", encoding="utf-8")
    with pytest.raises(InputError):
        order_from_table({"sitter": [{"body": str(tmp_path / "own.toml")}]}, "order", "seat", None)
    assert (
        order_from_table({"sitter": [{"body": "viola"}]}, "order", "seat", None).sitters[0].body.name
        == "viola"
    )
