"""The figures of one sitting as a typed record, with the names that the command `sit` prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import TYPE_CHECKING, Any

from seatmesh.errors import NotSolvedError, UnknownKeyError


class ByName(Mapping[str, Any]):
    """A dataclass whose fields can also be asked for by name, as plain values for JSON.

    Two records are equal where their plain values are.
    """

    def __getitem__(self, name: str) -> Any:
        if name not in self._present():
            raise KeyError(name)
        return _plain(getattr(self, name))

    def __iter__(self) -> Iterator[str]:
        return iter(self._present())

    def __len__(self) -> int:
        return len(self._present())

    def _present(self) -> tuple[str, ...]:
        """Return the names of the fields that have a value, in the order of the record."""
        return tuple(one.name for one in fields(self) if one.name in vars(self))  # type: ignore[arg-type]


@dataclass(frozen=True, eq=False)
class LoadShare(ByName):
    """The share of the load that each part of the body carries; the five add up to 1.

    Examples
    --------
    >>> from seatmesh import LoadShare
    >>> share = LoadShare(0.3, 0.3, 0.2, 0.2, 0.0)
    >>> share.left_thigh == share["left_thigh"]
    True
    """

    left_sit_bone: float
    right_sit_bone: float
    left_thigh: float
    right_thigh: float
    tailbone: float


@dataclass(frozen=True, eq=False)
class LoadPoint(ByName):
    """Where the load acts: to the sitter's right from the centre line, forward from the rear edge.

    Examples
    --------
    >>> from seatmesh import LoadPoint
    >>> dict(LoadPoint(0.0, 190.0))
    {'x_mm': 0.0, 'y_mm': 190.0}
    """

    x_mm: float
    y_mm: float


@dataclass(frozen=True, eq=False, repr=False)
class Figures(ByName):
    """What is known of one sitting, in numbers.

    Every figure is an attribute, `figures.peak_kpa`, and an entry as in JSON, `figures["peak_kpa"]`: `dict(figures)`
    and `dataclasses.asdict(figures)` both give plain values.

    A sitting without balance has `load_n`, `residual` and `converged` only. `dict(figures)` then holds these three;
    any other attribute raises `seatmesh.NotSolvedError` with the verdict.

    Attributes
    ----------
    load_n
        Force that presses the seat.
    contact_area_cm2, area_above_0_67_kpa_cm2
        Area in contact, and area above 0.67 kPa, from which mat studies count.
    mean_kpa
        Force over the area above 0.67 kPa, divided by that area.
    peak_kpa
        Largest mean over a square of 10 x 10 mm.
    peak_gradient_kpa_per_cm
        Steepest change of such means.
    hottest_8_percent_share
        Load on the hottest 8 % of the area above 0.67 kPa, over `load_n`.
    load_share
        Share of the load under each part of the body.
    tissue_left_ratio
        Tissue left under the sit bone that is pressed hardest, over its thickness unpressed; None where it is pressed
        farther than the model knows. Its standard error by the model alone is 0.02.
    knee_clearance_mm, tailbone_clearance_mm
        How far the knee-backs are ahead of the front edge; how far the tip of the tailbone stays above the wood.
    load_point_mm
        Where the load acts.
    feet_share
        Share of the body's weight that the feet carry.
    pitch_deg, roll_deg
        Turn of the body in its balance.
    balance_error
        Largest imbalance of force over the load, and of moments over the load times 100 mm.
    converged
        Whether the balance was found.
    residual
        What the solver left out of balance, dimensionless; None where it never had one.
    notes
        What a maker should know, in words.

    Examples
    --------
    >>> from seatmesh import estimate_body, flat_seat, sit
    >>> figures = sit(estimate_body("male", 1740, 69), flat_seat()).figures
    >>> figures.peak_kpa == figures["peak_kpa"]
    True
    >>> round(sum(figures.load_share.values()), 6)
    1.0
    """

    load_n: float
    contact_area_cm2: float
    area_above_0_67_kpa_cm2: float
    mean_kpa: float
    peak_kpa: float
    peak_gradient_kpa_per_cm: float
    hottest_8_percent_share: float
    load_share: LoadShare
    tissue_left_ratio: float | None
    knee_clearance_mm: float
    tailbone_clearance_mm: float
    load_point_mm: LoadPoint
    feet_share: float
    pitch_deg: float
    roll_deg: float
    balance_error: float
    converged: bool
    residual: float | None
    notes: tuple[str, ...]

    @classmethod
    def known(cls, why_not_all: str, **figures: Any) -> Figures:
        """Return a record that holds some figures only; `why_not_all` is told to whoever asks for another.

        Raises
        ------
        UnknownKeyError
            A figure that no sitting has.
        """
        for name in figures:
            if name not in cls.__dataclass_fields__:
                raise UnknownKeyError(name, cls.__dataclass_fields__, "figures")
        record = object.__new__(cls)
        vars(record).update(figures, _why_not_all=why_not_all)
        return record

    def _missing(self, name: str) -> Any:
        if name in self.__dataclass_fields__:
            raise NotSolvedError(
                f"there is no {name} of this sitting: {vars(self).get('_why_not_all')}; ask sitting.converged first"
            )
        raise AttributeError(f"figures have no {name!r}; they have {', '.join(self.__dataclass_fields__)}")

    if not TYPE_CHECKING:
        # Python comes here only for what the record does not hold; a type checker would take every name for one.
        __getattr__ = _missing

    def __repr__(self) -> str:
        return f"Figures({', '.join(f'{name}={getattr(self, name)!r}' for name in self)})"


def _plain(value: Any) -> Any:
    """Return a field's value as JSON has it."""
    if is_dataclass(value) and isinstance(value, Mapping):
        return dict(value)
    return list(value) if isinstance(value, tuple) else value
