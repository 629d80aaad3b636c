"""The document before a linter of another house: redocly's strict rules, each fault of which is a failure here.

Redocly rather than spectral: it knows OpenAPI 3.1 and JSON schema 2020-12 by itself, and is released every few weeks.
"""

import json
import os
import shutil
import subprocess

import pytest

LINTER = "@redocly/cli@2.77.0"
QUIET = {"REDOCLY_TELEMETRY": "off", "REDOCLY_SUPPRESS_UPDATE_NOTICE": "true"}


@pytest.fixture(scope="module")
def lint(tmp_path_factory):
    """Return a function that gives the linter's findings; it is installed into a temporary folder."""
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("npm is not here: the linter of the document needs it")
    place = tmp_path_factory.mktemp("linter")
    wishes = ("--no-save", "--ignore-scripts", "--no-audit", "--no-fund", "--prefix", str(place))
    installed = subprocess.run(
        [npm, "install", *wishes, LINTER], cwd=place, capture_output=True, text=True, check=False
    )
    if installed.returncode and not os.environ.get("CI"):
        pytest.skip(f"npm could not install {LINTER}: {installed.stderr[-300:]}")
    assert installed.returncode == 0, installed.stderr

    def found(document):
        (place / "seatmesh.json").write_text(json.dumps(document))
        said = subprocess.run(
            [place / "node_modules/.bin/redocly", "lint", "--extends=recommended-strict", "--format=json",
             "seatmesh.json"],
            cwd=place, capture_output=True, text=True, env={**os.environ, **QUIET}, check=False,
        )  # fmt: skip
        told = json.loads(said.stdout[said.stdout.index("{") :])
        return [
            f"{one['ruleId']}: {one['message']} {one['location'][0]['pointer']}" for one in told["problems"]
        ]

    return found


def test_the_linter_finds_nothing(client, lint):
    assert lint(client.get("/openapi.json").json()) == []


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (lambda one: one["paths"]["/seats"]["post"].pop("operationId"), "operation-operationId"),
        (lambda one: one["paths"]["/bodies"]["get"]["responses"].pop("200"), "operation-2xx-response"),
        (lambda one: one["components"]["schemas"].pop("Seat"), "no-unresolved-refs"),
        (lambda one: one["components"].pop("securitySchemes"), "security-defined"),
    ],
)
def test_the_linter_finds_what_is_spoiled(client, lint, spoil, rule):
    document = client.get("/openapi.json").json()
    spoil(document)
    assert any(one.startswith(rule) for one in lint(document))
