"""Names of folders and files: readable in any script, and taken by every usual file system.

Everything that the project names after a title, a sitter, a scale or a paper is named here. A name holds small letters
and digits of any script, hyphens between them, and nothing else, so that it needs no quoting, stands on no list of
devices and ends in no dot or space. What such a name drops may make two titles one: `told_apart` gives the second of
them a name of its own, and `as_one_name` says which names one file system or another takes for the same.
"""

from __future__ import annotations

import hashlib
import os
import unicodedata

MOST_BYTES = 120
"""Of a name from a title, in UTF-8. Usual file systems take 255; scale, part and suffix of a file's name follow it."""
MOST_WORD_BYTES = 60
"""Of a sitter's name or the like within the name of a file."""
USUAL = "seat"

_DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    "clock",
    *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)),
}
"""Windows keeps these for devices, with any suffix (Microsoft, "Naming Files, Paths, and Namespaces")."""
_TAKEN = {"service", "mock-up"}
"""Folders of `out/` that hold no seat: of the service, and of mock-ups from before they lay with their seat."""

# Default_Ignorable_Code_Point of the Unicode Character Database, as far as it is not category Cf (from memory).
_UNSEEN = {0x34F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x180F, 0x3164, 0xFFA0}
_UNSEEN |= {*range(0x180B, 0x180E), *range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0)}
_JOINERS = "\u200c\u200d\u200e\u200f\u061c"
"""Zero-width non-joiner and joiner; left-to-right, right-to-left and Arabic letter mark (Unicode Standard, 23.2)."""
_FLAGS = range(0x1F1E6, 0x1F200)
"""Letters that emoji write flags of: two make a country's code."""


def folder_name(title: str) -> str:
    """Return a title as the name of a folder: small letters and digits of its own script, hyphens for the rest.

    Emoji and other signs are spelled out by their Unicode name. A name too long is cut, and ends in six digits that
    stand for the whole title. The same title gives the same name, and two titles seldom one; see `told_apart`.
    """
    name = _plain(title)
    if len(name.encode()) > MOST_BYTES:
        return told_apart(name, title)
    if not _can_be_stored(name):
        return told_apart(USUAL, title)
    key = as_one_name(name)
    return f"{name}-{USUAL}" if key in _DEVICES or key in _TAKEN else name or USUAL


def told_apart(name: str, title: str) -> str:
    """Return a name that is the title's own: the name, and six hexadecimal digits of the title's hash."""
    name = name if _can_be_stored(name) else USUAL
    mark = hashlib.sha256(unicodedata.normalize("NFC", title).encode("utf-8", "surrogatepass")).hexdigest()[
        :6
    ]
    return f"{_cut(name, MOST_BYTES - len(mark) - 1) or USUAL}-{mark}"


def word(text: str) -> str:
    """Return a short text, such as a sitter's name, as part of the name of a file; nothing where nothing is left."""
    plain = _cut(_plain(text), MOST_WORD_BYTES)
    return plain if _can_be_stored(plain) else ""


def words(texts: list[str], usual: str) -> list[str]:
    """Return each text as `word`, `usual` where nothing is left of it, with a number where two would be one."""
    out: list[str] = []
    taken: set[str] = set()
    for text in texts:
        plain = word(text) or usual
        choices = (plain if n == 1 else f"{plain}-{n}" for n in range(1, len(texts) + 1))
        out.append(next(one for one in choices if as_one_name(one) not in taken))
        taken.add(as_one_name(out[-1]))
    return out


def scale_word(factor: float) -> str:
    """Return a scale as part of a name: 1-4 for 0.25, 1-1 for full size, 2-1 for twice it."""
    return f"1-{1.0 / factor:.6g}" if factor <= 1.0 else f"{factor:.6g}-1"


def with_words(name: str, *more: str) -> str:
    """Return the name of a file with words between its stem and its suffix: sheets.pdf, a3 is sheets-a3.pdf."""
    stem, dot, suffix = name.rpartition(".")
    return "-".join((stem, *(one for one in more if one))) + dot + suffix


def as_one_name(name: str) -> str:
    """Return what two names share that some file system takes for one: case and forms of letters left out."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())


def is_one_line(text: str) -> bool:
    """Tell whether text stands on one line and shows what it is.

    Blanks of any script are allowed, and the unseen signs that some scripts cannot do without: joiners, and marks of
    the direction of one sign. Line ends, control signs and what turns the direction of all that follows are not.
    """
    return all(sign.isprintable() or sign in _JOINERS or unicodedata.category(sign) == "Zs" for sign in text)


def same_title(one: str, other: str) -> bool:
    """Tell whether two titles are the same to a reader: letter for letter, however their accents are stored."""
    return unicodedata.normalize("NFC", one).strip() == unicodedata.normalize("NFC", other).strip()


def _can_be_stored(name: str) -> bool:
    """Tell whether this machine's file names have all the letters; those of some old set-ups have not."""
    try:
        os.fsencode(name)
    except UnicodeEncodeError:
        return False
    return True


def _plain(text: str) -> str:
    out = ""
    for letter in unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).lower()):
        kind = unicodedata.category(letter)
        if ord(letter) in _UNSEEN or kind in ("Cf", "Me"):
            continue
        if kind[0] in "LN" or (kind[0] == "M" and out and out[-1] != "-"):
            out += letter
        elif ord(letter) in _FLAGS:
            out += chr(ord("a") + ord(letter) - _FLAGS.start)
        elif kind == "So":
            out += f"-{_spelled(letter)}-"
        else:
            out += "-"
    return "-".join(part for part in out.split("-") if part)


def _spelled(sign: str) -> str:
    name = unicodedata.name(sign, "").lower()
    return "".join(letter if letter.isalnum() else "-" for letter in name)


def _cut(name: str, most_bytes: int) -> str:
    """Return as much of a name as fits, whole letters with their accents and vowel signs."""
    if len(name.encode()) <= most_bytes:
        return name
    end = len(name.encode()[:most_bytes].decode("utf-8", "ignore"))
    while end > 0 and unicodedata.category(name[end])[0] == "M":
        end -= 1
    return name[:end].strip("-")
