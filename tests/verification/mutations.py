"""Are constants and signs held by tests? Change one at a time and run the neighbouring tests.

    python tests/verification/mutations.py [--count 150] [--seed 1] [--only PART_OF_A_LINE] [--jobs 1] [--list]

A number is moved by 4 % (a whole number by one), a sign is turned: ``+`` into ``-``, ``*`` into ``/`` and back.
Numbers in messages, indices, powers, tolerances of solvers, 0, 1 and 2, and numbers below a ten-thousandth, which
keep rounding out, are left alone: they hold no fact.

First the tests are run without any change, under coverage: those that fail then tell nothing, and it is learned which
test runs which line. Then each change is made to the text of one module as a process of its own imports it (the files
stay as they are). The quickest tests that run the changed line come first, since most changes fall there within a
second; what passes them meets all the tests beside the module. A change that none of them notices has survived.
Survivors that do no harm stand in `harmless_mutations.toml` with the reason; they are not drawn again.
"""

from __future__ import annotations

import argparse
import ast
import os
import pickle
import re
import signal
import sys
import tempfile
import tomllib
from collections import Counter, defaultdict
from dataclasses import dataclass
from importlib import import_module
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType

# Each process has a core for itself: threads of the linear algebra, which a fork inherits, would wait for one another.
for _threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")

import coverage
import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[2]
STEP = 1.04
LONGEST_S = 240
"""The tests beside a module take a minute at most: one that runs longer has noticed the change by never ending."""
QUICK_S = 6.0
"""How long the tests that run a changed line may take together before all others are asked as well."""
SLOW_TO_IMPORT = (
    "scipy.interpolate", "scipy.ndimage", "scipy.optimize", "scipy.sparse.linalg", "scipy.spatial.transform",
    "scipy.stats", "shapely", "hypothesis", "pytest_benchmark.plugin", "matplotlib.figure", "trimesh", "pydantic",
)  # fmt: skip
PYTEST = [
    "-q", "-x", "-p", "no:cacheprovider", "-p", "pytest_benchmark.plugin", "-m", "not slow and not browser",
    "-W", "ignore::pytest.PytestAssertRewriteWarning",
]  # fmt: skip
"""Other plugins stay away: to import them takes longer than most tests."""
CLOSED_FORMS = ["tests/verification/test_theory.py", "tests/teacher/test_law.py"]
NEIGHBOURS = {
    "seatmesh/body": ["tests/body", *CLOSED_FORMS, "tests/seating", "tests/marks", "tests/test_sources.py"],
    "seatmesh/tissue": ["tests/test_tissue.py", *CLOSED_FORMS, "tests/seating"],
    "seatmesh/contact": ["tests/test_contact.py", *CLOSED_FORMS, "tests/seating"],
    "seatmesh/seating": ["tests/seating", *CLOSED_FORMS, "tests/picture/test_contact_map.py"],
    "seatmesh/marks": ["tests/marks", "tests/design/test_marks_in_order.py", "tests/design/test_mark_keys.py"],
    "seatmesh/fit": ["tests/fit", "tests/design/test_wishes.py", "tests/design/test_wood_notes.py",
                     "tests/design/test_shared_seat.py"],
    "seatmesh/spline.py": ["tests/test_spline.py", "tests/fit"],
    "seatmesh/surface.py": ["tests/test_adjustment.py", "tests/test_solid.py", "tests/fit"],
    "seatmesh/front_roll.py": ["tests/fit/test_hollow.py", "tests/fit/test_bounds.py", "tests/test_solid.py"],
    "seatmesh/adjustment.py": ["tests/test_adjustment.py"],
    "seatmesh/wood/species.py": ["tests/test_sources.py", "tests/wood/test_species.py"],
    "seatmesh/wood/species_rows.py": ["tests/wood/test_species.py"],
    "seatmesh/wood/elastic_ratios.py": ["tests/wood/test_species.py", "tests/woodwork/test_floor.py"],
    "seatmesh/wood/boards": ["tests/wood", "tests/design/test_boards.py", "tests/woodwork/test_seat_wood.py",
                             "tests/woodwork/test_variants.py"],
    "seatmesh/woodwork/floor": ["tests/woodwork/test_floor.py"],
    "seatmesh/woodwork": [f"tests/woodwork/test_{name}.py" for name in (
        "way_to_cut", "variants", "seat_wood")] + ["tests/wood/test_movement.py"],
    "seatmesh/wood": ["tests/test_joint.py", "tests/test_joint_rings.py", "tests/test_deck_line_limits.py",
                      "tests/test_deck.py", "tests/test_outline_limits.py", "tests/test_outline_own.py",
                      "tests/test_outline_shapes.py",
                      "tests/test_sources.py", "tests/design/test_wood.py", "tests/fit/test_bounds.py",
                      "tests/solids/test_parts.py"],
    "seatmesh/gauge/bar": [f"tests/gauge/test_{name}.py" for name in (
        "placing", "seated", "bar_limits", "bar_report", "gauge_sheet", "check", "verdict", "cut_amounts")],
    "seatmesh/gauge/check": [f"tests/gauge/test_{name}.py" for name in (
        "field_limits", "outlier_limits", "fair", "further", "check_limits", "verdict_limits", "check", "verdict",
        "cut_amounts", "map_picture")],
    "seatmesh/gauge/copy": [f"tests/gauge/test_{name}.py" for name in (
        "copy_limits", "cut_wood_limits", "hollow_fit", "copy_words", "copy_error", "copy")],
    "seatmesh/gauge/readings": [f"tests/gauge/test_{name}.py" for name in (
        "plausible", "lie_limits", "repeats", "readings_file", "verdict", "check")],
    "seatmesh/gauge/save": ["tests/gauge/test_saving_limits.py", "tests/gauge/test_save.py"],
    "seatmesh/units": ["tests/test_units.py"],
}  # fmt: skip
"""Where the numeric modules are, and which tests stand next to them, the nearest first."""
SWAPS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}
SIGNS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
NO_FACT = (0, 1, 2, -1, 0.5)
LEAST_FACT = 1e-4
SOLVER_WORDS = (
    "TOLERANCE",
    "ITERATIONS",
    "STEPS",
    "MOST_",
    "LARGEST",
    "LONGEST",
    "NAMED",
    "ROUNDS",
    "DRAWS",
    "tolerance",
    "atol",
    "rtol",
)
"""Names of limits of work and of how finely a solver works: moved by 4 % they change no figure that is told."""


