"""What several long runs share lies beside them."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "paper"), str(Path(__file__).parent)]
