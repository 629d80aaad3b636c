"""Run the blocks of a chapter one after another, as a reader types them, and check what they print.

A block of TOML is a file, or goes to the top or the end of one. A block of shell or Python is run. A block of text is
what the last one printed: each line that is shown must have been printed, in order, with its words as they are and its
numbers within 2 % or one unit of their last digit, since processors differ in the last bits. Three dots stand for
anything.
"""

import contextlib
import csv
import io
import re
import shlex
from dataclasses import dataclass
from pathlib import Path

from seatmesh import read_seat
from seatmesh.cli import main
from seatmesh.guide import chapter

FENCED = re.compile(r"^```(\w+)([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
CLOSE = 0.02
WOOD_LEFT_MM = 1.0
"""What the invented maker has still to take, all over the hollow, when the bar is laid on it."""


@dataclass(frozen=True)
class Block:
    """A fenced block: its kind, what else stands on its first line, and its lines."""

    kind: str
    words: tuple[str, ...]
    text: str


def blocks(topic):
    """Return the fenced blocks of a chapter."""
    found = FENCED.findall(chapter(topic).text)
    return [Block(kind, tuple(words.split()), text) for kind, words, text in found]


def commands(block):
    """Return the commands of a block of shell, each as its list of words."""
    return [shlex.split(line) for line in block.text.splitlines()]


def run_blocks(topic):
    """Run a chapter in the working directory; raise where a command fails or says other than is shown."""
    said, names = "", {}
    for block in blocks(topic):
        if block.kind == "toml":
            write(block)
        elif block.kind == "text":
            check_shown(block.text, said)
        elif block.kind == "python":
            said = printed_by(lambda block=block: exec(block.text, names))
        elif block.kind == "sh":
            said = "".join(run(command) for command in commands(block))
        else:
            raise AssertionError(f"{topic}: nobody runs a block of {block.kind!r}")


def write(block):
    """Do with a block of TOML what its first line says: a new file, or lines at the end or the top of one."""
    name, *where = block.words
    file = Path(name)
    if not where:
        file.write_text(block.text, encoding="utf-8")
        return
    old = file.read_text(encoding="utf-8")
    new = {"append": f"{old}\n{block.text}", "top": f"{block.text}\n{old}"}[where[0]]
    file.write_text(new, encoding="utf-8")


def run(command):
    """Run one command as the terminal does; return what it prints, on both streams."""
    program, *options = command
    assert program == "seatmesh", command
    said = printed_by(lambda: check_done(command, main(options)))
    if options[:2] == ["gauge", "sheet"]:
        type_readings(Path(options[options.index("--to") + 1]))
    return said


def check_done(command, code):
    """Raise where a command ended with a code other than 0."""
    assert code == 0, command


def printed_by(act):
    """Return what is printed while something is done."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
        try:
            act()
        except AssertionError as error:
            raise AssertionError(f"{error}\n{printed.getvalue()}") from error
    return printed.getvalue()


def type_readings(file):
    """Do the maker's part: type into a sheet what the gauge reads on Anna's seat while it is being carved."""
    seat = read_seat("out/anna-s-chair/seat.json")
    with file.open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    for row in rows:
        depth = float(seat.depth_mm(float(row["x_mm"]), float(row["y_mm"])))
        row["reading_mm"] = f"{float(row['datum_mm']) + max(depth - WOOD_LEFT_MM, 0.0):.1f}"
    with file.open("w", encoding="utf-8", newline="") as text:
        sheet = csv.DictWriter(text, rows[0].keys(), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(rows)


def check_shown(shown, said):
    """Raise where a shown line was not printed after the one before it."""
    lines = iter(said.splitlines())
    for line in shown.splitlines():
        if line.strip() in ("", "..."):
            continue
        assert any(is_like(line, other) for other in lines), (
            f"shown, but not printed:\n{line}\nprinted:\n{said}"
        )


def is_like(shown, said):
    """Tell whether a printed line has the words of the shown one, and its numbers nearly."""
    shown, said = " ".join(shown.split()), " ".join(said.split())
    words = [re.escape(part).replace(re.escape("..."), ".*") for part in NUMBER.split(shown)]
    found = re.fullmatch(f"({NUMBER.pattern})".join(words), said)
    return found is not None and all(map(are_near, NUMBER.findall(shown), found.groups()))


def are_near(shown, said):
    """Tell whether two printed numbers are one within the bounds above."""
    last_digit = 10.0 ** -len(shown.partition(".")[2])
    return abs(float(shown) - float(said)) <= max(CLOSE * float(shown), last_digit) * (1 + 1e-9)
