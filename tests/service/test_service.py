"""The service: every route by its own client, refusals as problem details, the token."""

import io

import pytest
import trimesh
from fastapi.testclient import TestClient
from seatmesh_service.app import create_app

ORDER = {
    "title": "for one",
    "sitter": [{"name": "Nan", "body": {"sex": "female", "stature_mm": 1640, "mass_kg": 61}}],
    "wishes": {"depth_mm": 14},
}


@pytest.fixture(scope="module")
def client():
    return TestClient(create_app())


@pytest.fixture(scope="module")
def seat(client):
    return client.post("/seats", json=ORDER).json()


def test_health_and_openapi(client):
    assert client.get("/health").json()["status"] == "ok"
    assert client.get("/openapi.json").json()["openapi"].startswith("3.1")


def test_bodies_are_listed_and_estimated(client):
    assert "cello" in client.get("/bodies").json()["bodies"]
    body = client.post("/bodies/estimate", json={"stature_mm": 1700, "mass_kg": 70}).json()
    hips = body["measures"]["hip_breadth_sitting_mm"]
    assert hips["origin"] == "estimated"
    assert hips["low_90"] < hips["value"] < hips["high_90"]


def test_the_same_order_has_the_same_id_and_is_found_again(client, seat):
    assert client.post("/seats", json=ORDER).json() == seat
    assert client.get(f"/seats/{seat['id']}").json() == seat
    sitter = seat["sitters"][0]
    assert sitter["peak_best_kpa"] <= sitter["peak_closed_form_kpa"] < sitter["peak_flat_kpa"]


def test_mesh_at_a_scale(client, seat):
    answer = client.get(f"/seats/{seat['id']}/mesh.stl", params={"scale": "1:4", "tolerance_mm": 0.5})
    mesh = trimesh.load(io.BytesIO(answer.content), file_type="stl")
    assert mesh.is_watertight
    assert mesh.extents == pytest.approx([120.0, 107.5, 11.25], abs=1e-3)


def test_depths_and_contact_maps(client, seat):
    rows = client.get(f"/seats/{seat['id']}/depths.csv").text.splitlines()
    assert rows[0] == "x_mm,y_mm,depth_mm"
    assert max(float(row.split(",")[2]) for row in rows[1:]) == pytest.approx(14.0, abs=0.5)
    answer = client.post(f"/seats/{seat['id']}/contact-maps", json={"bodies": ["viola", "cello"]}).json()
    first = answer["sittings"][0]
    assert len(first["pressure_kpa"]) == len(first["y_mm"])
    assert len(first["pressure_kpa"][0]) == len(first["x_mm"])


@pytest.mark.parametrize(
    ("method", "path", "body", "status"),
    [
        ("post", "/seats", {"sitter": []}, 422),
        ("post", "/seats", {"sitters": [{}]}, 422),
        ("post", "/seats", {"sitter": [{"body": "/etc/hostname"}]}, 422),
        ("post", "/seats", {"sitter": [{"body": "../../etc/hostname"}]}, 422),
        ("post", "/bodies/estimate", {"stature_mm": 1.7, "mass_kg": 70}, 422),
        ("get", "/seats/none", None, 404),
        ("get", "/seats/none/mesh.stl", None, 404),
        ("get", "/seats/none/mesh.exe", None, 422),
    ],
)
def test_refusals_are_problem_details(client, method, path, body, status):
    answer = client.request(method, path, json=body)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert "Traceback" not in answer.text


def test_a_token_is_asked_for():
    guarded = TestClient(create_app("secret"))
    assert guarded.get("/health").status_code == 401
    assert guarded.get("/health", headers={"Authorization": "Bearer wrong"}).status_code == 401
    assert guarded.get("/health", headers={"Authorization": "Bearer secret"}).status_code == 200
