"""The requirements that follow from any plan without being asked, of what calls for cooling.

Rule of this file: as in `derived.guards`. Between them these say of every scan which stage a
call, a climb or the end of a call leads to.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from steadfall.logic.build.conditions import times_after
from steadfall.logic.build.stages import FIRST, IDLE, last_stage
from steadfall.logic.forms import (
    FALSE,
    all_of,
    any_of,
    at_least,
    choose,
    different,
    equal,
    less,
    ms,
    opposite,
    whole,
)
from steadfall.logic.nodes import Compare, Node, Read, SetDominant, Type
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.feeders import feeding
from steadfall.plan.meaning.person.by_hand import buttons_of
from steadfall.plan.meaning.trust import climb_of
from steadfall.plan.model import ButtonCall
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.called import anything_calls, call_allows
from steadfall.prove.requirements.derived.guards import stage_before, stage_of
from steadfall.prove.requirements.pressed import counts, held, just_pressed, stepped
from steadfall.prove.requirements.supplied import supplied
from steadfall.prove.requirements.tested import in_test
from steadfall.prove.requirements.watch import Said, Watch
from steadfall.roles import Role, of_circuit, of_plant
from steadfall.roles import stage as stage_name


def stages_as_called(watch: Watch) -> None:
    """What each circuit does with its calls."""
    for name in watch.plan.circuits:
        asks = _asks(watch, name)
        _climbs(watch, name, asks)
        _begins(watch, name, asks)
        _steps_down(watch, name, asks)
        _ends(watch, name, asks)


def _asks(watch: Watch, circuit: str) -> list[Node]:
    """For each stage from the first on: something allows it or a higher one, and cooling is permitted."""
    kind, own = watch.plan.type_of(circuit), of_circuit(Role.CALLED, circuit).name
    allowed: dict[int, list[Node]] = {}
    for place, call in enumerate(watch.plan.calls):
        if circuit in call.circuits:
            for number, node in call_allows(watch, kind, call, f"{own}:{place}"):
                allowed.setdefault(number, []).append(node)
    over = [opposite(DONE)] if watch.plan.done else []
    there = supplied(watch, circuit)
    free = watch.signal(
        f"{own}:may",
        all_of([counts(watch), *over, *there, *map(opposite, in_test(watch))]),
        watch.plan.circuits[circuit].at.own,
    )
    asks: list[Node] = []
    higher: Node = FALSE
    for number in range(last_stage(kind), 0, -1):
        higher = any_of([higher, *allowed.get(number, [])])
        asks.append(all_of((free, higher)))
    return asks[::-1]


def _climbs(watch: Watch, name: str, asks: list[Node]) -> None:
    """A circuit climbs when the climb condition of its stage holds and something calls for more, and only
    then.
    """
    stages = watch.plan.type_of(name).stages
    for number, (stage, above) in enumerate(pairwise(stages), FIRST):
        climb = climb_of(watch.plan, name, stage)
        if climb is None:
            continue
        label, mark = f"{name}.{stage.name}.climbs", stage.at.of("climb")
        turns = any_of((different(stage_of(name), stage_before(name)), *held(watch)))
        age = watch.since(label, turns, max([0, *times_after(climb)]), mark)
        here, there = equal(stage_before(name), whole(number)), equal(stage_of(name), whole(number + 1))
        due = any_of((watch.seen("climb", climb, label, name, age), *stepped(watch, name, stage.name)))
        may = watch.signal(f"{label}:may", all_of((due, *map(opposite, held(watch)), asks[number])), mark)
        words = f"{name} climbs from {stage.name} to {above.name} when, and only when, a call allows it and "
        words += aloud(climb, watch.plan, name, before=SEEN_BEFORE["climb"])
        words += f"{_by_hand(watch, name, stage.name)}."
        bad = all_of((here, different(may, there)))
        climbed = all_of((here, there)) if asks[number] != FALSE else here
        watch.require(Said(label, words, (mark,), (stage_name(name),), name), bad, climbed)


def _by_hand(watch: Watch, circuit: str, stage: str) -> str:
    """How a person changes when a stage is left, in words."""
    buttons = buttons_of(watch.plan, circuit, stage)
    step = f", or {' or '.join(buttons)} is newly pressed" if buttons else ""
    return step + (", and never on hold, after which its time counts from 0" if watch.plan.hold else "")


def _begins(watch: Watch, name: str, asks: list[Node]) -> None:
    """A call begins at the first stage in the same scan, from idle and from the finish."""
    kind, circuit = watch.plan.type_of(name), watch.plan.circuits[name]
    before = stage_before(name)
    resting = any_of((equal(before, whole(IDLE)), Compare(">", before, whole(last_stage(kind)))))
    fed = " and its supplies are there" if feeding(watch.plan, name) else ""
    fed += " and no valve is tested" if watch.plan.test else ""
    words = (
        f"{name} begins {kind.stages[0].name} in the scan in which it is called{fed}, out of its finish too."
    )
    said = Said(f"{name}.answers_a_call", words, (circuit.at.own,), (stage_name(name),), name)
    called = all_of((resting, asks[0]))
    watch.require(said, all_of((called, different(stage_of(name), whole(FIRST)))), called)


def _steps_down(watch: Watch, name: str, asks: list[Node]) -> None:
    """When only a lower stage is called a circuit goes to that one, at once or after its least time in the
    stage, and at no other time.
    """
    kind, stage, before = watch.plan.type_of(name), stage_of(name), stage_before(name)
    if all(one == asks[0] for one in asks):
        return  # only the last stage is ever called: there is never less
    label, mark, least = f"{name}.steps_down", kind.at.of("step_down"), kind.step_down_ms
    highest: Node = whole(FIRST)
    for number, asked in enumerate(asks[1:], FIRST + 1):
        highest = choose(asked, whole(number), highest)
    called = watch.signal(f"{label}:called", highest, mark)
    when, due = "", less(called, before)
    if least:
        age = watch.since(label, different(stage, before), least, mark)
        when, due = (
            f" and it has been in its stage for {time(least)}",
            all_of((due, at_least(age, ms(least)))),
        )
    words = f"{name} steps down when, and only when, just a lower stage is called{when}; it goes to that one."
    said = Said(label, words, (mark,), (stage_name(name),), name)
    cooling = all_of((at_least(before, whole(FIRST)), Compare("<=", before, whole(last_stage(kind)))))
    wrong = choose(due, different(stage, called), less(stage, before))
    high = all_of((cooling, at_least(before, whole(FIRST + 1))))
    watch.require(said, all_of((cooling, asks[0], wrong)), high)


def _ends(watch: Watch, name: str, asks: list[Node]) -> None:
    """Without a call there is no cooling."""
    kind, stage = watch.plan.type_of(name), stage_of(name)
    cooling = all_of((at_least(stage, whole(FIRST)), Compare("<=", stage, whole(last_stage(kind)))))
    fed = " or a supply of it is not there" if feeding(watch.plan, name) else ""
    fed += " or valves are tested" if watch.plan.test else ""
    words = f"{name} is in its finish or idle in every scan in which nothing calls{fed}."
    said = Said(
        f"{name}.ends_with_its_call", words, (watch.plan.circuits[name].at.own,), (stage_name(name),), name
    )
    quiet, ran = opposite(asks[0]), at_least(stage_before(name), whole(FIRST))
    watch.require(said, all_of((quiet, cooling)), all_of((quiet, ran)))


def done_latches(watch: Watch) -> None:
    """The cool-down is done from the scan in which its condition holds while something calls, until nothing
    calls.
    """
    plan = watch.plan
    if plan.done is None:
        return
    label, mark = "done.latches", plan.done.at.own
    called = anything_calls(watch, label, mark)
    begins = all_of((called, watch.seen("done", plan.done.when, label)))
    anew = [just_pressed(watch, item.start) for item in plan.calls if isinstance(item, ButtonCall)]
    ends = any_of((opposite(called), *anew))
    own = watch.signal(f"{label}:own", SetDominant(begins, ends), mark)
    when = aloud(plan.done.when, plan, before=SEEN_BEFORE["done"])
    again = " or a call is begun anew by its button" if anew else ""
    words = f"The cool-down is done from the scan in which {when} while something calls, until nothing calls"
    words = f"{words}{again}."
    watch.require(Said(label, words, (mark,), (DONE.name,)), different(own, DONE), own)


DONE = Read(of_plant(Role.DONE).name, Type.BOOL)
CALLS: tuple[Callable[[Watch], None], ...] = (stages_as_called, done_latches)
