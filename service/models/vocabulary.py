"""The vocabulary in answers: keys of an order, and the words to choose from."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from .base import Answer
from .bodies import MeasureKindOut
from .words import FormatKind, MarkSide, MeshSuffix, Posture


class SliderOut(Answer):
    """A rule along which a value is slid, and what its ends mean."""

    lowest: float
    highest: float
    ends: list[str]


class KeyOut(Answer):
    """One key: what it may be, and what stands where it is left out; a key has the facts that its kind has."""

    key: str
    label: str
    meaning: str
    kind: str = Field(description="such as length, angle, number, word, text, flag")
    default: float | str | bool | None = Field(
        description="null where nothing stands, or its meaning says what"
    )
    needed: bool
    asked: Literal["", "first", "further"] = Field(description="where a form asks for it")
    unit: str | None = None
    above: bool | None = Field(None, description="whether a number has to be above its lowest")
    lowest: float | None = None
    highest: float | None = None
    longest: int | None = Field(None, description="most letters of a text")
    choices: list[str] | None = None
    needed_for: list[str] | None = None
    names_file: bool | None = Field(
        None, description="whether it is about a file beside the order, which a request cannot have"
    )
    slider: SliderOut | None = None


class TableOut(Answer):
    """A table of an order: what it is for, and its keys by name, in the order in which a form asks for them."""

    meaning: str
    keys: dict[str, KeyOut]
    most: int | None = Field(None, description="how many there may be; left out: the table is written once")


class Choices(Answer):
    """Names to choose from, and the one that is usual."""

    names: list[str]
    usual: str


class FormatOut(Answer):
    """A format that a seat is written in, and what it is taken for."""

    suffix: MeshSuffix
    label: str
    use: str
    unit: str
    states_unit: bool
    coloured: bool = Field(description="whether it holds pressure and colour at the vertices")
    kind: FormatKind


class MarkOut(Answer):
    """A mark on the bare blank: the sides that it has, and how it is taken."""

    sides: list[MarkSide]
    how: str


class CharacterOut(Answer):
    """The character of a seat in a word, and the wishes that it stands for."""

    name: str
    says: str
    wishes: dict[str, float | str]


class Pressure(Answer):
    """The one pressure scale: the lower edge of each band, its colour, and that of wood that is not touched."""

    steps_kpa: list[float]
    colours: list[str]
    bare: str


class NamedPublic(Answer):
    """People whom a seat can be asked about by a name."""

    name: str
    words: str


class CriterionOut(Answer):
    """What can be asked of a seat for people; `{}` in the words stands for the bound."""

    name: str
    words: str
    unit: str
    lowest: float
    highest: float
    usual: float | None = Field(description="the usual bound; null: left out")
    source: str = Field(description="of the usual bound")


class PeopleWords(Answer):
    """What can be asked about people not yet met."""

    publics: list[NamedPublic]
    criteria: list[CriterionOut]
    front_height_mm: float = Field(description="taken where an order states none")


class Vocabulary(Answer):
    """What a form needs to ask for an order, and to show what comes of it."""

    tables: dict[str, TableOut] = Field(description='tables of an order by name; "order" is its top')
    habit: TableOut = Field(description="how a body likes to sit, a table of body files")
    measures: dict[str, MeasureKindOut] = Field(description="as GET /measures")
    units: Choices
    papers: Choices
    woods: Choices
    formats: list[FormatOut]
    postures: list[Posture]
    outlines: dict[str, list[list[float]]] = Field(description="points [x, y] in mm on a usual blank")
    marks: dict[str, MarkOut]
    cautions: dict[str, str]
    pressure: Pressure
    people: PeopleWords
    characters: list[CharacterOut]
