"""The guide's own examples for other programs, run as printed against a service as a maker starts it."""

import re
import subprocess
import sys

import pytest
import trimesh
from seatmesh_service.limits import ServiceLimits

from seatmesh.guide import chapter

from .live import live

CHAPTER = chapter("http").text
PRINTED = "http://127.0.0.1:8000"


def block(kind):
    blocks = re.findall(rf"```{kind}\n(.*?)```", CHAPTER, re.DOTALL)
    (found,) = (one for one in blocks if PRINTED in one and "seatmesh_client" not in one)
    return found


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with live(tmp_path_factory.mktemp("kept")) as address:
        yield address


def check(stl, step, scale):
    mesh = trimesh.load(stl)
    assert mesh.is_watertight
    # The usual blank is 480 x 430 x 45 mm.
    assert mesh.extents == pytest.approx([480 * scale, 430 * scale, 45 * scale], rel=1e-4)
    assert step.read_bytes().startswith(b"ISO-10303-21;")


def test_python_and_curl_fetch_stl_and_step(service, tmp_path):
    pytest.importorskip("OCP")
    code = block("python").replace(PRINTED, service)
    subprocess.run([sys.executable, "-c", code], cwd=tmp_path, check=True)
    check(tmp_path / "viola-mm.stl", tmp_path / "viola-mm.step", 1.0)
    shell = block("sh").replace(PRINTED, service)
    subprocess.run(["sh", "-e", "-c", shell], cwd=tmp_path, check=True)
    check(tmp_path / "viola-1-4-mm.stl", tmp_path / "viola.step", 0.25)
    assert (tmp_path / "viola.step").read_bytes() == (tmp_path / "viola-mm.step").read_bytes()


def test_the_guide_states_every_limit_as_it_is():
    for name, value in vars(ServiceLimits()).items():
        assert re.search(
            rf"`{name}`\s+{value:g}(?!\d)" if isinstance(value, float) else rf"`{name}`\s+{value}(?!\d)",
            CHAPTER,
        ), name
