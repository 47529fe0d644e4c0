"""Which parts of a state tell: with those alone as they were, the scan speaks against the goal as well."""

from __future__ import annotations

from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import And, Compare, Constant, Not, Previous, Read, Since, Type
from steadfall.prove.lemmas.joint import Joint, places
from steadfall.prove.lemmas.telling import Telling
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver
from steadfall.prove.system.kept import age, last
from steadfall.prove.system.step import model

LONGEST = 40


def network() -> Network:
    """Bad: the clock is over while `held`; `other` and its clock have nothing to do with it."""
    wish, other = Read("wish", Type.BOOL), Read("other", Type.BOOL)
    over = Compare(">=", Read("clock", Type.TIME), Constant(500, Type.TIME))
    rows = (
        Assignment("clock", Type.TIME, Since("held", 1000), initial=0),
        Assignment("apart", Type.TIME, Since("other_held", 1000), initial=0),
        Assignment("bad", Type.BOOL, And((Previous("held", Type.BOOL), over)), initial=False),
        Assignment("held", Type.BOOL, And((wish, Not(Read("bad", Type.BOOL)))), initial=False),
        Assignment("other_held", Type.BOOL, And((other, Previous("other_held", Type.BOOL))), initial=False),
    )
    return Network((Input("wish", Type.BOOL), Input("other", Type.BOOL)), rows, ())


def test_only_what_tells_is_named() -> None:
    joint = Joint(model(network(), LONGEST, single=True))
    space, goal = joint.model.space, joint.one(joint.model.values["bad"])
    after = [space.symbol(f"{slot.key}'", slot.initial) for slot in joint.slots]
    solver, budget = Solver(space), Budget(1_000_000)
    solver.add(joint.one(joint.model.allowed), joint.one(joint.model.ends))
    assert solver.ask(budget, goal) is Answer.YES
    everything = (1 << len(joint.slots)) - 1
    asked = Telling(joint, after, solver)
    scan = asked.scan(everything)
    found = asked.parts(scan, space.value(True) != goal, budget)
    keys = {joint.slots[place].key for place in places(found)}
    assert keys == {last("held"), age("clock")}
    assert scan.begin[[slot.key for slot in joint.slots].index(last("held"))] == 1


def test_without_effort_all_parts_tell() -> None:
    joint = Joint(model(network(), LONGEST, single=True))
    space, goal = joint.model.space, joint.one(joint.model.values["bad"])
    solver = Solver(space)
    assert solver.ask(Budget(1_000_000), goal) is Answer.YES
    after = [space.symbol(f"{slot.key}'", slot.initial) for slot in joint.slots]
    asked = Telling(joint, after, solver)
    assert asked.parts(asked.scan(0b11), space.value(True) != goal, Budget(0)) == 0b11
