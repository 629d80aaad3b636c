"""The registry of formats: every entry can be loaded, and what others show comes from it."""

import pytest

from seatmesh.errors import ValueRefusedError
from seatmesh.formats.registry import FORMATS, format_of, formats_read, formats_written, listed


@pytest.mark.parametrize("form", FORMATS, ids=lambda one: f"{one.suffix}-{one.kind}")
def test_every_entry_is_complete(form):
    assert form.writer or form.reader
    if form.writer:
        assert callable(form.write_with())
        assert form.unit in ("mm", "m")
    if form.reader:
        assert callable(form.read_with())
        assert form.largest_bytes > 0
    assert form.suffix == form.suffix.lower()
    assert "/" in form.media_type


def test_no_suffix_is_written_or_read_in_two_ways():
    writers = [one.suffix for one in FORMATS if one.writer]
    readers = [one.suffix for one in FORMATS if one.reader]
    assert len(writers) == len(set(writers))
    assert len(readers) == len(set(readers))


def test_suffixes_are_found_in_any_spelling_and_others_refused():
    assert format_of("STL", formats_written(), "x").suffix == ".stl"
    assert format_of(".Obj", formats_read(), "x").suffix == ".obj"
    with pytest.raises(ValueRefusedError, match=r"allowed are \.3mf, \.stl, .* and \.txt"):
        format_of(".doc", formats_written(), "x")
    with pytest.raises(ValueRefusedError, match="no suffix"):
        format_of("", formats_written(), "x")


def test_names_in_words():
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(["a"]) == "a"
