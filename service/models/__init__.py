"""What answers hold. Names end in their unit; further keys may be there.

Classes end in `Out` where the library has a class of that name; the document leaves that ending away.
"""

from .base import Answer, Problem
from .batches import Batch, BatchRow
from .bodies import Bodies, KnownBody, MeasuresOut
from .gauge import GaugeCheckOut
from .health import Health
from .jobs import JobOut, JobState, SeatRowOut, Seats
from .people.people_answer import PeopleOut
from .photographs import PhotographMarks, PhotographPoints
from .seats import DepthGrid, PreviewOut, SeatOut
from .sittings import Comparison, ContactMaps, SittingsTable
from .studies import Report
from .vocabulary import Vocabulary
from .wood import RingsOut, WoodOut

__all__ = [
    "Answer",
    "Batch",
    "BatchRow",
    "Bodies",
    "Comparison",
    "ContactMaps",
    "DepthGrid",
    "GaugeCheckOut",
    "Health",
    "JobOut",
    "JobState",
    "KnownBody",
    "MeasuresOut",
    "PeopleOut",
    "PhotographMarks",
    "PhotographPoints",
    "PreviewOut",
    "Problem",
    "Report",
    "RingsOut",
    "SeatOut",
    "SeatRowOut",
    "Seats",
    "SittingsTable",
    "Vocabulary",
    "WoodOut",
]
