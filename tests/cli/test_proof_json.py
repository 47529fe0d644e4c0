"""The names of `prove --json`: docs/json.md describes each, and each is of the kind that stands there."""

from __future__ import annotations

import json
from typing import Any

import pytest

from steadfall.app.given.document import document, json_text
from steadfall.prove.decide.result import Proof
from tests.cli.described import wrong, wrong_result
from tests.prove.plans import demo
from tests.report.test_proof_page import proof

pytestmark = pytest.mark.usefixtures("proofs_here")


def printed(of: Proof) -> Any:
    return json.loads(json_text(document(demo(), of.good, {"code": None, "left_out": [], **of.as_json()})))


def test_every_name_is_described_and_of_its_kind() -> None:
    made = printed(proof())
    assert wrong_result(made, "proof") == []
    assert {row["verdict"] for row in made["requirements"]} == {"proved", "refuted"}
    assert made["contradictions"]
    assert any(row["requirements"] for row in made["with_faults"])
    cut = next(row for row in made["with_faults"] if row["fault"] == "power cut")
    broken = next(row for row in cut["requirements"] if row["trace"])
    assert any("off_ms" in step for step in broken["trace"]["steps"])


def test_the_moments_of_a_run_follow_from_its_steps() -> None:
    made = printed(proof())
    rows = [*made["requirements"], *(one for row in made["with_faults"] for one in row["requirements"])]
    for trace in [row["trace"] for row in rows if row["trace"]]:
        now = 0
        for number, step in enumerate(trace["steps"]):
            now += (step["scan_ms"] if number else 0) + step.get("off_ms", 0)
            assert step["at_ms"] == now
            now += step["scan_ms"] * (step["scans"] - 1)
            now += sum(ms * many for ms, many in step.get("then", ()))
        assert now == trace["violated_at_ms"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"other": 1}, "proof.other is not described"),
        ({"good": "yes"}, "proof.good: 'yes'"),
        ({"seconds": True}, "proof.seconds: True"),
        ({"requirements": [{}]}, "proof.requirements.0.name is missing"),
    ],
)
def test_what_is_not_as_described_is_noticed(change: dict[str, Any], said: str) -> None:
    assert said in wrong_result({**printed(proof()), **change}, "proof")


def test_witnesses_are_described_in_all_their_forms() -> None:
    step = {"at_ms": 0, "scan_ms": 0, "scans": 1, "inputs": {"a": True, "b": 1.5}}
    then = {"scan": 3, "input": "a", "to": 1.0}
    for witness in (
        {"by": "runs", "at_ms": 60, "seed": 4, "scan": 3},
        {"by": "runs", "at_ms": 60, "seed": 4, "scan": 3, "then": then},
        {"by": "bounded search", "at_ms": 0, "steps": [step]},
        {"by": "its violation", "at_ms": 60},
    ):
        assert wrong(witness, "witness", "it") == []
