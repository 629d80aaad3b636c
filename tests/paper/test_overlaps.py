"""The reader that finds words over words and over lines finds them, and only them."""

from __future__ import annotations

from overlaps import overlaps_on
from read_back import pages

from seatmesh.paper.drawing import Drawing, DrawingLayer, Look, Words, line
from seatmesh.paper.grounds import grounded
from seatmesh.paper.page import Page, View
from seatmesh.paper.pdf_file import pdf_bytes

CROSSED = DrawingLayer("line", Look(0.2), (line([(10.0, 51.0), (90.0, 51.0)]),))


def found(drawing: Drawing):
    window = (0.0, 0.0, 100.0, 100.0)
    return overlaps_on(
        pages(pdf_bytes((Page("p", 100.0, 100.0, (View(drawing, window, (0.0, 0.0)),)),), "x"))[0]
    )


def words(*items: Words) -> DrawingLayer:
    return DrawingLayer("words", Look(0.2), items)


def test_words_over_a_line_and_over_words_are_found() -> None:
    one, other = Words("twelve", (40.0, 50.0)), Words("thirteen", (45.0, 50.5))
    (line_found,) = found(Drawing("d", (CROSSED, words(one))))
    assert line_found.text == "twelve"
    assert line_found.over.startswith("a line")
    assert any(one.over.startswith("words") for one in found(Drawing("d", (words(one, other),))))


def test_a_ground_hides_the_line_and_words_apart_are_let_be() -> None:
    apart = Words("turned", (70.0, 20.0), turn_deg=90.0)
    drawing = Drawing("d", (words(Words("twelve", (40.0, 50.0)), apart), CROSSED))
    assert len(found(drawing)) == 1
    assert found(grounded(drawing)) == []


def test_words_outside_a_window_are_not_written() -> None:
    far = Drawing("d", (words(Words("nowhere", (40.0, -20.0)), Words("here", (40.0, 50.0))),))
    page = Page("p", 100.0, 100.0, (View(far, (0.0, 0.0, 100.0, 80.0), (0.0, 20.0)),))
    text = pages(pdf_bytes((page,), "x"))[0].get_textpage().get_text_bounded()
    assert text.strip() == "here"
