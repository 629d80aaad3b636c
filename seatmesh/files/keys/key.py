"""One key of a file: all that is known of it, for its reader, for lists of keys, for schemas and for forms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, Protocol

Schema = dict[str, Any]


class KeyKind(Protocol):
    """What a key may hold; `seatmesh.files.keys.number`, `words` and `lists` have the usual kinds."""

    @property
    def name(self) -> str:
        """The kind in a word, such as "length"."""

    def read(self, given: object, label: str) -> object:
        """Return the value that was given; `label` is how a refusal names the key.

        Raises
        ------
        InputError
            With what was given, what is allowed and what to do.
        """

    def allowed(self) -> str:
        """Return in a few words what it may be; empty where the key's meaning says it."""
        return ""

    def schema(self) -> Schema:
        """Return what it may be as JSON schema."""

    def facts(self) -> dict[str, Any]:
        """Return what a form needs to ask for it: unit, range or choices, as far as it has them."""
        return {}


@dataclass(frozen=True)
class Slider:
    """A rule along which a value is slid: its span, which may be narrower than the range, and what its ends mean."""

    lowest: float
    highest: float
    ends: tuple[str, str]


@dataclass(frozen=True)
class Key:
    """A key of a table.

    Attributes
    ----------
    name
        As it is written in the file; a length ends in `_mm`, an angle in `_deg`.
    label
        What a form calls it.
    meaning
        One line for the maker; it says what leaving the key out means, where there is no default.
    kind
        What it may hold.
    default
        What stands where it is left out. None where a field of the table's dataclass has the default, or there is none.
    needed
        What to do where it is missing; empty where it may be left out.
    needed_for
        The values of the table's key `kind` that need it; empty where all do.
    asked
        Where a form asks for it: first, among further ones, or not at all.
    slider
        How it is slid; None where it is typed.
    names_file
        It concerns a file beside the order; no one elsewhere can give that.
    """

    name: str
    label: str
    meaning: str
    kind: KeyKind
    default: object = None
    needed: str = ""
    needed_for: tuple[str, ...] = ()
    asked: Literal["", "first", "further"] = ""
    slider: Slider | None = None
    names_file: bool = False
