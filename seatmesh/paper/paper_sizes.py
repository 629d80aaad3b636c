"""Papers that sheets are printed on."""

from __future__ import annotations

from dataclasses import dataclass

from seatmesh.errors import NotAmongError, ValueRefusedError
from seatmesh.units import MM_PER_INCH, parse_length_mm, shown

ROLL_MM = 610.0
"""Width of a usual roll, 24 inches (common practice)."""
LEAST_ROLL_MM, GREATEST_ROLL_MM = 200.0, 2000.0
"""A narrower roll has no room for the bars beside their words."""


@dataclass(frozen=True)
class Paper:
    """A paper, upright; a roll has no height of its own: its pages are as long as they have to be."""

    name: str
    width_mm: float
    height_mm: float | None

    @property
    def is_roll(self) -> bool:
        """Whether it comes off a roll."""
        return self.height_mm is None

    def ways(self) -> tuple[tuple[float, float], ...]:
        """Return width and height, upright and lying; nothing for a roll."""
        if self.height_mm is None:
            return ()
        return (self.width_mm, self.height_mm), (self.height_mm, self.width_mm)


# ISO 216; ANSI/ASME Y14.1 sizes A and B.
PAPERS = {
    "a4": Paper("A4", 210.0, 297.0),
    "a3": Paper("A3", 297.0, 420.0),
    "letter": Paper("Letter", 8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH),
    "tabloid": Paper("Tabloid", 11.0 * MM_PER_INCH, 17.0 * MM_PER_INCH),
}
READ_ON = {"A3": "a4", "Tabloid": "letter"}
"""The sheet of the same series that pages of words are made for, where a drawing's is larger."""
ALLOWED = (
    *(one.name for one in PAPERS.values()),
    "roll",
    "or a roll with its width such as roll:914 or roll:36in",
)


def to_read(paper: Paper) -> Paper:
    """Return the paper for pages of words that go with drawings on `paper`: A4 or Letter, held in the hand."""
    return PAPERS[READ_ON.get(paper.name, "a4" if paper.is_roll else paper.name.lower())]


def paper_named(name: str) -> Paper:
    """Return a paper by its name; `roll` is 610 mm wide, `roll:914` (mm) or `roll:36in` as wide as it says.

    Raises
    ------
    ValueRefusedError
        For an unknown paper, or a roll too narrow or too wide to be one.
    """
    word = name.strip().lower()
    if word in PAPERS:
        return PAPERS[word]
    kind, _, width = word.partition(":")
    if kind.strip() != "roll":
        raise NotAmongError("paper", shown(name), ALLOWED)
    width_mm = parse_length_mm(width.strip(), "paper roll") if width.strip() else ROLL_MM
    if not LEAST_ROLL_MM <= width_mm <= GREATEST_ROLL_MM:
        raise ValueRefusedError(
            "paper",
            shown(name),
            f"a roll is {LEAST_ROLL_MM:g} to {GREATEST_ROLL_MM:g} mm wide",
            "give its width, or choose a sheet such as A4",
        )
    return Paper(f"roll of {width_mm:g} mm", width_mm, None)
