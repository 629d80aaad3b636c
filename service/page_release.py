"""The page as it is given out: its files, one name for all of them together, and what its first step needs."""

from __future__ import annotations

import hashlib
import mimetypes
import re
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from .page_joined import joined, path_from, taken_out, taking_from, without_comments
from .tasks.plain import packed

FOLDER = Path(__file__).resolve().parent / "page"
INDEX = "index.html"
ENTRY = "steps.js"
BEGINNING = (ENTRY, "sitters/step.js")
"""The modules that a maker who opens the page waits for; the first is run by the page alone, so it is never joined."""
TEXTS = ("text/", "application/json", "image/svg")
OWN_TYPES = {".js": "text/javascript", ".mjs": "text/javascript", ".css": "text/css", ".woff2": "font/woff2",
             ".svg": "image/svg+xml", ".json": "application/json", ".html": "text/html", ".map": "application/json",
             ".webmanifest": "application/manifest+json", ".ico": "image/x-icon"}  # fmt: skip
SCRIPT, SHEET = "first.js", "first.css"
SHEET_LINK = re.compile(r'<link rel="stylesheet" href="page/([^"]+)">\n')
IMPORT = re.compile(r'^(?:import|export)\b[^"();]*"(\.{1,2}/[^"]+)";', re.MULTILINE)
AHEAD = re.compile(rb'<link rel="preload"[^>]*>\n')
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
        """Return the page itself: it names its files by the release, so that browsers need not ask for them again."""
        given = self.files.get(INDEX)
        if given is None:
            return None
        named = OWN_FILE.sub(rf'\1="page/{self.name}/', given.data.decode())
        return PageFile(named.encode(), given.media_type, True)

    @cached_property
    def index_with_token(self) -> PageFile | None:
        """Return the page where a token is asked for: it fetches nothing ahead that would be refused without one."""
        if self.index is None:
            return None
        return PageFile(AHEAD.sub(b"", self.index.data), self.index.media_type, True)


@cache
def release_of(folder: Path) -> Release:
    """Read the page's files, once; what begins with a dot is none of them."""
    found = (one for one in sorted(folder.rglob("*")) if one.is_file() and not one.name.startswith("."))
    files = gathered({one.relative_to(folder).as_posix(): _page_file(one) for one in found})
    whole = "".join(f"{name} {one.tag}\n" for name, one in files.items())
    return Release(files, hashlib.blake2b(whole.encode(), digest_size=8).hexdigest())


def gathered(files: dict[str, PageFile]) -> dict[str, PageFile]:
    """Return the files with what the page opens with in one script and one sheet, and both named in the head.

    Modules that cannot be joined are named in the head one by one: a browser fetches them together, not one after the
    other as it reads who needs whom.
    """
    if INDEX not in files:
        return files
    made = files | (opening := _opening(files))
    early = [one for one in (ENTRY, SCRIPT, *BEGINNING[1:]) if one in made]
    early = early if opening else needed_by(files, *BEGINNING)
    index = files[INDEX].data.decode()
    sheets = [one for one in SHEET_LINK.findall(index) if one in files]
    if sheets:
        made[SHEET] = _text("\n".join(files[one].data.decode() for one in sheets), ".css")
        here = index.index('<link rel="stylesheet"')
        others = SHEET_LINK.sub("", index)
        index = f'{others[:here]}<link rel="stylesheet" href="page/{SHEET}">\n{others[here:]}'
    head = [f'<link rel="modulepreload" href="page/{one}">\n' for one in early]
    made[INDEX] = _text(index.replace("</head>", f"{''.join(head)}</head>", 1), ".html")
    return made


def _opening(files: dict[str, PageFile]) -> dict[str, PageFile]:
    """Return the modules that the page opens with as they are given out, joined; none where they cannot be."""
    texts = {one: files[one].data.decode() for one in needed_by(files, *BEGINNING)}
    begun = taking_from(ENTRY, texts.pop(ENTRY), SCRIPT) if ENTRY in texts else None
    whole = joined(texts) if begun is not None and texts else None
    if begun is None or whole is None:
        return {}
    apart = {one: _text(taken_out(one, text, SCRIPT), ".js") for one, text in texts.items()}
    return {**apart, ENTRY: _text(begun, ".js"), SCRIPT: _text(without_comments(whole), ".js")}


def needed_by(files: dict[str, PageFile], *names: str) -> list[str]:
    """Return the modules that some modules import, with themselves, as far as there are such files."""
    found = dict.fromkeys(one for one in names if one in files)
    to_read = list(found)
    while to_read:
        here = to_read.pop(0)
        for path in IMPORT.findall(files[here].data.decode()):
            name = path_from(here, path)
            if name in files and name not in found:
                found[name] = None
                to_read.append(name)
    return list(found)


def _page_file(path: Path) -> PageFile:
    return _of(path.read_bytes(), path.name)


def _text(text: str, name: str) -> PageFile:
    return _of(text.encode(), name)


def _of(data: bytes, name: str) -> PageFile:
    kind = (
        OWN_TYPES.get(Path(f"a{name}").suffix) or mimetypes.guess_type(name)[0] or "application/octet-stream"
    )
    words = f"{kind}; charset=utf-8" if kind.startswith("text/") else kind
    return PageFile(data, words, kind.startswith(TEXTS))
