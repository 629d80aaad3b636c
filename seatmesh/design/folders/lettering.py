"""Letters that sheets and pictures cannot show."""

from __future__ import annotations

from seatmesh.jobs.place import Job
from seatmesh.picture.style import letters_missing


def lettering_notes(job: Job) -> tuple[str, ...]:
    """Return a note on letters of title and names that pictures and sheets cannot show; nothing where they can."""
    letters = letters_missing((job.made_from.title, *job.made_from.sitters))
    return (
        (f"pictures and sheets have no such letters, and show boxes for them: {letters}",) if letters else ()
    )
