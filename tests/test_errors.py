"""Refusals of words and keys: what was given, what is allowed, and a guess only where one is near."""

import pytest

from seatmesh.choices import one_of
from seatmesh.errors import NotAmongError, UnknownKeyError, UnknownWordError, nearest_to

CHARACTERS = ("shallow dish", "open bowl", "usual", "marked leg hollows")


@pytest.mark.parametrize(
    ("given", "names", "meant"),
    [
        # Half of the letters of "saddle" are in "usual", in order; nobody means one by the other.
        ("saddle", CHARACTERS, None), ("usul", CHARACTERS, "usual"), ("Usual", CHARACTERS, "usual"),
        ("open bowel", CHARACTERS, "open bowl"), ("deep", CHARACTERS, None), ("", CHARACTERS, None),
        ("teak", ("ash", "white oak"), None),
        # A unit left off, or a word of two.
        ("x", ("x_mm", "y_mm"), "x_mm"), ("leg", ("leg mortise", "back post"), "leg mortise"),
        ("deck", ("deck_mm", "deck_line"), "deck_mm"), ("plank", ("plank_width_mm", "plank_length_mm"), None),
        ("widht_mm", ("width_mm", "depth_mm"), "width_mm"), ("dsgnflkj", ("width_mm",), None),
    ],
)  # fmt: skip
def test_only_words_that_are_truly_near_are_guessed(given, names, meant):
    assert nearest_to(given, names) == meant


def test_a_word_is_refused_with_all_that_are_allowed_in_their_own_order():
    with pytest.raises(UnknownWordError) as refused:
        one_of("[wishes] character", "saddle", CHARACTERS)
    assert str(refused.value) == (
        "[wishes] character = 'saddle': "
        "allowed are shallow dish, open bowl, usual, marked leg hollows; choose one of them"
    )
    assert refused.value.nearest is None
    with pytest.raises(UnknownWordError, match=r"allowed are shallow dish, .*; did you mean 'usual'\?$"):
        one_of("[wishes] character", "usul", CHARACTERS)
    with pytest.raises(NotAmongError, match=r"character = 3: allowed are .*; choose one of them"):
        one_of("[wishes] character", 3, CHARACTERS)


def test_a_key_is_refused_with_the_near_one_or_with_all():
    assert str(UnknownKeyError("widht_mm", ["width_mm", "boards"], "[blank]")) == (
        "[blank]: unknown key 'widht_mm'; did you mean 'width_mm'?"
    )
    assert str(UnknownKeyError("seat", ["shoe_mm", "rake_deg"], "[chair]")) == (
        "[chair]: unknown key 'seat'; known are: rake_deg, shoe_mm."
    )


def test_what_few_words_there_are_is_guessed_too():
    assert str(NotAmongError("units", "'inn'", ("mm", "in"))).endswith(
        "allowed are mm, in; did you mean 'in'?"
    )
    assert str(NotAmongError("units", "'ells'", ("mm", "in"))).endswith(
        "allowed are mm, in; choose one of them"
    )


def test_a_long_or_broken_word_keeps_to_one_line():
    words = str(UnknownKeyError("a\nb" * 300, ["width_mm"], "[blank]"))
    assert "\n" not in words
    assert len(words) < 120
