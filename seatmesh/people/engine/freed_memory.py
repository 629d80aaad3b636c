"""Freed memory kept for the next arrays, where the C library is GNU's; else it goes back to the system each time.

Pressing takes and frees arrays of a megabyte thousands of times. Fetching their pages anew was a quarter of the work,
and two fifths in workers of Dask, which are told to give memory back the sooner (own measurement, two cores). No figure
hangs on it.
"""

from __future__ import annotations

import ctypes
import functools
import sys

TRIM_THRESHOLD, MMAP_THRESHOLD = -1, -3
"""Names of the settings in glibc's `malloc.h`."""
KEPT_BYTES = 64 * 2**20


@functools.cache
def keep_freed_memory() -> bool:
    """Keep up to `KEPT_BYTES` of freed memory in this process from now on; tell whether that could be said."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        library = ctypes.CDLL("libc.so.6")
        return all(bool(library.mallopt(one, KEPT_BYTES)) for one in (TRIM_THRESHOLD, MMAP_THRESHOLD))
    except (OSError, AttributeError):
        return False
