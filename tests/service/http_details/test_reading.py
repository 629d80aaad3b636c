"""HEAD, conditions and parts of files, as RFC 9110 has them (9.3.2, 13.1, 13.2.2, 14.2)."""

import pytest
from seatmesh_service.limits import ServiceLimits

from ..conftest import ORDER

STL = "mesh.stl?tolerance_mm=0.5"
PLAIN = {"accept-encoding": "identity"}
SAME = (
    "content-type",
    "content-length",
    "etag",
    "cache-control",
    "vary",
    "accept-ranges",
    "content-disposition",
)


@pytest.fixture(scope="module")
def stl(client, seat):
    return f"/seats/{seat['id']}/{STL}"


@pytest.fixture
def no_worker(app, monkeypatch):
    async def none_left(*_given, **_named):
        raise AssertionError("a worker was asked")

    for lane in (app.state.desk.long, app.state.desk.quick):
        monkeypatch.setattr(lane, "run", none_left)


@pytest.mark.parametrize(
    "path",
    ["/", "/page/steps.js", "/guide", "/guide/bench", "/health", "/measures", "/openapi.json", "/metrics", "/bodies",
     "SEAT", "SEAT/depths.csv", "SEAT/order.toml", f"SEAT/{STL}", "SEAT/nothing", "/none"],
)  # fmt: skip
@pytest.mark.parametrize("encoding", ["identity", "gzip"])
def test_head_has_the_headers_of_get_and_no_body(client, seat, path, encoding):
    path = path.replace("SEAT", f"/seats/{seat['id']}")
    got, headed = (
        client.request(one, path, headers={"accept-encoding": encoding}) for one in ("GET", "HEAD")
    )
    assert headed.status_code == got.status_code
    assert headed.content == b""
    if path != "/metrics":  # it counts the first of the two
        assert [headed.headers.get(one) for one in SAME] == [got.headers.get(one) for one in SAME]


def test_a_kept_file_is_headed_without_work(client, stl, no_worker):
    assert client.head(stl).status_code == 200


def test_what_can_be_read_says_so_where_another_method_is_refused(client):
    assert client.request("PATCH", "/bodies").headers["allow"] == "GET, HEAD"
    asked = client.options("/bodies")
    assert (asked.status_code, asked.headers["allow"]) == (204, "GET, HEAD")


def test_a_file_that_the_client_has_is_not_made(client, seat, no_worker):
    path = f"/seats/{seat['id']}/depths.csv?spacing_mm=77"
    assert client.get(path).status_code == 500  # it would be made
    from seatmesh_service.keeping.identity import digest

    for suffix in ("", "-gz"):
        tag = f'"{digest(seat["id"], "depths-77.0.csv")}{suffix}"'
        for method in ("GET", "HEAD"):
            again = client.request(method, path, headers={"if-none-match": tag})
            assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
    assert client.get(path, headers={"if-match": '"another"'}).status_code == 412
    assert client.get(path, headers={"if-match": tag}).status_code == 500


@pytest.mark.parametrize(
    "rest",
    ["mesh.3mf?tolerance_mm=1.7", "mesh.step", "mesh.txt?spacing_mm=11", "report", "wood", "depth-grid?spacing_mm=49",
     "sheets.pdf?paper=letter&units=in", "job-sheet.pdf?paper=letter&units=in", "pictures/plan.png?units=in",
     "gauge-sheet.csv?bar_height_mm=41", "order.toml"],
)  # fmt: skip
def test_every_file_of_a_seat_answers_a_condition_before_work(client, seat, rest, no_worker):
    path = f"/seats/{seat['id']}/{rest}"
    assert client.get(path, headers={"if-none-match": "*"}).status_code == 304
    assert client.get(path, headers={"if-match": '"another"'}).status_code == 412


def test_conditions_of_what_is_posted(client, seat):
    tag = client.get(f"/seats/{seat['id']}", headers=PLAIN).headers["etag"]
    other = ORDER | {"title": "for a condition"}
    assert client.post("/seats", json=other, headers={"if-match": "*"}).status_code == 412
    for given in (
        {"if-none-match": "*"},
        {"if-none-match": tag},
        {"if-match": '"another"'},
        {"if-match": f"W/{tag}"},
    ):
        answer = client.post("/seats", json=ORDER, headers=given)
        assert answer.status_code == 412
        assert "leave" in answer.json()["detail"]
    for given in ({"if-match": tag}, {"if-match": f'"another", {tag}'}, {"if-none-match": '"another"'}):
        assert client.post("/seats", json=ORDER, headers=given).status_code in (200, 201)
    assert client.post("/seats", json=other, headers={"if-none-match": "*"}).status_code in (200, 201)
    maps = f"/seats/{seat['id']}/contact-maps"
    tag = client.post(maps, json={}).headers["etag"]
    assert client.post(maps, json={}, headers={"if-none-match": tag}).status_code == 412
    assert client.post(maps, json={}, headers={"if-match": tag}).status_code == 200


