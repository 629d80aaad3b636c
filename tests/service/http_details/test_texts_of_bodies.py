"""Texts of bodies are read by a worker, within a time, and those that take long are refused at once."""

import time

import pytest
from seatmesh_service.tasks.toml_keys import refuse_long_keys

from seatmesh.errors import FileRefusedError

N = 1_000_000
LONG = {
    "parts": b".".join([b"a"] * (N // 2)) + b" = 1",
    "quoted parts": b".".join([b'"b"'] * (N // 4)) + b" = 1",
    "escaped quotes": b".".join([b'"\\"b"'] * (N // 6)) + b" = 1",
    "a header": b"[" + b" . ".join([b"a"] * (N // 4)) + b"]",
    "after a text": b"a = '''\n\"'''\n" + b".".join([b"a"] * (N // 2)) + b" = 1",
    "many keys": b"".join(b"k%d.a.a.a.a.a.a.a = 1\n" % n for n in range(N // 26)),
    "many headers": b"".join(b"[a%d.b.c.d.e.f.g.h]\n" % n for n in range(N // 24)),
}
HOSTILE = {
    "a word": b"a" * N, "blanks": b"a" + b" " * N, "words": b"a " * (N // 2), "dots": b"a" + b"." * N,
    "quotes": b'"' * N, "both quotes": b"\"'" * (N // 2), "three quotes": b'"""' * (N // 3),
    "backslashes": b'"' + b"\\" * N,
    "an open text": b"a = '''" + b"'" * N, "an open text of words": b'a = """' + b'"a' * (N // 2), "hashes": b"#" * N,
    "floats": b"a = [" + b"1.5," * (N // 4) + b"]",
    "points and blanks": b"a. " * 7 + b" " * N, "not UTF-8": b"\xff." * (N // 2),
}  # fmt: skip


@pytest.mark.parametrize("kind", LONG)
def test_keys_that_take_long_to_read_are_refused_before(kind):
    began = time.process_time()
    with pytest.raises(FileRefusedError, match="flat tables"):
        refuse_long_keys(LONG[kind])
    assert time.process_time() - began < 1.0


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_megabyte_is_passed_over_once(kind):
    """Twice as much takes about twice as long, and never seconds."""
    data = HOSTILE[kind]
    times = []
    for part in (data[: N // 2], data):
        began = time.process_time()
        refuse_long_keys(part)
        times.append(time.process_time() - began)
    assert times[1] < max(4.0 * times[0], 0.5)
    assert times[1] < 2.0


def test_an_order_with_points_and_times_is_read():
    refuse_long_keys(
        b"outline = [" + b"[1.5, -2.25e-3]," * 20_000 + b"]\nat = 07:32:00.999\nsitter.body.habit = 1\n"
    )
    refuse_long_keys(b'a = "' + b"x.y.z.w." * 20_000 + b'"  # ' + b"x.y.z." * 2000)


def test_a_body_that_takes_too_long_is_refused_in_words(client, app, monkeypatch):
    from seatmesh_service.problems import ProblemError
    from seatmesh_service.workers.lane import TOO_LONG

    async def too_long(*_given, **_named):
        raise ProblemError(503, TOO_LONG, "")

    monkeypatch.setattr(app.state.desk.reading, "run", too_long)
    for path, kind in (("/seats", "application/json"), ("/orders", "application/toml")):
        answer = client.post(path, content=b"{}", headers={"content-type": kind})
        assert answer.status_code == 422
        assert "5 s to read" in answer.json()["detail"]


def test_a_reader_is_ended_when_its_time_is_up(client, app):
    """A body of 60 kB reads within it; what does not is ended, and the next body is read all the same."""
    desk = app.state.desk
    before = desk.reading.workers.pids
    assert before
    assert not set(before) & set(desk.long.workers.pids)
    assert client.post("/bodies/estimate", json={"stature_mm": 1700, "mass_kg": 70}).status_code == 200
