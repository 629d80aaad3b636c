"""The guide in the browser: the chapters that `seatmesh guide` prints, as pages."""

from __future__ import annotations

import html
import re
from functools import cache
from itertools import pairwise
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse, Response
from markdown_it import MarkdownIt

from seatmesh.errors import UnknownKeyError
from seatmesh.guide import chapter, chapters, picture

from ..answers import bytes_answer
from ..models.answers import got_page
from ..problems import ProblemError

router = APIRouter(tags=["service"])
Topic = Annotated[str, Path(description="a chapter that GET /guide lists", examples=["http"])]
HTML = "text/html; charset=utf-8"
PNG = "image/png"
FRAME = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<link rel="icon" href="{up}page/seat.svg" type="image/svg+xml">
<link rel="stylesheet" href="{up}page/sheet.css">
<link rel="stylesheet" href="{up}page/guide.css">
</head>
<body class="guide">
<nav aria-label="Guide"><p><a href="{up}./">The page</a></p><ul>{links}</ul></nav>
<main>
{body}
</main>
</body>
</html>
"""


@router.get(
    "/guide",
    operation_id="list_guide_chapters",
    response_class=HTMLResponse,
    responses=got_page("the list of chapters"),
)
async def guide(request: Request) -> Response:
    """Return the list of the guide's chapters as a page."""
    return bytes_answer(request, _list(), HTML, True)


@router.get(
    "/guide/{topic}",
    operation_id="get_guide_chapter",
    response_class=HTMLResponse,
    responses=got_page("the chapter", 404),
)
async def guide_chapter(request: Request, topic: Topic) -> Response:
    """Return a chapter of the guide as a page."""
    try:
        return bytes_answer(request, _chapter(topic), HTML, True)
    except UnknownKeyError as error:
        raise ProblemError(404, "There is no such chapter", str(error)) from error


@router.get("/guide/pictures/{name}", include_in_schema=False)
async def guide_picture(request: Request, name: str) -> Response:
    """Return a picture that a chapter shows."""
    try:
        return bytes_answer(request, picture(name), PNG, False)
    except UnknownKeyError as error:
        raise ProblemError(404, "There is no such picture", str(error)) from error


@cache
def _list() -> bytes:
    return _framed("The guide of seatmesh", "<h1>The guide</h1>\n<ul>" + _links("") + "</ul>", "")


@cache
def _chapter(topic: str) -> bytes:
    one = chapter(topic)
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    read = reader.parse(one.text)
    for opening, inside in pairwise(read):
        if opening.type == "heading_open":
            opening.attrSet("id", "-".join(re.findall(r"[a-z0-9]+", inside.content.lower())))
    words = reader.renderer.render(read, reader.options, {})
    return _framed(f"{one.title} · seatmesh", words, "../")


def _links(up: str) -> str:
    return "".join(
        f'<li><a href="{up}guide/{one.topic}">{html.escape(one.title)}</a></li>' for one in chapters()
    )


def _framed(title: str, body: str, up: str) -> bytes:
    """Return a page; `up` leads from it to the page's root, below whatever prefix a proxy serves it."""
    return FRAME.format(title=html.escape(title), links=_links(up), body=body, up=up).encode()
