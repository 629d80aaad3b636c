"""`seatmesh guide`: the chapters of the guide, in the terminal."""

from __future__ import annotations

import argparse
import re
import sys

from seatmesh.cli.output import print_json, print_text
from seatmesh.guide import Chapter, chapter, chapters

WIDEST = 100
"""Longer lines are hard to read, however wide the terminal is."""
PICTURE = re.compile(r"^!\[([^\]]*)\]\([^)]*\)$", re.MULTILINE)


def run(options: argparse.Namespace) -> None:
    """Print a chapter, or the list of them."""
    if options.topic is None:
        _list(options.json)
    elif options.json:
        one = chapter(options.topic)
        print_json({"topic": one.topic, "title": one.title, "markdown": one.text})
    else:
        _show(chapter(options.topic))


def _list(as_json: bool) -> None:
    all_of_them = chapters()
    if as_json:
        print_json({"topics": [{"topic": one.topic, "title": one.title} for one in all_of_them]})
        return
    width = max(len(one.topic) for one in all_of_them)
    lines = [f"  {one.topic:<{width}}  {one.title}" for one in all_of_them]
    print_text("\n".join(["The guide has these topics; read one with `seatmesh guide TOPIC`:", "", *lines]))


def _show(one: Chapter) -> None:
    """Print a chapter: laid out on a terminal, as its Markdown elsewhere."""
    if not sys.stdout.isatty():
        print_text(one.text)
        return
    from rich.console import Console
    from rich.markdown import Markdown

    console = Console()
    console.print(Markdown(_pictures_in_words(one.text)), width=min(console.width, WIDEST))


def _pictures_in_words(markdown: str) -> str:
    """Return a chapter in which a terminal reads what each picture shows, and where it is."""
    return PICTURE.sub(r"*Picture: \1 (`/guide` of `seatmesh serve` shows it).*", markdown)
