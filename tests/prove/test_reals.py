"""Measured values as real numbers: they find the ways that the controller can go, and prove nothing."""

from __future__ import annotations

from hypothesis import HealthCheck, assume, given, settings

from steadfall.logic import nodes
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Node, Type
from steadfall.prove.decide.certificate import Certificate, script, text_of
from steadfall.prove.engines import bounded, recheck, spacer
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.reals import works_out
from steadfall.prove.system.replay import expand, replay
from steadfall.prove.system.step import Model, model
from steadfall.runs.run import Run
from tests.prove.measured import MEASURED, measured, real
from tests.prove.small import LONGEST, shortest_break, small
from tests.runs.made import made

MANY = {"deadline": None, "suppress_health_check": list(HealthCheck)}
BOOL, REAL = Type.BOOL, Type.REAL
SENSOR, HELD = nodes.Read("sensor", REAL), nodes.Read("held", REAL)


def network(bad: Node, *, released: bool = True) -> Network:
    """`held` keeps what the sensor said when `hold` came on; where it is not released, from the first scan
    on.
    """
    held = nodes.Select(nodes.Read("hold", BOOL), nodes.Previous("held", REAL), SENSOR)
    first = (Assignment("held", REAL, held if released else nodes.Previous("held", REAL), 20.0),)
    return Network(
        (Input("hold", BOOL), Input("sensor", REAL)), (*first, Assignment("bad", BOOL, bad, False)), ()
    )


def compared(op: str, left: Node, right: float) -> Node:
    return nodes.Compare(op, left, real(right))


def found(part: Model, deepest: int = 12) -> Run | None:
    """A way to `bad`, scan by scan."""
    way, _ = bounded.search(part, part.values["bad"], deepest, Budget(40_000_000))
    return None if way is None else expand(way.steps, part.longest_ms)


def both(one: Network) -> tuple[bool, bool]:
    """Whether the simplified and the exact values know a way."""
    return found(model(one, LONGEST)) is not None, found(model(one, LONGEST, exact=True)) is not None


def test_what_is_worked_out_from_a_value_goes_with_it() -> None:
    twice = nodes.Multiply(SENSOR, real(2.0))
    never = network(nodes.And((compared("<", SENSOR, 3.0), compared(">", twice, 7.0))))
    assert both(never) == (True, False)
    once = network(nodes.And((compared("<", SENSOR, 4.0), compared(">", twice, 7.0))))
    assert both(once) == (True, True)


def test_a_value_that_is_held_stays_what_it_was() -> None:
    never = network(compared(">", HELD, 30.0), released=False)
    assert both(never) == (True, False)
    kept = nodes.And((compared("<", SENSOR, 3.0), compared(">", HELD, 30.0)))
    way = found(model(network(kept), LONGEST, exact=True))
    assert way is not None
    assert replay(network(kept), way, "bad") is not None


def test_the_end_of_a_limit_may_be_reached_exactly() -> None:
    share = nodes.Limit(real(0.0), nodes.Multiply(SENSOR, real(0.1)), real(100.0))
    way = found(model(network(compared(">=", share, 100.0)), LONGEST, exact=True))
    assert way is not None
    assert replay(network(compared(">=", share, 100.0)), way, "bad") is not None


def test_a_long_delay_does_not_leap_over_what_a_ramp_does_meanwhile() -> None:
    """A latch that a falling value clears after 30 ms; only a way that keeps it off that long can set
    both.
    """
    fall = nodes.Subtract(real(100.0), nodes.ToReal(nodes.Elapsed("time")))
    on = nodes.Read("hold", BOOL)
    rows = (
        Assignment("time", BOOL, nodes.Ton(on, nodes.Constant(1000, Type.TIME)), False),
        Assignment("low", BOOL, compared("<", fall, 70.0), False),
        Assignment("seen", BOOL, nodes.SetDominant(nodes.Read("low", BOOL), nodes.Not(on)), False),
        Assignment(
            "bad", BOOL, nodes.And((nodes.Read("time", BOOL), nodes.Not(nodes.Read("seen", BOOL)))), False
        ),
    )
    one = Network((Input("hold", BOOL),), rows, ())
    assert works_out(one)
    assert found(model(one, LONGEST, exact=True), deepest=4) is None
    assert found(model(one, LONGEST), deepest=4) is not None


def test_what_holds_of_real_numbers_alone_is_not_proved() -> None:
    """Adding 1e17 and taking it away again gives the same real number, and another for the controller."""
    there = nodes.Subtract(nodes.Add(SENSOR, real(1e17)), real(1e17))
    one = network(nodes.And((compared(">", SENSOR, 4.0), compared("<", there, 1.0))))
    assert replay(one, made([(0, {"hold": False, "sensor": 4.5})]), "bad") is not None
    assert found(model(one, LONGEST, exact=True)) is None
    part = model(one, LONGEST)
    assert not spacer.never_in_a_step(part, part.values["bad"], Budget(4_000_000))
    assert spacer.invariant(part, part.values["bad"], Budget(10_000_000)) is False


@settings(max_examples=60, **MANY)  # type: ignore[arg-type]
@given(measured())
def test_verdicts_agree_with_trying_what_a_sensor_may_say(one: Network) -> None:
    wanted = shortest_break(one, 300, MEASURED)
    assume(wanted != -1)
    way = found(model(one, LONGEST, exact=works_out(one)))
    if wanted is not None:
        assert way is not None
    if way is not None:
        assert replay(one, way, "bad") is not None
    part = model(one, LONGEST)
    proof = spacer.invariant(part, part.values["bad"], Budget(6_000_000))
    if proof not in (None, False):
        assert way is None
        assert recheck.holds(script(part, ["bad"], Certificate(text_of(proof))))


@settings(max_examples=20, **MANY)  # type: ignore[arg-type]
@given(small())
def test_without_measured_values_nothing_changes(one: Network) -> None:
    assert not works_out(one)
    part = model(one, LONGEST)
    plain = bounded.search(part, part.values["bad"], 8, Budget(40_000_000))
    part = model(one, LONGEST, exact=True)
    exact = bounded.search(part, part.values["bad"], 8, Budget(40_000_000))
    assert (plain[0] is None, plain[1]) == (exact[0] is None, exact[1])
