"""Keys of a TOML text, looked at before it is read.

The reader takes time with the square of the parts of a key: 150,000 of them, `a.a.a...`, take minutes. Quoted parts
with escaped quotes count too, so texts are taken out first as the reader sees them. Each pattern passes over the text
once.
"""

from __future__ import annotations

import re

from seatmesh.errors import FileRefusedError

MOST_PARTS = 8
MOST_LONG_KEYS = 5000
"""Keys of three parts and more; fractions and times of day have two."""
TEXT = re.compile(
    rb'"""(?:[^\\"]++|\\.|"(?!""))*+(?:"{3,5}+)?'
    rb"|'''(?:[^']++|'(?!''))*+(?:'{3,5}+)?"
    rb'|"(?:[^"\\\n]++|\\[^\n])*+"?'
    rb"|'[^'\n]*+'?"
    rb"|#[^\n]*+",
    re.DOTALL,
)
LONG_KEY = re.compile(rb"""(?<![\w-])(?:[\w-]++|")(?:[ \t]*+\.[ \t]*+(?:[\w-]++|")){2,}+""")


def refuse_long_keys(data: bytes) -> None:
    """Refuse a TOML text whose keys take long to read.

    Raises
    ------
    FileRefusedError
        A key has more than eight parts, or very many have three and more.
    """
    bare = TEXT.sub(lambda found: b"" if found[0].startswith(b"#") else b'"', data)
    for number, found in enumerate(LONG_KEY.finditer(bare), start=1):
        if found[0].count(b".") >= MOST_PARTS:
            raise FileRefusedError(
                f"the order has a key of more than {MOST_PARTS} parts; write it as a few flat tables."
            )
        if number > MOST_LONG_KEYS:
            raise FileRefusedError(
                f"the order has more than {MOST_LONG_KEYS} keys of three parts and more; write it as flat tables."
            )
