"""The page as it is given out: its files, one name for all of them together, and what its first step needs."""

from __future__ import annotations

import hashlib
import mimetypes
import re
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from posixpath import dirname, join, normpath

from .tasks.plain import packed

FOLDER = Path(__file__).resolve().parent / "page"
INDEX = "index.html"
BEGINNING = ("steps.js", "sitters/step.js")
"""The modules that a maker who opens the page waits for."""
TEXTS = ("text/", "application/json", "image/svg")
OWN_TYPES = {".js": "text/javascript", ".mjs": "text/javascript", ".css": "text/css", ".woff2": "font/woff2",
             ".svg": "image/svg+xml", ".json": "application/json", ".html": "text/html", ".map": "application/json",
             ".webmanifest": "application/manifest+json", ".ico": "image/x-icon"}  # fmt: skip
IMPORT = re.compile(r'^(?:import|export)\b[^"();]*"(\.{1,2}/[^"]+)";', re.MULTILINE)
OWN_FILE = re.compile(r'\b(href|src)="page/')


@dataclass(frozen=True)
class PageFile:
    """A file of the page: its bytes, media type, whether it is text, and its hash."""

    data: bytes
    media_type: str
    is_text: bool

    @cached_property
    def tag(self) -> str:
        """Return the hash of its bytes."""
        return hashlib.blake2b(self.data, digest_size=16).hexdigest()

    @cached_property
    def packed(self) -> bytes:
        """Return its bytes packed, which is done once."""
        return packed(self.data)


@dataclass(frozen=True)
class Release:
    """All files of the page by their paths, and a name that is another one as soon as any of them is."""

    files: dict[str, PageFile]
    name: str

    @cached_property
    def index(self) -> PageFile | None:
        """Return the page itself: it names its files by the release, so that browsers need not ask for them again.

        The modules of the first step are named in its head; a browser fetches them together, not one after the other as
        it reads who needs whom.
        """
        given = self.files.get(INDEX)
        if given is None:
            return None
        early = "".join(
            f'<link rel="modulepreload" href="page/{one}">\n' for one in self.needed_by(*BEGINNING)
        )
        text = given.data.decode().replace("</head>", f"{early}</head>", 1)
        named = OWN_FILE.sub(rf'\1="page/{self.name}/', text)
        return PageFile(named.encode(), given.media_type, True)

    def needed_by(self, *names: str) -> list[str]:
        """Return the modules that some modules import, with themselves, as far as there are such files."""
        found = dict.fromkeys(one for one in names if one in self.files)
        to_read = list(found)
        while to_read:
            here = to_read.pop(0)
            for path in IMPORT.findall(self.files[here].data.decode()):
                name = normpath(join(dirname(here), path))
                if name in self.files and name not in found:
                    found[name] = None
                    to_read.append(name)
        return list(found)


@cache
def release_of(folder: Path) -> Release:
    """Read the page's files, once; what begins with a dot is none of them."""
    found = (one for one in sorted(folder.rglob("*")) if one.is_file() and not one.name.startswith("."))
    files = {one.relative_to(folder).as_posix(): _page_file(one) for one in found}
    whole = "".join(f"{name} {one.tag}\n" for name, one in files.items())
    return Release(files, hashlib.blake2b(whole.encode(), digest_size=8).hexdigest())


def _page_file(path: Path) -> PageFile:
    kind = OWN_TYPES.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    words = f"{kind}; charset=utf-8" if kind.startswith("text/") else kind
    return PageFile(path.read_bytes(), words, kind.startswith(TEXTS))
