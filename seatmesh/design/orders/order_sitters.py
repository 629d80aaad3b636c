"""The sitters of an order: whose bodies, how much each counts, and what marks on the bare blank say of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from seatmesh.body.body import Body
from seatmesh.body.body_file import bodies_folder, body_from_table, read_body
from seatmesh.errors import FileRefusedError, MissingKeyError, UnknownKeyError, ValueRefusedError
from seatmesh.files.names import is_one_line
from seatmesh.files.toml_file import refuse_unknown
from seatmesh.marks.correction import Correction, correct
from seatmesh.marks.mark import Mark, check_thigh_lines, marks_from_tables
from seatmesh.units import real_number, shown
from seatmesh.wood.blank import Blank

LONGEST_TITLE = 60
MOST_SITTERS = 12
MOST_MARKS = 100
MOST_WEIGHT = 1000.0
SITTER_KEYS = ("name", "body", "weight")


@dataclass(frozen=True)
class OrderedSitter:
    """A sitter of an order.

    Attributes
    ----------
    body
        As the marks, where there are any, and the wishes leave it.
    weight
        How much the sitter counts against the others.
    marks
        Those made under this sitter, each with its number in the order.
    correction
        What they say; None without marks.
    """

    body: Body
    weight: float = 1.0
    marks: tuple[tuple[int, Mark], ...] = ()
    correction: Correction | None = field(default=None, compare=False)

    @property
    def along_error_mm(self) -> float | None:
        """Standard error of how far forward the sit bones lie, once marks have told; None without marks."""
        return None if self.correction is None else self.correction.estimates["along_mm"].standard_error

    def questions(self, units: str) -> list[str]:
        """Return the marks that do not fit, in words, each by its number in the order."""
        if self.correction is None:
            return []
        asked = [
            replace(one, number=self.marks[one.number - 1][0]).text(units)
            for one in self.correction.questions
        ]
        return [f"{self.body.name}: {words}" for words in asked]


def marked(
    table: Mapping[str, Any], sitters: Sequence[OrderedSitter], blank: Blank, where: str
) -> tuple[OrderedSitter, ...]:
    """Return the sitters as the `[[mark]]` tables of an order correct them.

    Raises
    ------
    InputError
        A mark that is refused by name, such as one outside the blank; or it is not clear whose it is.
    """
    entries = table.get("mark", [])
    if not isinstance(entries, list) or not all(isinstance(one, Mapping) for one in entries):
        raise ValueRefusedError(
            f"{where} mark", shown(entries), "allowed is a list of tables", "write [[mark]] for each"
        )
    if len(entries) > MOST_MARKS:
        raise ValueRefusedError(
            f"{where} mark", f"{len(entries)} of them", f"at most {MOST_MARKS}", "leave some out"
        )
    whose = [
        _whose(one, f"{where} [[mark]] {number}", sitters) for number, one in enumerate(entries, start=1)
    ]
    plain = [{key: value for key, value in one.items() if key != "sitter"} for one in entries]
    marks = list(enumerate(marks_from_tables(plain, blank, where), start=1))
    return tuple(
        _corrected(
            sitter, tuple(mark for mark, at in zip(marks, whose, strict=True) if at == index), blank, where
        )
        for index, sitter in enumerate(sitters)
    )


def _whose(entry: Mapping[str, Any], label: str, sitters: Sequence[OrderedSitter]) -> int:
    """Return the place among the sitters of the one under whom a mark was made; refused where that is not clear."""
    names = [one.body.name for one in sitters]
    given = entry.get("sitter")
    if given is None:
        if len(names) == 1:
            return 0
        raise MissingKeyError("sitter", label, f"say whose mark it is: {', '.join(names)}.")
    if not isinstance(given, str):
        raise ValueRefusedError(f"{label} sitter", shown(given), "allowed is text", f"give {names[0]!r}")
    if given not in names:
        raise UnknownKeyError(given, names, f"{label} sitter")
    if names.count(given) > 1:
        raise ValueRefusedError(
            f"{label} sitter",
            shown(given),
            f"{names.count(given)} sitters have that name",
            "give each [[sitter]] a name of its own",
        )
    return names.index(given)


def _corrected(
    sitter: OrderedSitter, marks: tuple[tuple[int, Mark], ...], blank: Blank, where: str
) -> OrderedSitter:
    if not marks:
        return sitter
    check_thigh_lines([mark for _, mark in marks], where)
    correction = correct(sitter.body, [mark for _, mark in marks], blank)
    return replace(sitter, body=correction.body, marks=marks, correction=correction)


def splayed(sitter: OrderedSitter, splay_deg: float | None) -> OrderedSitter:
    """Return the sitter with the thighs apart as the maker wishes; None leaves them."""
    if splay_deg is None:
        return sitter
    habit = replace(sitter.body.habit, splay_deg=splay_deg)
    return replace(sitter, body=replace(sitter.body, habit=habit))


def title_of(given: object, name: str = "title") -> str:
    """Return a title, or the name of a sitter, as it was given; refused unless it is a short line of text."""
    if isinstance(given, str) and is_one_line(given) and 0 < len(given.strip()) <= LONGEST_TITLE:
        return given.strip()
    raise ValueRefusedError(
        name, shown(given), f"allowed are 1 to {LONGEST_TITLE} printable characters", "give a short title"
    )


def read_sitters(table: Mapping[str, Any], where: str, folder: Path | None) -> tuple[OrderedSitter, ...]:
    """Return the sitters of an order as their bodies are; `folder` is where body files may lie, None allows none.

    Raises
    ------
    UnknownKeyError, MissingKeyError, ValueRefusedError, FileRefusedError
        With what was given, what is allowed and what to do.
    """
    entries = table.get("sitter")
    if not entries:
        raise MissingKeyError("sitter", where, 'add [[sitter]] with body = "..." for each who sits')
    if not isinstance(entries, list) or not all(isinstance(one, Mapping) for one in entries):
        raise ValueRefusedError(
            "sitter", shown(entries), "allowed is a list of tables", "write [[sitter]] for each"
        )
    if len(entries) > MOST_SITTERS:
        raise ValueRefusedError(
            "sitter",
            f"{len(entries)} of them",
            f"at most {MOST_SITTERS}",
            "make an order for a few at a time",
        )
    return tuple(_sitter(one, number, where, folder) for number, one in enumerate(entries, start=1))


def _sitter(entry: Mapping[str, Any], number: int, where: str, folder: Path | None) -> OrderedSitter:
    label = f"{where} [[sitter]] {number}"
    refuse_unknown(entry, SITTER_KEYS, label)
    if "body" not in entry:
        raise MissingKeyError("body", label, "name a body file, or write the measures as a table")
    body = _body(entry["body"], label, number, folder)
    if "name" in entry:
        body = replace(body, name=title_of(entry["name"], f"{label} name"))
    weight = real_number(f"{label} weight", entry.get("weight", 1.0))
    if not 0 < weight <= MOST_WEIGHT:
        raise ValueRefusedError(
            f"{label} weight",
            f"{weight:g}",
            f"above 0, at most {MOST_WEIGHT:g}",
            "give 1 for each to count alike",
        )
    return OrderedSitter(body, weight)


def _body(given: object, label: str, number: int, folder: Path | None) -> Body:
    if isinstance(given, Mapping):
        return body_from_table(given, f"{label} body", f"sitter {number}")
    if not isinstance(given, str) or not given:
        raise ValueRefusedError(
            f"{label} body", shown(given), "a body file or a table", "name a file of measures"
        )
    return find_body(given, folder)


def find_body(name: str, folder: Path | None) -> Body:
    """Return a body by the path of its file, seen from `folder`, or by the name of one that comes with the tool.

    Raises
    ------
    InputError
        There is none; the message lists those that come with the tool.
    """
    own = {path.stem: path for path in sorted(bodies_folder().glob("*.toml"))}
    if folder is not None and (folder / name).is_file():
        return read_body(folder / name)
    if name in own:
        return read_body(own[name])
    if folder is None:
        raise UnknownKeyError(name, own, "body")
    looks_like_path = name.endswith(".toml") or "/" in name
    if looks_like_path and (folder / name).exists():
        return read_body(folder / name)
    raise FileRefusedError(
        f"body file '{folder / name}' does not exist; give its path, or one of these: {', '.join(own)}"
    )
