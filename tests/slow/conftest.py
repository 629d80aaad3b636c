"""What several long runs share lies beside them."""

import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [
    *(str(TESTS / room) for room in ("paper", "verification", "benchmarks", "reading")),
    str(Path(__file__).parent),
]
