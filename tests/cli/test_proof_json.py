"""The names of `prove --json`: docs/json.md describes each, and each is of the kind that stands there."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from steadfall.prove.decide.result import Proof
from tests.report.test_proof_page import proof

DOCS = Path(__file__).parent.parent.parent / "docs" / "json.md"
ROW = re.compile(r"\| `(\w+)` \| ([^|]+) \|")
PLAIN: dict[str, tuple[type, ...]] = {"text": (str,), "whole number": (int,), "number": (int, float)}


@cache
def described() -> dict[str, dict[str, str]]:
    """What the docs say of a proof: for each thing, its names and their kinds."""
    text = DOCS.read_text(encoding="utf-8").split("## `steadfall prove")[1].split("\n## ")[0]
    parts = [part.partition("\n") for part in text.split("\n### ")[1:]]
    return {title.split(" ", 1)[1]: dict(ROW.findall(rows)) for title, _, rows in parts}


def wrong(value: Any, kind: str, at: str = "proof") -> list[str]:
    """Where a value is not what the docs say."""
    if kind.endswith(", or null"):
        return [] if value is None else wrong(value, kind.removesuffix(", or null"), at)
    if kind.startswith("list of "):
        single = kind.removeprefix("list of ").removesuffix("s")
        return [line for number, one in enumerate(value) for line in wrong(one, single, f"{at}.{number}")]
    if kind == "true or false":
        return [] if isinstance(value, bool) else [f"{at}: {value!r}"]
    if kind == "values by name":
        return [
            f"{at}.{name}: {one!r}" for name, one in value.items() if not isinstance(one, bool | int | float)
        ]
    if kind in PLAIN:
        return [] if isinstance(value, PLAIN[kind]) and not isinstance(value, bool) else [f"{at}: {value!r}"]
    names = described()[kind]
    missing = [name for name, what in names.items() if name not in value and not what.endswith(", or absent")]
    found = [f"{at}.{name} is missing" for name in missing]
    found += [f"{at}.{name} is not described" for name in value if name not in names]
    for name, one in value.items():
        if name in names:
            found += wrong(one, names[name].removesuffix(", or absent"), f"{at}.{name}")
    return found


def printed(of: Proof) -> Any:
    return json.loads(json.dumps(of.as_json()))


def test_every_name_is_described_and_of_its_kind() -> None:
    made = printed(proof())
    assert wrong(made, "proof") == []
    assert {row["verdict"] for row in made["requirements"]} == {"proved", "refuted"}
    assert made["contradictions"]
    assert any(row["requirements"] for row in made["with_faults"])
    cut = next(row for row in made["with_faults"] if row["fault"] == "power cut")
    broken = next(row for row in cut["requirements"] if row["trace"])
    assert any("power_cut" in step["inputs"] for step in broken["trace"]["steps"])


def test_the_moments_of_a_run_follow_from_its_steps() -> None:
    made = printed(proof())
    rows = [*made["requirements"], *(one for row in made["with_faults"] for one in row["requirements"])]
    for trace in [row["trace"] for row in rows if row["trace"]]:
        now = 0
        for number, step in enumerate(trace["steps"]):
            now += (step["scan_ms"] if number else 0) + step["inputs"].get("power_cut", 0)
            assert step["at_ms"] == now
            now += step["scan_ms"] * (step["scans"] - 1)
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
    assert said in wrong({**printed(proof()), **change}, "proof")


def test_witnesses_are_described_in_all_their_forms() -> None:
    step = {"at_ms": 0, "scan_ms": 0, "scans": 1, "inputs": {"a": True, "b": 1.5}}
    then = {"scan": 3, "input": "a", "to": 1.0}
    for witness in (
        {"by": "runs", "at_ms": 60, "seed": 4, "scan": 3},
        {"by": "runs", "at_ms": 60, "seed": 4, "scan": 3, "then": then},
        {"by": "bounded search", "at_ms": 0, "steps": [step]},
        {"by": "its violation", "at_ms": 60},
    ):
        assert wrong(witness, "witness") == []
