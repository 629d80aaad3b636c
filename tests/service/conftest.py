"""One application for all tests of the service, with two workers and its seats in a folder of its own."""

import pytest
from fastapi.testclient import TestClient
from seatmesh_service.app import create_app
from seatmesh_service.limits import ServiceLimits

ORDER = {
    "title": "for one",
    "sitter": [{"name": "Nan", "body": {"sex": "female", "stature_mm": 1640, "mass_kg": 61}}],
    "wishes": {"depth_mm": 14},
}
LIMITS = ServiceLimits(
    queue=8,
    work_s=150.0,
    quick_s=150.0,
    body_kb=60,
    body_s=0.5,
    sitters=3,
    grid_points=20_000,
    pixels=100_000,
    facets=20_000,
)


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("kept")


@pytest.fixture(scope="session")
def app(folder):
    return create_app(folder, LIMITS)


@pytest.fixture(scope="session")
def client(app):
    # Errors are looked at as a client sees them.
    with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="session")
def seat(client):
    answer = client.post("/seats", json=ORDER)
    assert answer.status_code == 201, answer.text
    return answer.json()