def test_what_was_posted_says_where_it_is(client, seat):
    answer = client.post("/seats", json=ORDER)
    assert answer.headers["location"] == f"/seats/{seat['id']}"
    assert client.get(answer.headers["location"]).json() == answer.json()


@pytest.mark.parametrize("encoding", ["identity", "gzip"])
def test_one_part_of_a_file(client, stl, encoding):
    headers = {"accept-encoding": encoding}
    # What comes through packed is unpacked by the client, so that its parts are put together here as they are sent.
    sent = raw(client, stl, headers)
    size = len(sent)
    for given, first, last in (
        ("bytes=0-99", 0, 99), ("bytes=100-", 100, size - 1), ("bytes=-7", size - 7, size - 1),
        (f"bytes={size - 1}-{size + 50}", size - 1, size - 1), (f"bytes=-{size * 9}", 0, size - 1),
        ("Bytes= 5-5 ", 5, 5), ("bytes=3-" + "9" * 40, 3, size - 1),
    ):  # fmt: skip
        part = client.build_request("GET", stl, headers=headers | {"range": given})
        answer = client.send(part, stream=True)
        assert answer.status_code == 206, given
        assert answer.headers["content-range"] == f"bytes {first}-{last}/{size}"
        assert b"".join(answer.iter_raw()) == sent[first : last + 1]


def raw(client, path, headers):
    answer = client.send(client.build_request("GET", path, headers=headers), stream=True)
    assert answer.headers["accept-ranges"] == "bytes"
    return b"".join(answer.iter_raw())


@pytest.mark.parametrize(
    "given", ["bytes=0-1,5-6", "bytes=9-3", "bytes=-", "bytes", "lines=1-2", "bytes=a-b", ""]
)
def test_what_is_no_single_part_gets_the_whole(client, stl, given):
    whole = client.get(stl, headers=PLAIN)
    answer = client.get(stl, headers=PLAIN | {"range": given})
    assert (answer.status_code, answer.content) == (200, whole.content)
    assert "content-range" not in answer.headers


@pytest.mark.parametrize("given", ["bytes=99999999-", "bytes=-0", "bytes=" + "9" * 400 + "-"])
def test_a_part_beyond_the_end(client, stl, given):
    size = len(client.get(stl, headers=PLAIN).content)
    answer = client.get(stl, headers=PLAIN | {"range": given})
    assert (answer.status_code, answer.headers["content-range"]) == (416, f"bytes */{size}")
    assert str(size) in answer.json()["detail"]


def test_a_part_only_of_the_file_that_it_was(client, stl):
    tag = client.get(stl, headers=PLAIN).headers["etag"]
    asked = PLAIN | {"range": "bytes=0-9"}
    assert client.get(stl, headers=asked | {"if-range": tag}).status_code == 206
    for other in ('"another"', f"W/{tag}", "Sun, 06 Nov 1994 08:49:37 GMT"):
        assert client.get(stl, headers=asked | {"if-range": other}).status_code == 200
    assert client.get(stl, headers=asked | {"if-none-match": tag}).status_code == 304
    assert client.head(stl, headers=asked).status_code == 200


def test_a_file_is_sent_to_the_end_though_it_makes_room_meanwhile(client, seat, app):
    path = f"/seats/{seat['id']}/mesh.ply?tolerance_mm=0.5"
    whole = client.get(path, headers=PLAIN).content
    store = app.state.desk.store
    from seatmesh_service.answers import kept_answer
    from starlette.requests import Request

    name = "mesh-1.0-0.5.ply"
    scope = {
        "type": "http",
        "method": "GET",
        "path": path,
        "headers": [],
        "query_string": b"",
        "root_path": "",
    }
    answer = kept_answer(Request(scope), store, seat["id"], name, "ply")
    store.drop(seat["id"], name)

    async def read():
        return b"".join([part async for part in answer.body_iterator])

    assert client.portal.call(read) == whole


def test_the_limits_are_what_the_guide_says():
    limits = ServiceLimits()
    assert (limits.write_s, limits.parse_s, limits.idle_s) == (30.0, 5.0, 20)
