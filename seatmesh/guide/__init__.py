"""The guide: chapters in Markdown, one file a topic, for the terminal, the service and readers of the source."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources

from seatmesh.errors import UnknownKeyError

ORDER = ("first-seat", "bench", "second-chair", "python", "http", "model", "sources")
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
    UnknownKeyError
        There is no such topic; the error names the nearest one.
    """
    if topic not in ORDER:
        raise UnknownKeyError(topic, ORDER, "guide")
    text = resources.files(__name__).joinpath(f"{topic}.md").read_text(encoding="utf-8")
    return Chapter(topic, text.partition("\n")[0].lstrip("# ").strip(), text)
