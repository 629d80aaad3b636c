"""Small jobs: an order, and files of words."""

from __future__ import annotations

import hashlib
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from seatmesh.errors import FileRefusedError
from seatmesh.jobs.place import Job
from seatmesh.jobs.put import Put, Run, in_staging, put
from seatmesh.jobs.record import MadeFrom


def order(
    path: Path, title: str = "chair", says: str = "", sitters: tuple[str, ...] = ("Anna",), **more: Any
) -> Job:
    """Return the job of an order file that stands at `path`, whose seat follows from what it says."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(says, encoding="utf-8")
    digest = hashlib.sha256(f"{title} {sitters} {says} {path if says == '' else ''}".encode()).hexdigest()
    return Job(MadeFrom("order file", str(path), title, sitters, digest), seat=f"seat of {digest}", **more)


def write(job: Job, out: Path, run: str = "shape", overwrite: bool = False, **files: str) -> Put:
    """Write files of words, `a` standing for a.txt and `a_b` for a/b.txt, into the folder of a job."""
    named = {f"{name.replace('_', '/')}.txt": text for name, text in (files or {"seat": job.seat}).items()}
    with in_staging(out) as stage:
        made = stage / "0"
        made.mkdir()
        for name, text in named.items():
            (made / name).parent.mkdir(parents=True, exist_ok=True)
            (made / name).write_text(text, encoding="utf-8")
        return put(made, out, job, [Run(run, tuple(named))], overwrite)


def snapshot(folder: Path) -> dict[str, bytes]:
    """Return all files below a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def main(number: str, folder: str, title: str) -> None:
    """Write a job of its own, as one of several processes, and print its folder; nothing where it is refused."""
    job = order(Path(folder) / f"{number}.toml", title, says=f"{number} mm")
    with suppress(FileRefusedError):
        done = write(job, Path(folder) / "out", **{f"f_{n}": number for n in range(20)})
        sys.stdout.write(f"{done.folder}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
