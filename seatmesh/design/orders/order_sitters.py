"""The sitters of an order: whose bodies, how much each counts, and what marks on the bare blank say of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from seatmesh.body.body import Body
from seatmesh.body.body_file import bodies_folder, body_from_table, read_body
from seatmesh.design.orders.keys.mark import GivenMark
from seatmesh.design.orders.keys.sitter import USUAL_WEIGHT, GivenSitter
from seatmesh.errors import FileRefusedError, InputError, MissingKeyError, UnknownWordError, ValueRefusedError
from seatmesh.marks.correction import Correction, correct
from seatmesh.marks.mark import Mark, check_marks, check_thigh_lines
from seatmesh.refused import Place
from seatmesh.units import shown
from seatmesh.wood.blank import Blank


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

    Examples
    --------
    >>> from seatmesh import OrderedSitter, estimate_body
    >>> OrderedSitter(estimate_body("male", 1740, 69), weight=2.0).weight
    2.0
    """

    body: Body
    weight: float = USUAL_WEIGHT
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


def ordered_sitters(
    given: Sequence[GivenSitter], where: str, folder: Path | None
) -> tuple[OrderedSitter, ...]:
    """Return the sitters of an order as their bodies are; `folder` is where body files may lie, None allows none.

    Raises
    ------
    InputError
        A body that is refused, or that there is none of.
    """
    return tuple(_sitter(one, number, where, folder) for number, one in enumerate(given, start=1))


def _sitter(given: GivenSitter, number: int, where: str, folder: Path | None) -> OrderedSitter:
    try:
        body = (
            find_body(given.body, folder)
            if isinstance(given.body, str)
            else body_from_table(given.body, f"{where} [[sitter]] {number} body", f"sitter {number}")
        )
    except InputError as refusal:
        refusal.place = Place("sitter", refusal.place.key if refusal.place is not None else "", number)
        raise
    return OrderedSitter(replace(body, name=given.name) if given.name else body, given.weight)


def marked(
    sitters: Sequence[OrderedSitter], given: Sequence[GivenMark], blank: Blank, where: str
) -> tuple[OrderedSitter, ...]:
    """Return the sitters as the marks of an order correct them.

    Raises
    ------
    InputError
        A mark lies outside the blank, or it is not clear whose it is.
    """
    whose = [_whose(one.sitter, where, number, sitters) for number, one in enumerate(given, start=1)]
    check_marks([one.mark for one in given], blank, where)
    marks = [(number, one.mark) for number, one in enumerate(given, start=1)]
    return tuple(
        _corrected(
            sitter, tuple(mark for mark, at in zip(marks, whose, strict=True) if at == index), blank, where
        )
        for index, sitter in enumerate(sitters)
    )


def _whose(given: str, where: str, number: int, sitters: Sequence[OrderedSitter]) -> int:
    """Return the place among the sitters of the one under whom a mark was made; refused where that is not clear."""
    label = f"{where} [[mark]] {number}"
    names = [one.body.name for one in sitters]
    if not given:
        if len(names) == 1:
            return 0
        missing = MissingKeyError("sitter", label, f"say whose mark it is: {', '.join(names)}.")
        missing.put(Place("mark", "sitter", number))
        raise missing
    if given not in names:
        unknown = UnknownWordError(given, names, f"{label} sitter")
        unknown.put(Place("mark", "sitter", number))
        raise unknown
    if names.count(given) > 1:
        raise ValueRefusedError(
            Place("mark", "sitter", number, where=where),
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
        raise UnknownWordError(name, own, "body")
    looks_like_path = name.endswith(".toml") or "/" in name
    if looks_like_path and (folder / name).exists():
        return read_body(folder / name)
    raise FileRefusedError(
        f"body file '{folder / name}' does not exist; give its path, or one of these: {', '.join(own)}"
    )
