"""Make the reference tables again: ``OMP_NUM_THREADS=1 python tests/verification/make_reference.py``.

From the project's folder, with the project installed; one process, about twenty minutes on one core.
"""

from __future__ import annotations

import logging
import time

from reference_case import Row, sit_bone_cases, solve_case, thigh_cases
from reference_table import SIT_BONE, THIGH, write_rows

LOG = logging.getLogger("make_reference")


def main() -> None:
    """Solve every case and write both tables."""
    LOG.addHandler(logging.StreamHandler())
    LOG.setLevel(logging.INFO)
    for cases, path in ((thigh_cases(), THIGH), (sit_bone_cases(), SIT_BONE)):
        rows: list[Row] = []
        for case in cases:
            start = time.perf_counter()
            found = solve_case(case)
            rows += found
            LOG.info("%s: %d loads in %.1f s", case, len(found), time.perf_counter() - start)
        write_rows(rows, path)


if __name__ == "__main__":
    main()
