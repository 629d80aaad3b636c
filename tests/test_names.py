"""Names of folders and files: readable in any script, and taken by every usual file system.

Outside sources: Microsoft, "Naming Files, Paths, and Namespaces" (reserved names and signs, trailing dots and blanks);
POSIX.1-2017, 3.282 (hyphen first); NAME_MAX of 255 bytes (limits.h); Unicode Standard Annex 15 (NFC) and 9 (marks
that turn the direction); RFC 8187 for saved names is tested with the service.
"""

from __future__ import annotations

import os
import re
import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from seatmesh.files.names import (
    MOST_BYTES,
    as_one_name,
    folder_name,
    is_one_line,
    same_title,
    scale_word,
    told_apart,
    with_words,
    word,
    words,
)

RELIED_ON = {
    "Anna's chair": "anna-s-chair",
    "violin 1": "violin-1",
    "quartet": "quartet",
    "Grandma's chair / No. 2": "grandma-s-chair-no-2",
    "": "seat",
    "???": "seat",
}
READABLE = {
    "Fauteuil de Zoë nº 3": "fauteuil-de-zoë-nº-3",
    "Καρέκλα της Ελένης": "καρέκλα-της-ελένης",
    "Стул для Анны": "стул-для-анны",
    "כִּסֵּא של דנה": "כִּסֵּא-של-דנה",
    "كرسي ليلى": "كرسي-ليلى",
    "कुर्सी नंबर २": "कुर्सी-नंबर-२",
    "เก้าอี้ของสมชาย": "เก้าอี้ของสมชาย",
    "安娜的椅子": "安娜的椅子",
    "アンナ　チェア": "アンナ-チェア",
    "안나의 의자": "안나의-의자",
    "🎻": "violin",
    "🇩🇪 stool": "de-stool",
}
TRICKY = {
    "CON": "con-seat",
    "nul.": "nul-seat",
    "Com¹": "com¹-seat",
    "Service": "service-seat",
    "mock-up": "mock-up-seat",
    "../../etc": "etc",
    "-rf": "rf",
    ".hidden": "hidden",
    "chair. . ": "chair",
    "a\u202eb\u200b\ufeffc": "abc",
    "a\0b\tc\nd": "a-b-c-d",
    "می\u200cرو": "میرو",
    "\u0301a": "a",
    "half \ud800 pair": "half-pair",
}


@pytest.mark.parametrize(
    ("title", "name"), [*RELIED_ON.items(), *READABLE.items(), *TRICKY.items()], ids=ascii
)
def test_names_of_titles(title, name):
    assert folder_name(title) == unicodedata.normalize("NFC", name)


@given(st.text())
@example("İ" * 200)
@example("椅" * 100)
@example("z" + "\u0301" * 300)
@example("👩\u200d🎨" * 40)
@example("ﷺ" * 40)
def test_any_title_gives_a_name_that_any_file_system_takes(title):
    name = folder_name(title)
    assert 0 < len(name.encode()) <= MOST_BYTES
    assert name == unicodedata.normalize("NFC", name)
    assert all(c == "-" or unicodedata.category(c)[0] in "LMN" for c in name)
    assert not re.search(r"^-|-$|--", name)
    assert unicodedata.category(name[0])[0] != "M"
    assert re.fullmatch(r"con|prn|aux|nul|(com|lpt)[0-9¹²³]", name) is None
    assert folder_name(unicodedata.normalize("NFD", title)) == folder_name(
        unicodedata.normalize("NFC", title)
    )
    assert len(told_apart(name, title).encode()) <= MOST_BYTES


def test_a_name_is_cut_between_letters_and_tells_the_whole_title():
    long, longer = "เก้าอี้" * 30, "เก้าอี้" * 31
    names = {folder_name(long), folder_name(longer)}
    assert len(names) == 2
    for name in names:
        assert re.fullmatch(r"(เก้าอี้)*(เก้าอี|เก้าอี้|เก้า|เก้|เก|เ)?-[0-9a-f]{6}", name)
        assert len(name.encode()) > MOST_BYTES - 12


def test_names_that_a_file_system_takes_for_one():
    """NTFS, APFS and HFS+ mind no case, HFS+ stores accents apart; ß and final sigma fold (Unicode CaseFolding)."""
    for one, other in (
        ("Stuhl", "stuhl"),
        ("é", "e\u0301"),
        ("straße", "STRASSE"),
        ("σοφός", "ΣΟΦΌΣ"),
        ("ａ", "a"),
    ):
        assert as_one_name(one) == as_one_name(other)
    assert as_one_name("stuhl") != as_one_name("stühl")


def test_titles_are_the_same_letter_for_letter():
    assert same_title("Zoë ", "Zoe\u0308")
    assert not same_title("Anna", "anna")


def test_words_within_a_file_are_told_apart():
    assert words(["Anna!", "anna", "Eva", "?", "!"], "sitter") == [
        "anna",
        "anna-2",
        "eva",
        "sitter",
        "sitter-2",
    ]
    assert words(["a", "a", "a-2"], "sitter") == ["a", "a-2", "a-2-2"]
    assert word("violin 1") == "violin-1"


@pytest.mark.parametrize(
    ("factor", "name"), [(0.25, "1-4"), (1.0, "1-1"), (1 / 3, "1-3"), (2.0, "2-1"), (0.4, "1-2.5")]
)
def test_scales(factor, name):
    assert scale_word(factor) == name


def test_words_go_between_stem_and_suffix():
    assert with_words("sheets.pdf", "a3", "") == "sheets-a3.pdf"
    assert with_words("sheets.pdf", "", "") == "sheets.pdf"


def test_letters_that_this_machine_cannot_store(monkeypatch):
    monkeypatch.setattr(os, "fsencode", lambda name: name.encode("latin-1"))
    assert folder_name("Zoë") == "zoë"
    assert re.fullmatch(r"seat-[0-9a-f]{6}", folder_name("椅子"))
    assert folder_name("椅子") != folder_name("凳子")
    assert words(["椅"], "sitter") == ["sitter"]


@pytest.mark.parametrize("title", ["山田　太郎", "می\u200cرو", "क्\u200dष", "Zoë\u00a0!", "\u200eאנה", "a"])
def test_one_line(title):
    assert is_one_line(title)


@pytest.mark.parametrize("title", ["a\nb", "a\u2028b", "a\tb", "a\u202eb", "a\u2066b", "a\0", "\ud800"])
def test_not_one_line(title):
    assert not is_one_line(title)
