"""The name that a file is saved under, in any script."""

from __future__ import annotations

import re
import unicodedata
from urllib.parse import quote

SPELLED = str.maketrans(
    {
        "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ł": "l", "Ł": "L", "đ": "d",
        "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ı": "i",
    }
)  # fmt: skip
"""Latin letters that Unicode does not take apart, as they are commonly spelled."""
NAMELESS = "seat"


def attachment(name: str) -> str:
    """Return the header that names a file to save: letters beyond ASCII as RFC 6266 and RFC 8187 write them.

    A client that does not know these gets what is left of the name in ASCII, and never bytes that it would read as
    Latin-1.
    """
    plain = _in_ascii(name)
    escaped = re.sub(r'([\\"])', r"\\\1", plain)
    if plain == name:
        return f'attachment; filename="{escaped}"'
    whole = name.encode("utf-8", "replace")
    return f"attachment; filename=\"{escaped}\"; filename*=UTF-8''{quote(whole, safe='')}"


def _in_ascii(name: str) -> str:
    if name.isascii() and name.isprintable():
        return name
    left = re.sub(r"[^\x20-\x7e]+", "", unicodedata.normalize("NFKD", name.translate(SPELLED)))
    joined = "-".join(part for part in left.split("-") if part)
    return NAMELESS + joined if not joined or joined.startswith(".") else joined
