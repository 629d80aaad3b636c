"""Nine in ten of random changes of constants and signs are noticed by the tests beside them; the rest does no harm."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("seed", [12, 13])
def test_random_changes_are_noticed(seed):
    script = ROOT / "tests" / "verification" / "mutations.py"
    options = ["--count", "30", "--seed", str(seed)]
    done = subprocess.run(
        [sys.executable, str(script), *options], cwd=ROOT, capture_output=True, text=True, check=False
    )
    sys.stdout.write(done.stdout)
    assert not done.stderr
    assert done.returncode == 0, "more than a tenth of them survived and is not known to be harmless"
