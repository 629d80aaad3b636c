"""5,000 requests over the whole OpenAPI document in sequences: seats are posted, and what was answered is used on."""

import importlib
import json
import sys
from collections import Counter
from pathlib import Path

import hypothesis.core
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "service"))
live = importlib.import_module("live")

REQUESTS, STEPS, SEEDS = 2500, 12, (2311, 2312)
SITTERS = [{"body": "viola"}]
LIMITS = [
    f"--limit={one}"
    for one in (
        "work_s=150",
        "quick_s=150",
        "grid_points=20000",
        "pixels=100000",
        "facets=20000",
        "sitters=3",
    )
]


def machine_of(schema, answers):
    class Machine(schema.as_state_machine()):
        def before_call(self, case):
            valid = case.meta is None or case.meta.generation.mode == GenerationMode.POSITIVE
            if valid and isinstance(case.body, dict) and isinstance(case.body.get("orders"), list):
                case.body = {
                    **case.body,
                    "orders": case.body["orders"][:2],
                    "files": case.body.get("files", [])[:1],
                }
            if valid and isinstance(case.body, dict) and "sitter" in case.body:
                # The plainest outline, as its CAD solid takes a second and not ten.
                case.body = {"blank": {"outline": "straight-sided"}, **case.body, "sitter": SITTERS}

        def get_call_kwargs(self, _case):
            return {"timeout": 200}

        def validate_response(self, response, case, **_options):
            answers[case.operation.label, response.status_code] += 1
            # What the schema allows may yet be refused in words: bounds hang on one another.
            # Of many orders or bodies in one request each that is refused has words in its own row.
            rows = case.operation.label in ("POST /batches", "POST /seats/{seat_id}/sittings")
            excluded = [positive_data_acceptance, *([negative_data_rejection] if rows else [])]
            case.validate_response(response, excluded_checks=excluded)

    return Machine


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_sequences_of_requests(tmp_path, monkeypatch, seed):
    answers = Counter()
    with live.live(tmp_path, *LIMITS) as address:
        schema = schemathesis.openapi.from_url(f"{address}/openapi.json")
        machine = machine_of(schema, answers)
        while answers.total() < REQUESTS:
            monkeypatch.setattr(hypothesis.core, "global_force_seed", seed + answers.total())
            machine.run(
                settings=settings(
                    max_examples=(REQUESTS - answers.total()) // STEPS + 20,
                    stateful_step_count=STEPS,
                    deadline=None,
                    database=None,
                    suppress_health_check=list(HealthCheck),
                    phases=[Phase.generate],
                )
            )
    told = {f"{label} {status}": count for (label, status), count in sorted(answers.items())}
    sys.stdout.write(f"{answers.total()} requests: {json.dumps(told, indent=1)}\n")
    statuses = {status for _, status in answers}
    assert all(status < 500 or status == 503 for status in statuses)
    used_on = {label for label, status in answers if status == 200 and "{seat_id}" in label}
    assert len(used_on) >= 8