@dataclass(frozen=True)
class Mutation:
    """One change: where it stands, and the text before and after."""

    path: Path
    line: int
    start: int
    end: int
    before: str
    after: str

    @property
    def text(self) -> str:
        """The file's text after the change."""
        lines = (ROOT / self.path).read_text("utf-8").splitlines(keepends=True)
        row = lines[self.line - 1]
        lines[self.line - 1] = row[: self.start] + self.after + row[self.end :]
        return "".join(lines)

    @property
    def words(self) -> str:
        """Where and what, on one line."""
        return f"{self.path}:{self.line}: {self.before} -> {self.after}: {self.source.strip()}"

    @property
    def source(self) -> str:
        """The line before the change."""
        return (ROOT / self.path).read_text("utf-8").splitlines()[self.line - 1]


def mutations_of(path: Path) -> list[Mutation]:
    """Return every change that can be made in a file."""
    text = (ROOT / path).read_text("utf-8")
    lines = text.splitlines()
    found: list[Mutation] = []
    for node, parents in _walk(ast.parse(text), ()):
        if isinstance(node, ast.Constant) and _is_fact(node, parents):
            value = node.value
            after = repr(value + 1) if isinstance(value, int) else repr(value * STEP)
            start, end = _span(lines, node.lineno, node.col_offset, node.end_col_offset or 0)
            found.append(Mutation(path, node.lineno, start, end, lines[node.lineno - 1][start:end], after))
        elif isinstance(node, ast.BinOp) and type(node.op) in SWAPS and _is_sum(node, parents):
            between = _sign_between(lines, node)
            if between is not None:
                line, start = between
                found.append(
                    Mutation(path, line, start, start + 1, SIGNS[type(node.op)], SIGNS[SWAPS[type(node.op)]])
                )
    return found


