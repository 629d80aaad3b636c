"""The fitting log in the text of an order file: what is put in and taken out again leaves every other byte alone."""

import tomllib

import pytest

from seatmesh import InputError
from seatmesh.design.log.log_edit import with_entry, with_lock, without_last

ENTRY = {
    "date": "2026-05-31",
    "action": "deepen",
    "x_mm": 60.0,
    "y_mm": 150.0,
    "radius_mm": 40.0,
    "amount_mm": '1/16"',
    "why": 'a "hard" place \\ left',
}
ORDER = '# mine\ntitle = "x"   # keep\n\n[[sitter]]\nbody = "viola"\n'
OTHER = (
    '[[adjustment]]\n  action = "ease"\n  x_mm = 0\ny_mm = 200\nradius_mm = 50\namount_mm = 1\n# after it\n'
)
TEXTS = {
    "plain": ORDER,
    "no line end": ORDER.rstrip("\n"),
    "blank lines": ORDER + "\n\n",
    "Windows lines": ORDER.replace("\n", "\r\n"),
    "byte-order mark": "\ufeff" + ORDER,
    "another entry": ORDER + OTHER,
    "empty": "",
}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_undo_restores_the_same_bytes(text):
    once = with_entry(text, ENTRY)
    twice = with_entry(once, {**ENTRY, "y_mm": 210.5})
    log = tomllib.loads(twice.removeprefix("\ufeff"))["adjustment"]
    assert log[-2]["why"] == ENTRY["why"]
    assert log[-1]["y_mm"] == 210.5
    assert str(log[-1]["date"]) == "2026-05-31"
    count = len(log)
    assert without_last(twice) == (once, count)
    assert without_last(once) == (text, count - 1)


def test_what_is_locked_stays():
    text = with_entry(with_entry(ORDER, ENTRY), {**ENTRY, "y_mm": 210.5})
    locked = with_lock(text, 2, True)
    assert tomllib.loads(locked)["adjustment"][1]["locked"] is True
    shorter, number = without_last(locked)
    assert number == 1
    assert [one["y_mm"] for one in tomllib.loads(shorter)["adjustment"]] == [210.5]
    assert with_lock(locked, 2, False) == text
    assert with_lock(text, 2, False) == text
    with pytest.raises(InputError, match="all are locked"):
        without_last(shorter)


def test_an_entry_between_other_tables_is_cut_out_alone():
    text = f'{ORDER}{OTHER}[wishes]\ndepth_mm = 12 # "[[adjustment]]"\n'
    shorter, _ = without_last(text)
    assert shorter == f'{ORDER}# after it\n[wishes]\ndepth_mm = 12 # "[[adjustment]]"\n'


@pytest.mark.parametrize(
    ("text", "edit", "word"),
    [
        (ORDER, without_last, "the order has none"),
        (ORDER, lambda text: with_lock(text, 1, True), "the order has none"),
        (ORDER + OTHER, lambda text: with_lock(text, 2, True), "the order has 1"),
        ('adjustment = [{action = "ease"}]\n' + ORDER, lambda text: with_entry(text, ENTRY), "by hand"),
        ('adjustment = [{action = "ease"}]\n' + ORDER, without_last, "by hand"),
        ("title = ", lambda text: with_entry(text, ENTRY), "not TOML"),
        (ORDER, lambda text: with_entry(text, {**ENTRY, "why": "two\nlines"}), "not TOML"),
    ],
)
def test_refused_in_words(text, edit, word):
    with pytest.raises(InputError, match=word):
        edit(text)


def test_a_header_inside_a_long_text_does_not_mislead():
    text = f'{ORDER}{OTHER}[[mark]]\nname = """\n[[adjustment]]\nlocked = 1\n"""\n'
    with pytest.raises(InputError, match="cannot be changed"):
        with_lock(text + OTHER, 2, True)
