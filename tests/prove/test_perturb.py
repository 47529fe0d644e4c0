"""Requirements that are exercised on purpose: nothing is left out, and the interpreter sees the same."""

from __future__ import annotations

import pytest

from steadfall.plan.read.whole import read_file
from steadfall.prove.decide.simulation import simulate
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.perturb import perturbed
from steadfall.prove.runs.rig import rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.replay import replay
from tests.examples import EXAMPLES


@pytest.mark.parametrize("name", ["barrel", "press"])  # the oven's last stages take runs that are led there
def test_every_requirement_is_exercised_by_some_run(name: str) -> None:
    plan = read_file(EXAMPLES[name])
    of = watched(plan)
    seen = simulate(of, of.required)
    assert not [row.name for row in of.required if seen[row.name].witness is None]
    assert not [row.name for row in of.required if seen[row.name].violation is not None]


@pytest.mark.slow
def test_the_interpreter_sees_what_was_done_on_purpose() -> None:
    plan = read_file(EXAMPLES["press"])
    of = watched(plan)
    one, seen = rig(plan, of.network), simulate(of, of.required)
    made = [(row, seen[row.name].witness) for row in of.required if "then" in (seen[row.name].witness or {})]
    assert made
    for row, witness in made:
        assert witness is not None
        then = witness["then"]
        run = perturbed(one, stimuli(one, witness["seed"]), then["scan"], then["input"], then["to"])
        found = replay(of.network, one.fast.closed(run.part(0, witness["scan"] + 1)), row.exercised)
        assert found is not None
        assert found.at_ms == witness["at_ms"]