def _walk(node: ast.AST, parents: tuple[ast.AST, ...]):
    yield node, parents
    for child in ast.iter_child_nodes(node):
        yield from _walk(child, (*parents, node))


def _is_fact(node: ast.Constant, parents: tuple[ast.AST, ...]) -> bool:
    if isinstance(node.value, bool) or not isinstance(node.value, int | float):
        return False
    if node.value in NO_FACT or abs(node.value) < LEAST_FACT:
        return False
    for parent in parents:
        power = isinstance(parent, ast.BinOp) and isinstance(parent.op, ast.Pow) and parent.right is node
        if power or isinstance(parent, ast.JoinedStr | ast.Subscript | ast.Raise | ast.Assert):
            return False
        if isinstance(parent, ast.Assign | ast.AnnAssign):
            targets = parent.targets if isinstance(parent, ast.Assign) else [parent.target]
            names = [one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)]
            if any(word in name for name in names for word in SOLVER_WORDS):
                return False
        if isinstance(parent, ast.keyword) and parent.arg and any(w in parent.arg for w in SOLVER_WORDS):
            return False
    # Shapes, axes and counts of loops are no facts either.
    return not (isinstance(node.value, int) and any(isinstance(one, ast.Call) for one in parents))


def _is_sum(node: ast.BinOp, parents: tuple[ast.AST, ...]) -> bool:
    texts = (ast.JoinedStr, ast.Raise)
    holds_text = any(
        isinstance(one, ast.JoinedStr) or (isinstance(one, ast.Constant) and isinstance(one.value, str))
        for one in ast.walk(node)
    )
    return not holds_text and not any(isinstance(one, (*texts, ast.Subscript)) for one in parents)


def _sign_between(lines: list[str], node: ast.BinOp) -> tuple[int, int] | None:
    """Return line and column of the sign of a binary operation, where it stands on one line with its operands."""
    left, right = node.left, node.right
    if left.end_lineno != right.lineno:
        return None
    row = lines[right.lineno - 1]
    begin = len(row.encode()[: left.end_col_offset].decode())
    until = len(row.encode()[: right.col_offset].decode())
    place = row.find(SIGNS[type(node.op)], begin, until)
    return (right.lineno, place) if place >= 0 else None


def _span(lines: list[str], line: int, start: int, end: int) -> tuple[int, int]:
    """Return columns in characters of columns in bytes."""
    row = lines[line - 1].encode()
    return len(row[:start].decode()), len(row[:end].decode())


def numeric_files() -> list[Path]:
    """Return the files of the numeric modules."""
    files: list[Path] = []
    for place in NEIGHBOURS:
        whole = ROOT / place
        files += [whole] if whole.is_file() else sorted(whole.rglob("*.py"))
    # Where a drawing's words stand is no fact.
    return [one.relative_to(ROOT) for one in dict.fromkeys(files) if "picture" not in one.name]


def sample(count: int, seed: int, known: dict[tuple[str, str, str], str] | None = None) -> list[Mutation]:
    """Return random changes, no two alike, none that is known to do no harm.

    They are drawn file by file so that long files do not crowd out short ones.
    """
    rng = np.random.default_rng(seed)
    pools = [
        pool
        for path in numeric_files()
        if (pool := [one for one in mutations_of(path) if not why_harmless(one, known or {})])
    ]
    drawn: list[Mutation] = []
    for pool in pools:
        rng.shuffle(pool)  # type: ignore[arg-type]
    weights = np.array([len(pool) ** 0.5 for pool in pools])
    while len(drawn) < count and any(pools):
        k = int(rng.choice(len(pools), p=weights / weights.sum()))
        if pools[k]:
            drawn.append(pools[k].pop())
        else:
            weights[k] = 0.0
    return drawn


class Changed(MetaPathFinder, SourceFileLoader):
    """An import of one module whose text is changed; the file on the disk stays as it is."""

    def __init__(self, mutation: Mutation) -> None:
        super().__init__(".".join(mutation.path.with_suffix("").parts), str(ROOT / mutation.path))
        self.text = mutation.text

    def find_spec(self, fullname: str, path: object = None, target: object = None) -> ModuleSpec | None:
        """Return where the changed module comes from; others come from where they always do."""
        return spec_from_file_location(fullname, self.path, loader=self) if fullname == self.name else None

    def get_code(self, fullname: str) -> CodeType:
        """Return the changed text's code, never what was kept of an earlier import."""
        return compile(self.text, self.path, "exec")


