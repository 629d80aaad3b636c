"""How many pages a maker prints for a seat: `python tests/verification/page_counts.py [PAPER ...]`.

The quartet's four seats and the shared one, in mm and in inches, with and without depth holes; the PDFs are those of
`seatmesh sheets` as it stands and are counted by a library that did not write them. All is printed, nothing asserted.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
from pathlib import Path

import pypdfium2

from seatmesh.cli import main
from seatmesh.design.demo import demo_orders

PAPERS = {"mm": "A4", "in": "Letter"}


def counted(folder: Path) -> dict[str, int]:
    """Return the pages of every PDF below a folder, by its name."""
    return {path.name: len(pypdfium2.PdfDocument(path)) for path in sorted(folder.rglob("*.pdf"))}


def sheets_of_order(text: str, folder: Path, arguments: list[str]) -> dict[str, int]:
    """Return the pages of what the command makes of an order."""
    folder.mkdir()
    order = folder / "order.toml"
    order.write_text(text, encoding="utf-8")
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        code = main(["sheets", str(order), "--out", str(folder / "out"), *arguments])
    if code != 0:
        raise SystemExit(f"the sheets were refused with {code}")
    return counted(folder)


def run(papers: list[str]) -> None:
    """Print one line for each order, unit and way to carve."""
    with tempfile.TemporaryDirectory(prefix="seatmesh-pages-") as folder:
        for name, (text, _) in demo_orders().items():
            for units in ("mm", "in"):
                for paper in papers or [PAPERS[units]]:
                    for holes in ([], ["--depth-holes"]):
                        spoken = text.replace('units = "mm"', f'units = "{units}"')
                        at = Path(folder) / f"{name}-{units}-{paper.replace(':', '-')}{len(holes)}"
                        pages = sheets_of_order(spoken, at, ["--paper", paper, "--format", "pdf", *holes])
                        each = ", ".join(f"{one} {count}" for one, count in pages.items())
                        kind = "with holes" if holes else "first seat"
                        sys.stdout.write(
                            f"{name:<9} {units} {paper:<7} {kind}: {sum(pages.values()):>3}  ({each})\n"
                        )


if __name__ == "__main__":
    run(sys.argv[1:])
