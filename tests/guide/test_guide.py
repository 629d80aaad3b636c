"""The guide is shown by the command and by the service, refuses what it does not have, and is true: its blocks run."""

import contextlib
import io
import json
import re
from pathlib import Path

import pytest
from seatmesh_service.app import create_app

from seatmesh.cli import main
from seatmesh.cli.parser import build_parser
from seatmesh.errors import UnknownKeyError
from seatmesh.fit.wished.characters import CHARACTERS
from seatmesh.guide import ORDER, chapter, chapters, picture, picture_names

from .run_chapter import blocks, check_shown, commands, is_like, run_blocks

SHOP = ("first-seat", "wood", "bench", "second-chair", "people")
"""The chapters that build on one another, in one folder."""
LARGEST_PICTURE = 150_000
VERBS = (
    "", "demo", "shape", "sit", "mesh", "mock-up", "sheets", "read", "gauge check", "gauge save", "gauge copy",
    "gauge sheet", "adjust", "marks", "measures", "keys", "serve", "guide", "wood", "people",
)  # fmt: skip


def test_every_file_is_a_chapter_with_a_title():
    assert [one.topic for one in chapters()] == list(ORDER)
    assert all(one.title and one.text.startswith("# ") for one in chapters())


def test_an_unknown_topic_is_refused_with_the_nearest():
    with pytest.raises(UnknownKeyError, match="did you mean 'bench'"):
        chapter("bnech")


