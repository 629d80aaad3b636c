"""The one package that is carried: as it comes from its registry, unminified, and served without anything else."""

import hashlib
from pathlib import Path

PAGE = Path(__file__).parents[2] / "service" / "page"
THREE = PAGE / "vendor" / "three"


def test_files_are_those_whose_sums_are_stated():
    text = (THREE / "README.md").read_text()
    stated = dict(
        reversed(line.split()) for line in text.split("```text\n")[1].split("\n```")[0].splitlines()
    )
    found = {
        one.name: hashlib.sha256(one.read_bytes()).hexdigest()
        for one in THREE.iterdir()
        if one.name != "README.md"
    }
    assert found == stated


def test_nothing_is_minified_or_inline():
    for path in PAGE.rglob("*.js"):
        lines = path.read_text().splitlines()
        assert len(lines) > 10
        assert sum(map(len, lines)) / len(lines) < 100, path
    html = (PAGE / "index.html").read_text()
    assert "<style" not in html
    assert "style=" not in html
    assert html.count("<script") == html.count('<script type="module" src="page/')
