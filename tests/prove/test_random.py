"""Every verdict on small random networks against a checker that tries everything."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, assume, given, settings

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import model
from tests.prove.small import BOOL, LONGEST, TIME, shortest_break, small

MANY = {"deadline": None, "suppress_health_check": list(HealthCheck)}
MOST_STATES = 150


def agree(network: Network, wanted: int | None) -> None:
    part = model(network, LONGEST)
    bad = part.values["bad"]
    if wanted is None:
        proof = spacer.invariant(part, bad, Budget(10_000_000))
        assert proof is not False
        assert bounded.search(part, bad, 6, Budget(40_000_000))[0] is None
        if proof is not None:
            assert recheck.holds(script(part, ["bad"], Certificate(text_of(proof))))
        return
    found, depth = bounded.search(part, bad, 60, Budget(40_000_000))
    assert found is not None
    assert depth + 1 <= wanted  # big steps are never more than scans
    seen = replay(network, expand(found.steps, LONGEST), "bad")
    assert seen is not None
    assert len(seen.run) >= wanted
    assert spacer.invariant(part, bad, Budget(10_000_000)) in (False, None)


@settings(max_examples=40, **MANY)  # type: ignore[arg-type]
@given(small())
def test_verdicts_agree_with_trying_everything(network: Network) -> None:
    wanted = shortest_break(network, MOST_STATES)
    assume(wanted != -1)
    agree(network, wanted)


@pytest.mark.slow
@settings(max_examples=80, **MANY)  # type: ignore[arg-type]
@given(small())
def test_many_verdicts_agree_with_trying_everything(network: Network) -> None:
    wanted = shortest_break(network, 4 * MOST_STATES)
    assume(wanted != -1)
    agree(network, wanted)


def test_a_timer_at_the_lesser_of_two_presets_goes_on_from_there() -> None:
    """What a long delay shows of it is what the interpreter sees."""
    preset = nodes.Select(nodes.Read("a", BOOL), nodes.Constant(3, TIME), nodes.Constant(0, TIME))
    both = nodes.And((nodes.Previous("a", BOOL), nodes.Previous("timer", BOOL)))
    rows = (
        Assignment("timer", BOOL, nodes.Ton(nodes.Previous("b", BOOL), preset), False),
        Assignment("bad", BOOL, both, False),
    )
    network = Network((Input("a", BOOL), Input("b", BOOL)), rows, ())
    wanted = shortest_break(network, MOST_STATES)
    assert wanted == 5
    agree(network, wanted)