def test_the_command_lists_and_shows(capsys):
    assert main(["guide"]) == 0
    listed = capsys.readouterr().out
    assert all(topic in listed for topic in ORDER)
    assert main(["guide", "sources"]) == 0
    assert capsys.readouterr().out.strip() == chapter("sources").text.strip()
    assert main(["guide", "sources", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Sources"
    assert main(["guide", "nothing-like-it"]) == 2


def test_every_picture_that_is_shown_exists_and_is_small():
    shown = {
        name for one in chapters() for name in re.findall(r"^!\[[^\]]+\]\(pictures/(.+)\)$", one.text, re.M)
    }
    assert shown == set(picture_names())
    for name in picture_names():
        assert picture(name).startswith(b"\x89PNG")
        assert len(picture(name)) < LARGEST_PICTURE, name


def test_an_unknown_picture_is_refused():
    with pytest.raises(UnknownKeyError, match=r"did you mean 'plan\.png'"):
        picture("plam.png")


def test_a_terminal_reads_what_a_picture_shows(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["guide", "first-seat"]) == 0
    shown = capsys.readouterr().out
    assert "Picture: Contact map" in shown
    assert "pictures/" not in shown


@pytest.mark.parametrize("topic", SHOP)
def test_every_command_of_the_shop_is_one_that_the_parser_takes(topic):
    typed = [command for block in blocks(topic) if block.kind == "sh" for command in commands(block)]
    assert len(typed) >= 2
    for program, *options in typed:
        assert program == "seatmesh"
        build_parser().parse_args(options)


def test_every_verb_and_option_that_the_guide_names_exists():
    help_of = {}
    for verb in VERBS:
        with pytest.raises(SystemExit), contextlib.redirect_stdout(io.StringIO()) as said:
            build_parser().parse_args([*verb.split(), "--help"])
        help_of[verb] = said.getvalue()
    everything = " ".join(help_of.values())
    for one in chapters():
        words = " ".join(re.findall(r"`([^`\n]+)`", one.text))
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]+", words):
            assert re.search(rf"{option}(?![\w-])", everything), (one.topic, option)
        for verb in re.findall(r"`seatmesh ([a-z-]+)", one.text):
            assert verb in help_of, (one.topic, verb)


def test_the_table_of_requests_names_every_path_of_the_service(tmp_path):
    named = {
        (
            method,
            path.replace(
                "/{id}",
                f"/{{{path.split('/')[1].removesuffix('es' if path.startswith('/batches') else 's')}_id}}",
            ),
        )
        for method, path in re.findall(r"`(GET|POST|PUT|DELETE) (/[^`?]*)[^`]*`", chapter("http").text)
        if not path.startswith("/v1")
    }
    document = create_app(tmp_path / "kept").openapi()
    there = {(method.upper(), path) for path, methods in document["paths"].items() for method in methods} | {
        ("GET", "/openapi.json"),
    }
    assert named == there


def test_what_a_chapter_shows_is_held_against_what_was_printed():
    said = "peak 12.4 kPa\nnothing else\n3 notes: a, b\n"
    check_shown("peak 12.5 kPa\n...\n3 notes: ...\n", said)
    for wrong in ("peak 14 kPa", "mean 12.4 kPa", "3 notes: a, b\npeak 12.4 kPa", "peak 12.4"):
        with pytest.raises(AssertionError, match="shown, but not printed"):
            check_shown(wrong, said)
    assert is_like("a  b 100", "a b 102")
    assert not is_like("a b 100", "a b 103")


def _ran(topic, folder):
    """Run a chapter of the shop once, and those before it first; return the files that are there then."""
    before = SHOP[: SHOP.index(topic)]
    if before:
        _ran(before[-1], folder)
    begun, done = folder / f".{topic}-begun", folder / f".{topic}-done"
    if not done.exists():
        assert not begun.exists(), f"the chapter {topic!r} did not run to its end; its own test says why"
        begun.touch()
        with contextlib.chdir(folder):
            run_blocks(topic)
        done.touch()
    return {one.relative_to(folder).as_posix() for one in folder.rglob("*")}


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return tmp_path_factory.mktemp("shop")


LEFT = {
    "first-seat": ("out/anna-s-chair/report.txt", "out/anna-s-chair/sheets/sheets.pdf", "anna-quarter.3mf"),
    "wood": ("out/anna-s-wood/wood/figure.png", "out/anna-s-wood/wood/record.toml", "next/anna-s-wood/seat.json"),
    "bench": ("anna-gauge.txt", "anna-map.png", "anna-saved.json", "anna-saved-too.json"),
    "second-chair": ("out/anna-s-chair/sheets/holes.csv", "copied.json", "read-back.json", "viola.json", "maps.png"),
    "people": ("guests.toml", "dining.toml", "sizes"),
}  # fmt: skip
"""Files that each chapter says it leaves."""


@pytest.mark.slow
@pytest.mark.parametrize("topic", SHOP)
def test_a_chapter_of_the_shop_runs_as_printed(topic, shop):
    assert set(LEFT[topic]) <= _ran(topic, shop)


@pytest.mark.slow
def test_the_table_of_results_names_every_file(shop):
    _ran("first-seat", shop)
    named = set(
        re.findall(
            r"`([\w.-]+\.\w+)`",
            chapter("first-seat").text.partition("| file | what it is |")[2].partition("\n\n")[0],
        )
    )
    made = {one.name for one in Path(shop, "out/anna-s-chair").iterdir() if one.is_file()}
    assert named - {"order.toml"} == made


@pytest.mark.slow
def test_the_chapter_on_form_runs_as_printed(tmp_path):
    with contextlib.chdir(tmp_path):
        run_blocks("form")
    assert (tmp_path / "out" / "form" / "report.txt").exists()


def test_the_chapter_on_form_names_every_character():
    told = chapter("form").text
    for one in CHARACTERS:
        assert f"| {one.name} |" in told


def test_the_python_chapter_runs_as_printed(tmp_path):
    with contextlib.chdir(tmp_path):
        run_blocks("python")
    assert {"seat.json", "anna-mm.stl", "gauge.csv", "sheets.pdf", "holes.csv"} <= {
        one.name for one in tmp_path.iterdir()
    }


def test_every_block_is_one_that_somebody_runs():
    kinds = {topic: {one.kind for one in blocks(topic)} for topic in ORDER}
    assert (
        kinds["http"]
        == {
            "python",
            "sh",
        }
    )  # run against a service by tests/service/test_use_from_programs.py and document/test_generated_client.py
    assert kinds["model"] == kinds["sources"] == set()
    for topic in (*SHOP, "python"):
        assert kinds[topic] <= {"toml", "sh", "text", "python"}
        assert chapter(topic).text.count("```") == 2 * len(blocks(topic))
