"""A client that openapi-python-client makes from a document, as another program's author would make it."""

import importlib
import json
import os
import subprocess
import sys
from pathlib import Path

HOW = ("generate", "--path", "{path}", "--meta", "none", "--output-path", "{out}")
"""What the generator is told, as the guide prints it."""


def make_client(document, folder, package):
    """Make a client of a document, imported as `package`; a warning of the generator is a failure.

    Raises
    ------
    AssertionError
        With what the generator said.
    """
    written, out = folder / f"{package}.json", folder / "made" / package
    written.write_text(json.dumps(document))
    out.parent.mkdir(exist_ok=True)
    told = [one.format(path=written, out=out) for one in HOW]
    # It formats what it made with ruff, which it looks for on the path.
    paths = {**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}
    said = subprocess.run(
        [sys.executable, "-m", "openapi_python_client", *told, "--fail-on-warning"],
        capture_output=True, text=True, env=paths, check=False,
    )  # fmt: skip
    words = said.stdout + said.stderr
    assert said.returncode == 0, words
    assert "warning" not in words.lower(), words
    return out.parent


def imported(place, *names):
    """Return modules of a made client."""
    if str(place) not in sys.path:
        sys.path.insert(0, str(place))
    importlib.invalidate_caches()
    return [importlib.import_module(name) for name in names]