def neighbours_of(path: Path) -> list[str]:
    """Return the neighbouring test files, those that name the module first: most changes fall at once there."""
    place = next(key for key in NEIGHBOURS if str(path).startswith(key))
    files: list[Path] = []
    for one in NEIGHBOURS[place]:
        files += sorted((ROOT / one).rglob("test_*.py")) if (ROOT / one).is_dir() else [ROOT / one]
    module = re.compile(re.escape(".".join(path.with_suffix("").parts)) + r"\b")
    nearest = sorted(dict.fromkeys(files), key=lambda one: module.search(one.read_text("utf-8")) is None)
    return [str(one.relative_to(ROOT)) for one in nearest]


@dataclass(frozen=True)
class Ran:
    """What the tests ran while nothing was changed.

    Attributes
    ----------
    lines
        The tests that ran each line of a file.
    seconds
        How long each test took.
    """

    lines: dict[str, dict[int, set[str]]]
    seconds: dict[str, float]

    def quickest(self, mutation: Mutation) -> list[str]:
        """Return the quickest neighbouring tests that run a changed line, or what is defined on it."""
        beside = neighbours_of(mutation.path)
        first, names = statement_at(mutation)
        ran = self.lines[str(mutation.path)]
        tests = ran.get(first, set()) | ran.get(mutation.line, set())
        if not tests and names:
            word = re.compile(rf"\b({'|'.join(names)})\b")
            rows = enumerate((ROOT / mutation.path).read_text("utf-8").splitlines(), start=1)
            naming = {one for one in beside if word.search((ROOT / one).read_text("utf-8"))}
            tests = {one for line, row in rows if word.search(row) for one in ran.get(line, set())}
            tests |= {one for one in self.seconds if file_of(one) in naming}
        quick, left = [], QUICK_S
        for test in sorted(tests, key=lambda one: (self.seconds[one], one)):
            left -= self.seconds[test]
            if left < 0.0:
                break
            if file_of(test) in beside:
                quick.append(test)
        return quick


def file_of(test: str) -> str:
    """Return the file of a test."""
    return test.split("::", maxsplit=1)[0]


def statement_at(mutation: Mutation) -> tuple[int, list[str]]:
    """Return the first line of the innermost statement that a change is in, and the names that it defines."""
    tree = ast.parse((ROOT / mutation.path).read_text("utf-8"))
    around = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.stmt) and node.lineno <= mutation.line <= (node.end_lineno or 0)
    ]
    inner = max(around, key=lambda node: node.lineno)
    stored = [one for one in ast.walk(inner) if isinstance(one, ast.Name) and isinstance(one.ctx, ast.Store)]
    return inner.lineno, [one.id for one in stored]


