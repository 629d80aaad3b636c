"""Every public name has an example in its docstring, and it runs as printed, in an empty folder."""

import doctest
import importlib.util
import inspect

import pytest

import seatmesh

SLOW = {
    "AsDrawn",
    "Carved",
    "Study",
    "adapted",
    "read_carved",
    "study",
    "wood_study",
    "write_step",
    "WoodStudy",
}
"""They bend a floor, press a body some hundred times, look for a seat in a scan, or load the CAD kernel."""
NEEDS_KERNEL = {"write_step"}


def uses(example, name):
    """Tell whether a name is called, or an object of that class is made."""
    public = getattr(seatmesh, name)
    made = isinstance(public, type) and any(isinstance(value, public) for value in example.globs.values())
    calls = "".join(one.source for one in example.examples if not one.source.startswith("from "))
    return made or name in calls


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.slow) if name in SLOW else name
        for name in sorted(seatmesh.__all__)
    ],
)
def test_the_example_runs_as_printed(name, tmp_path, monkeypatch):
    if name in NEEDS_KERNEL and importlib.util.find_spec("OCP") is None:
        pytest.skip("the optional CAD kernel is not installed")
    monkeypatch.chdir(tmp_path)
    written = inspect.getdoc(getattr(seatmesh, name))
    example = doctest.DocTestParser().get_doctest(written, {}, name, None, None)
    assert example.examples, f"{name} has no example"
    told = []
    doctest.DocTestRunner(verbose=False).run(example, out=told.append, clear_globs=False)
    assert not told, "".join(told)
    assert uses(example, name), f"the example of {name} neither calls it nor makes one"
