"""A client made from the served document: without a warning, typed, and good for an order, its files and refusals."""

import io
import re
import shlex
import subprocess
import sys
import time

import httpx
import pytest
import trimesh

from seatmesh.guide import chapter

from .live import live
from .made_client import HOW, imported, make_client

PRINTED = "http://127.0.0.1:8000"
TOKEN = "letters-enough-for-a-token"


@pytest.fixture(scope="module")
def made(client, tmp_path_factory):
    return make_client(
        client.get("/openapi.json").json(), tmp_path_factory.mktemp("client"), "seatmesh_client"
    )


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with live(tmp_path_factory.mktemp("kept"), "--token", TOKEN) as address:
        yield address


def script():
    (found,) = (
        one
        for one in re.findall(r"```python\n(.*?)```", chapter("http").text, re.DOTALL)
        if "seatmesh_client" in one
    )
    return found


def test_the_guides_script_orders_waits_fetches_and_reads_a_refusal(made, service, tmp_path):
    pytest.importorskip("OCP")
    assert PRINTED in script()
    code = script().replace(PRINTED, service).replace("TOKEN", TOKEN)
    said = subprocess.run(
        [sys.executable, "-W", "error", "-c", f"import sys; sys.path.insert(0, {str(made)!r})\n{code}"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert said.returncode == 0, said.stderr
    mesh = trimesh.load(tmp_path / "viola-mm.stl")
    assert mesh.is_watertight
    # The usual blank is 480 x 430 x 45 mm.
    assert mesh.extents == pytest.approx([480, 430, 45], rel=1e-4)
    assert (tmp_path / "viola-mm.step").read_bytes().startswith(b"ISO-10303-21;")
    assert said.stdout.startswith("422 The request is refused: ")
    assert "[blank] thickness_mm" in said.stdout


def test_the_guide_prints_how_the_client_is_made():
    (line,) = (one for one in chapter("http").text.splitlines() if one.startswith("openapi-python-client "))
    told = [one.format(path="seatmesh.json", out="seatmesh_client") for one in HOW]
    assert shlex.split(line)[1:] == told


def test_answers_are_typed_to_the_leaves(made, service):
    seats, wood, models, base = imported(
        made, "seatmesh_client.api.seats.shape_seat", "seatmesh_client.api.wood.get_wood", "seatmesh_client.models",
        "seatmesh_client",
    )  # fmt: skip
    with base.AuthenticatedClient(base_url=service, token=TOKEN, timeout=httpx.Timeout(120)) as here:
        order = models.Order(
            sitter=[models.OrderSitter(body="viola")], wishes=models.OrderWishes(depth_mm=14)
        )
        seat = seats.sync(client=here, body=order)
        assert isinstance(seat, models.Seat)
        assert seat.units is models.Units.MM
        assert seat.blank.deck_line is models.BlankDeckLine.STRAIGHT
        assert seat.sitters[0].best.posture is models.Posture.UPRIGHT
        assert 0 < seat.hollow.deepest_mm < seat.blank.thickness_mm
        assert seat.additional_properties == seat.hollow.additional_properties == {}
        told = wood.sync(seat.id, client=here)
        assert isinstance(told.movement.rooms[0].boards[0], models.BoardMovement)
        assert isinstance(told.floor, models.Floor)


def test_refusals_are_typed_and_conditional_requests_are_known(made, service):
    get_seat, health, models, base = imported(
        made, "seatmesh_client.api.seats.get_seat", "seatmesh_client.api.service.get_health",
        "seatmesh_client.models", "seatmesh_client",
    )  # fmt: skip
    with base.Client(base_url=service) as stranger:
        refused = health.sync(client=stranger)
        assert isinstance(refused, models.Problem)
        assert (refused.status, refused.title) == (401, "A token is needed")
    with base.AuthenticatedClient(base_url=service, token=TOKEN) as here:
        missing = get_seat.sync("0" * 32, client=here)
        assert isinstance(missing, models.Problem)
        assert missing.status == 404
        assert missing.detail
        first = health.sync_detailed(client=here)
        again = health.sync_detailed(client=here, if_none_match=first.headers["etag"])
        assert again.status_code == 304
        assert models.MeshSuffix.STL in first.parsed.formats


def test_words_that_are_none_do_not_reach_the_service(made):
    (models,) = imported(made, "seatmesh_client.models")
    with pytest.raises(ValueError, match="lying"):
        models.Posture("lying")
    with pytest.raises(ValueError, match="docx"):
        models.MeshSuffix("docx")


def test_a_job_is_followed_cancelled_and_listed(made, service):
    shape, get_job, cancel_job, get_seat, list_seats, pin_seat, delete_seat, models, base = imported(
        made, *(f"seatmesh_client.api.{one}" for one in (
            "seats.shape_seat", "jobs.get_job", "jobs.cancel_job", "seats.get_seat", "seats.list_seats",
            "seats.pin_seat", "seats.delete_seat")),
        "seatmesh_client.models", "seatmesh_client",
    )  # fmt: skip
    now = {"headers": {"Prefer": "respond-async"}}
    with base.AuthenticatedClient(base_url=service, token=TOKEN, **now) as here:
        answer = shape.sync_detailed(client=here, body=an_order(models, 1.0))
        job, shares = answer.parsed, []
        assert isinstance(job, models.Job)
        assert (answer.status_code, answer.headers["location"]) == (202, f"/jobs/{job.id}")
        while job.state in (models.JobState.QUEUED, models.JobState.WORKING):
            shares.append(job.share)
            time.sleep(0.2)
            job = get_job.sync(job.id, client=here)
        assert shares == sorted(shares)
        assert (job.state, job.share, job.problem) == (models.JobState.DONE, 1.0, None)
        assert job.result == f"/seats/{job.seat}"
        seat = get_seat.sync(job.seat, client=here)
        assert isinstance(seat, models.Seat)
        pin_seat.sync_detailed(job.seat, client=here)
        row = next(one for one in list_seats.sync(client=here).seats if one.id == job.seat)
        assert (row.title, row.pinned, row.made >= job.created) == ("job 1.0", True, True)
        assert delete_seat.sync_detailed(job.seat, client=here).status_code == 204
        assert get_seat.sync(job.seat, client=here).status == 404
        heavy = shape.sync(client=here, body=an_order(models, 2.0, 8))
        assert cancel_job.sync_detailed(heavy.id, client=here).status_code == 204
        assert get_job.sync(heavy.id, client=here).state is models.JobState.CANCELLED


def an_order(models, number, sitters=1):
    """Return an order of its own for some sitters."""
    who = [models.OrderSitter(name=f"{one}", body="viola") for one in range(sitters)]
    return models.Order(title=f"job {number}", sitter=who, wishes=models.OrderWishes(depth_mm=12 + number))


def test_files_come_as_plain_bytes_to_a_client_that_takes_nothing_else(client, seat):
    path = f"/seats/{seat['id']}/pictures/sections.png"
    plain = client.get(path, headers={"accept": "application/octet-stream"})
    usual = client.get(path)
    assert plain.headers["content-type"] == "application/octet-stream"
    assert usual.headers["content-type"] == "image/png"
    assert plain.content == usual.content
    assert io.BytesIO(plain.content).read(4) == b"\x89PNG"
    both = client.get(path, headers={"accept": "application/octet-stream, image/*"})
    assert both.headers["content-type"] == "image/png"
    assert "Accept" in plain.headers["vary"]