class Watched:
    """A plugin that tells coverage which test runs, and how long each takes."""

    def __init__(self, seen: coverage.Coverage) -> None:
        self.seen, self.seconds = seen, defaultdict[str, float](float)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item):
        """Run a test, with its fixtures, under its own name."""
        self.seen.switch_context(item.nodeid)
        try:
            return (yield)
        finally:
            self.seen.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Add up what a test and its fixtures took."""
        self.seconds[report.nodeid] += report.duration


def ran_unchanged(paths: list[Path]) -> Ran:
    """Run the tests beside modules in a process of their own, and return what they ran; end all if any fails."""
    beside = list(dict.fromkeys(test for path in paths for test in neighbours_of(path)))
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "ran"
        child = os.fork()
        if not child:
            seen = coverage.Coverage(data_file=None, include=[str(ROOT / "seatmesh/*")], config_file=False)
            watched = Watched(seen)
            seen.start()
            code = pytest.main([*PYTEST, *beside], plugins=[watched])
            seen.stop()
            by_line = {
                str(path): {
                    line: set(tests) - {""}
                    for line, tests in seen.get_data().contexts_by_lineno(str(ROOT / path)).items()
                }
                for path in paths
            }
            kept.write_bytes(pickle.dumps((by_line, dict(watched.seconds))))
            sys.stdout.flush()
            os._exit(int(code))
        if not passed(os.waitpid(child, 0)[1]):
            raise SystemExit("The tests fail without any change: nothing can be learned from them.")
        return Ran(*pickle.loads(kept.read_bytes()))


def start(mutation: Mutation, quick: list[str]) -> int:
    """Run tests with a change in place in a process of their own, the quick ones first; return the process's number.

    This process has not imported seatmesh, but what is slow to import beside it, and each new one inherits that.
    """
    child = os.fork()
    if child:
        return child
    signal.alarm(LONGEST_S)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    sys.meta_path.insert(0, Changed(mutation))
    code = pytest.main([*PYTEST, *quick]) if quick else pytest.ExitCode.OK
    if code == pytest.ExitCode.OK:
        code = pytest.main([*PYTEST, *neighbours_of(mutation.path)])
    os._exit(int(code))


def passed(status: int) -> bool:
    """Tell whether all tests passed; a process that took too long or broke has noticed the change."""
    code = os.waitstatus_to_exitcode(status)
    if code == pytest.ExitCode.NO_TESTS_COLLECTED:
        raise RuntimeError("A module has no neighbouring test: name some in NEIGHBOURS.")
    return code == 0


def harmless() -> dict[tuple[str, str, str], str]:
    """Return the reason why a survivor does no harm, by file, the line's text, and what is changed in it ("": all)."""
    table = tomllib.loads((Path(__file__).with_name("harmless_mutations.toml")).read_text("utf-8"))
    return {
        (one["file"], one["line"], one.get("before", "")): one["why"] for one in table.get("harmless", [])
    }


def why_harmless(mutation: Mutation, known: dict[tuple[str, str, str], str]) -> str:
    """Return the reason why a change does no harm, "" if none is known."""
    place = str(mutation.path), mutation.source.strip()
    return known.get((*place, mutation.before), known.get((*place, ""), ""))


def run(drawn: list[Mutation], jobs: int) -> Counter[str]:
    """Try changes, print what became of each, and return how many were killed, harmless, and survived."""
    ran = ran_unchanged(list(dict.fromkeys(one.path for one in drawn)))
    known, became = harmless(), Counter[str]()
    waiting, running = drawn[::-1], dict[int, Mutation]()
    while waiting or running:
        while waiting and len(running) < jobs:
            running[start(waiting[-1], ran.quickest(waiting[-1]))] = waiting[-1]
            waiting.pop()
        child, status = os.wait()
        mutation, alive = running.pop(child), passed(status)
        why = why_harmless(mutation, known) if alive else ""
        if os.WIFSIGNALED(status):
            why = f"it never ended: stopped by signal {os.WTERMSIG(status)}"
        word = "killed" if not alive else "harmless" if why else "SURVIVED"
        became[word] += 1
        sys.stdout.write(f"{word:>8}  {mutation.words}{f'  ({why})' if why else ''}\n")
        sys.stdout.flush()
    return became


def main() -> None:
    """Read the options and report."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="part of a line that --list prints, such as tissue/law.py")
    parser.add_argument("--harmless", action="store_true", help="draw those too that are known to do no harm")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--list", action="store_true", help="print the changes, try none")
    given = parser.parse_args()
    known = {} if given.harmless else harmless()
    drawn = [one for one in sample(given.count, given.seed, known) if given.only in one.words]
    if given.list:
        sys.stdout.writelines(f"{one.words}\n" for one in drawn)
        return
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    # The tree is tried, not a copy of it that may be installed.
    sys.path.insert(0, str(ROOT))
    for name in SLOW_TO_IMPORT:
        import_module(name)
    became = run(drawn, given.jobs)
    counts = (f"{became[word]} {word.lower()}" for word in ("killed", "harmless", "SURVIVED"))
    sys.stdout.write(f"{len(drawn)} changes: {', '.join(counts)}\n")
    raise SystemExit(1 if became["SURVIVED"] > 0.1 * len(drawn) else 0)


if __name__ == "__main__":
    main()
