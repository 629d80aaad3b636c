"""The guide: chapters in Markdown, one file a topic, for the terminal, the service and readers of the source.

The chapters show pictures that the tool drew; these lie in `pictures/`.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable

from seatmesh.errors import UnknownWordError

ORDER = (
    "first-seat",
    "form",
    "wood",
    "bench",
    "second-chair",
    "people",
    "python",
    "http",
    "model",
    "sources",
)
"""The topics in the order in which a newcomer reads them."""


@dataclass(frozen=True)
class Chapter:
    """One topic of the guide.

    Attributes
    ----------
    topic
        The name that it is asked for by.
    title
        Its first heading.
    text
        The whole chapter in Markdown.
    """

    topic: str
    title: str
    text: str


def chapters() -> tuple[Chapter, ...]:
    """Return all chapters in the order of reading."""
    return tuple(chapter(topic) for topic in ORDER)


def chapter(topic: str) -> Chapter:
    """Return one chapter.

    Raises
    ------
    UnknownWordError
        There is no such topic; the error names the nearest one.
    """
    if topic not in ORDER:
        raise UnknownWordError(topic, ORDER, "guide topic")
    text = resources.files(__name__).joinpath(f"{topic}.md").read_text(encoding="utf-8")
    return Chapter(topic, text.partition("\n")[0].lstrip("# ").strip(), text)


def picture_names() -> tuple[str, ...]:
    """Return the names of the pictures that the chapters show."""
    return tuple(sorted(one.name for one in _pictures().iterdir() if one.name.endswith(".png")))


def picture(name: str) -> bytes:
    """Return a picture of the guide as PNG.

    Raises
    ------
    UnknownWordError
        There is no such picture; the error names the nearest one.
    """
    names = picture_names()
    if name not in names:
        raise UnknownWordError(name, names, "picture of the guide")
    return _pictures().joinpath(name).read_bytes()


def _pictures() -> Traversable:
    return resources.files(__name__).joinpath("pictures")
