"""Damaged seat, body and order files: refused in words, never a crash."""

import contextlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from seatmesh import InputError, read_body, read_order, read_seat, write_seat
from seatmesh.body.body_file import bodies_folder

pytestmark = pytest.mark.slow
ORDER = b'title = "x"\n[blank]\nwidth_mm = 480\n[[sitter]]\nbody = "cello"\n[wishes]\ndepth_mm = 12\n'
MANY = settings(
    max_examples=2000,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@st.composite
def damage(draw, data):
    """Cut, overwrite or repeat a piece of a file."""
    start = draw(st.integers(0, len(data)))
    end = draw(st.integers(start, min(len(data), start + 60)))
    return data[:start] + draw(st.binary(max_size=40) | st.just(data[start:end] * 3)) + data[end:]


@MANY
@given(damage(ORDER))
def test_orders(tmp_path, data):
    path = tmp_path / "order.toml"
    path.write_bytes(data)
    with contextlib.suppress(InputError):
        read_order(path)


@MANY
@given(damage((bodies_folder() / "cello.toml").read_bytes()))
def test_bodies(tmp_path, data):
    path = tmp_path / "body.toml"
    path.write_bytes(data)
    with contextlib.suppress(InputError):
        read_body(path)


@settings(parent=MANY, max_examples=500)
@given(st.data())
def test_seats(tmp_path, carved_seat, data):
    path = tmp_path / "seat.json"
    write_seat(carved_seat, path)
    whole = path.read_bytes()
    path.write_bytes(data.draw(damage(whole)))
    with contextlib.suppress(InputError):
        read_seat(path)
