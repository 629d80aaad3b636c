"""Bodies: those that come with the tool, and estimates from a few measures."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body

from seatmesh.body.body import Body as Sitter
from seatmesh.body.body_file import bodies_folder, body_from_table, read_body
from seatmesh.design.report import rounded

router = APIRouter(prefix="/bodies")


@router.get("")
def list_bodies() -> dict[str, Any]:
    """List the bodies that come with the tool."""
    return {
        "bodies": {path.stem: describe(read_body(path)) for path in sorted(bodies_folder().glob("*.toml"))}
    }


@router.post("/estimate")
def estimate(table: Annotated[dict[str, Any], Body()]) -> dict[str, Any]:
    """Estimate what was not measured; the keys are those of a body file."""
    return describe(body_from_table(table, "body", "sitter"))


def describe(body: Sitter) -> dict[str, Any]:
    """Return a body with every measure, its standard error and 90 % interval."""
    measures = {
        name: {
            "value": one.value,
            "standard_error": one.standard_error,
            "origin": one.origin,
            "low_90": one.low_90,
            "high_90": one.high_90,
        }
        for name, one in body.measures.items()
    }
    return {"name": body.name, "sex": body.sex, "measures": rounded(measures), "notes": list(body.notes)}
