"""For whom a seat is good and whom it fails: people drawn, seated, judged and counted."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import reduce
from operator import add
from pathlib import Path
from tempfile import TemporaryDirectory

from seatmesh.people.builds import surveyed_people_left
from seatmesh.people.counted.share import Share
from seatmesh.people.counted.tally import Tally, tally_of
from seatmesh.people.drawn import part_sizes
from seatmesh.people.engine.kept_parts import KeptParts, kept_parts
from seatmesh.people.engine.part_work import PartWork
from seatmesh.people.engine.run import PartWorkers, Stop, Threads, run_missing
from seatmesh.people.failing import FailingPerson, failing_people
from seatmesh.people.question import PeopleQuestion, survey_ranges

Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class PeopleStudy:
    """What came of a question.

    Attributes
    ----------
    tally
        All that was counted.
    failing
        Up to five people whom the seat fails.
    surveyed_left
        How many of the survey's people are left, in effect, under the public's weights.
    """

    question: PeopleQuestion
    tally: Tally
    failing: tuple[FailingPerson, ...]
    surveyed_left: float

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the scores in the tally's order: criteria, then "served" and "unknown"."""
        return (*self.question.asked.names, "served", "unknown")

    def share(self, score: str, group: int = 0) -> Share:
        """Return the share of a group that has a score."""
        return self.tally.share(group, self.names.index(score))

    @property
    def beyond_share(self) -> float:
        """Share of the public whose stature or mass no surveyed person of the sex has."""
        return float(self.tally.beyond[0]) / self.tally.weight

    @property
    def served_if(self) -> tuple[float, float]:
        """Share served were all peaks higher, and lower, by the model's standard error."""
        lower, higher = self.tally.served_if / self.tally.weight
        return float(higher), float(lower)


def ask(
    question: PeopleQuestion,
    *,
    workers: PartWorkers | None = None,
    keep: Path | None = None,
    tell: Tell = lambda done, people: None,
    stop: Stop = lambda: False,
    then: Callable[[PeopleStudy, KeptParts], None] = lambda study, parts: None,
) -> PeopleStudy:
    """Return for whom a seat is good.

    Parameters
    ----------
    workers
        Whoever sits people down; None is threads of this process.
    keep
        A folder for finished parts, from which the same question goes on after it was cut short; None keeps nothing.
    tell
        Hears of people done, and of all.
    stop
        Asked now and then; true ends the work.
    then
        Called with what came of it and the finished parts, before these are gone.

    Raises
    ------
    FileRefusedError
        `keep` holds something else, or cannot be written.
    seatmesh.people.engine.run.Stopped
        `stop` said so.
    """
    work = PartWork(question.at_a_height, question.public, question.seed)
    lent: AbstractContextManager[str | Path] = TemporaryDirectory() if keep is None else nullcontext(keep)
    with lent as folder:
        where = Path(folder) / "parts" if keep is None else keep
        parts = kept_parts(where, work, part_sizes(question.count))
        run_missing(workers or Threads(), work, parts, tell, stop)
        study = counted(question, parts)
        then(study, parts)
    return study


def counted(question: PeopleQuestion, parts: KeptParts) -> PeopleStudy:
    """Return what finished parts say, counted one after the other in their order."""
    ranges, public, asked = survey_ranges(), question.public, question.asked
    tally = reduce(add, (tally_of(public, table, asked, ranges) for table in parts.tables()))
    failing = failing_people(public, asked, parts.tables(), parts.tables())
    return PeopleStudy(question, tally, tuple(failing), surveyed_people_left(public))
