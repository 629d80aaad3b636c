"""The README's own examples: its body, its order and its Python block work as printed."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from seatmesh import read_body, read_order

README = Path(__file__).parents[1] / "README.md"


def blocks(kind):
    return re.findall(rf"```{kind}\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("readme")
    body, order, fitting, *_ = blocks("toml")
    (folder / "anna.toml").write_text(body, encoding="utf-8")
    (folder / "anna-chair.toml").write_text(order, encoding="utf-8")
    stages, tables = fitting.split("\n", 1)
    (folder / "fitted.toml").write_text(f"{stages}\n{order}\n{tables}", encoding="utf-8")
    return folder


def test_body_and_order_are_read(folder):
    assert read_body(folder / "anna.toml").value("hip_breadth_sitting_mm") == pytest.approx(377.8, abs=0.1)
    assert read_order(folder / "anna-chair.toml").sitters[0].body.name == "Anna"


def test_the_order_of_a_fitting_is_read(folder):
    fitted = read_order(folder / "fitted.toml")
    assert fitted.stages == (0.5, 0.8)
    assert fitted.tools[0].radius_mm == 150.0
    ((_, mark),) = fitted.sitters[0].marks
    assert (mark.x_mm, mark.y_mm) == (-58.0, pytest.approx(147.6, abs=0.1))


def test_the_python_block_prints_a_peak(folder):
    block, _ = blocks("python")
    done = subprocess.run(
        [sys.executable, "-c", block], cwd=folder, capture_output=True, text=True, check=True
    )
    assert re.fullmatch(r"\d+ kPa over 1 cm2\n", done.stdout)


def test_every_command_named_exists():
    from seatmesh.cli.parser import build_parser

    named = set(re.findall(r"^seatmesh ([a-z-]+)", "\n".join(blocks("sh")), re.MULTILINE))
    assert named >= {"measures", "shape", "sit", "mesh", "mock-up", "read"}
    for name in named:
        with pytest.raises(SystemExit) as ended:
            build_parser().parse_args([name, "--help"])
        assert ended.value.code == 0
