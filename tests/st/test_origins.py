"""Each line of an emitted text leads back to the lines of the plan that it came from."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.plan.read.whole import read_text
from steadfall.st.write.origins import origins
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES


@pytest.mark.parametrize("path", EXAMPLES.values(), ids=EXAMPLES)
def test_statements_lead_back(path: Path) -> None:
    plan = path.read_text(encoding="utf-8")
    code = structured_text(read_text(plan, f"some/where/{path.name}")).text
    found, lines = origins(code, f"some/where/{path.name}"), code.split("\n")
    assert len(found) == len(lines)
    known = range(1, plan.count("\n") + 2)
    assert all(number in known for of in found for number in of)
    told = [number for number, line in enumerate(lines) if f"{path.name}:" in line]
    assert len(told) > 30
    assert all(found[number] for number in told)


def test_a_folded_statement_is_one_and_what_has_no_origin_has_none() -> None:
    head = "VAR CONSTANT\n    A : T; (* a.b, p.yaml:7 *)\nEND_VAR\n"
    code = f"{head}x := (a\n    AND b); (* p.yaml:3, 12 *)\ny := z;\n"
    assert origins(code, "p.yaml") == ((), (7,), (), (3, 12), (3, 12), (), ())
    assert set(origins(code, "q.yaml")) == {()}
