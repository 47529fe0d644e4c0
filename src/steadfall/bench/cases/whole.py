"""The cases that a plan gives rise to: every stage, call, guard, sensor and a power cut is tried once.

Rule of this file: a row a sort of case; what inputs cannot bring about has no case, and is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from typing import Any

from attrs import evolve, frozen

from steadfall.bench.cases.script import Case, Script, answer, held_ms
from steadfall.logic.build.conditions import times_after
from steadfall.plan.meaning.trust import climb_of
from steadfall.plan.model import ButtonCall, Call, Dose, Input, Plan, Pulses
from steadfall.plan.model.condition import Condition, Not
from steadfall.plan.model.sequence import FAILED_ABOVE, FAILED_BELOW, SPEAKS_ABOVE, SPEAKS_BELOW
from steadfall.plan.model.setting import Setting, high_end
from steadfall.plan.model.upset import Sort, Wrong
from steadfall.predict.inputs.scenario import AnyCall, course, strongest_calls

LEAST_MS, MARGIN_MS = 3_000, 1_500  # a call at least; what is given to scans and the link
MOST_DOSES_MS = 20_000  # of doses that are waited for in one stage
MOST_WAIT_MS = 900_000  # of a stage: longer ones are not waited for


MOST_MOMENTS = 4  # at which a guard is tried
Made = list[tuple[AnyCall, tuple[str, ...]]]  # calls, each with the inputs that were set for it


@frozen
class Cases:
    """All cases, and what no case can try, each with the reason."""

    cases: tuple[Case, ...]
    left_out: tuple[str, ...]


def cases(plan: Plan) -> Cases:
    """Those of a plan, in the order in which they are best tried."""
    found: list[Case] = []
    left: list[str] = []
    for sort in SORTS:
        for one in sort(plan):
            if isinstance(one, Case):
                found.append(one)
            else:
                left.append(one)
    return Cases(tuple(found), tuple(left))


def _stages(plan: Plan) -> Iterator[Case | str]:
    """Through every stage: sensors show what a climb waits for as soon as its stage has been seen."""
    script = Script(plan)
    yield from _stuck(script)
    made, shown = _up(script)
    _let_go(script, made)
    script.back(shown)
    script.wait(finish_ms(plan) + MARGIN_MS)
    yield script.case("every stage", "every stage, climb and step of the finish", plan.at.of("circuits").line)


def _stuck(script: Script) -> Iterator[str]:
    """The climbs that inputs cannot bring about."""
    for circuit in script.plan.circuits:
        for stage in script.plan.type_of(circuit).stages:
            climb = climb_of(script.plan, circuit, stage)
            if climb is not None and answer(climb, script.plan, script.people, circuit) is None:
                yield f"{circuit}: inputs cannot bring about the climb from {stage.name}"


def _up(script: Script) -> tuple[Made, list[str]]:
    """To the highest stage; who called how, and the sensors that show something."""
    plan, shown = script.plan, set[str]()
    made = _called(script)
    for place in range(max(len(kind.stages) for kind in plan.circuit_types.values())):
        script.wait(min(MOST_WAIT_MS, max(_stay(plan, circuit, place) for circuit in plan.circuits)))
        for circuit in plan.circuits:
            climb = _climb(plan, circuit, place)
            given = (climb and answer(climb, plan, script.people, circuit)) or {}
            script.put(given)
            shown |= given.keys() - script.start.keys()
        script.wait(MARGIN_MS)
    return made, sorted(shown)


def _called(script: Script) -> Made:
    """The strongest calls are made; each with the inputs that were set for it."""
    script.wait(LEAST_MS)
    made = [(call, script.call(call)) for call in strongest_calls(script.plan)]
    return [(call, given) for call, given in made if given is not None]


def _let_go(script: Script, made: Made) -> None:
    for call, given in made:
        script.let_go(call, given)


def _again(script: Script, made: Made) -> None:
    """The call is let go, and made once more."""
    _let_go(script, made)
    made = _called(script)
    script.wait(LEAST_MS)
    _let_go(script, made)
    script.wait(finish_ms(script.plan) + MARGIN_MS)


def _climb(plan: Plan, circuit: str, place: int) -> Condition | None:
    stages = plan.type_of(circuit).stages
    return climb_of(plan, circuit, stages[place]) if place < len(stages) else None


def _stay(plan: Plan, circuit: str, place: int) -> int:
    """How long a stage is stayed in: what its climb waits for, and some doses."""
    stages = plan.type_of(circuit).stages
    if place >= len(stages):
        return 0
    waits = [*times_after(stages[place].climb), held_ms(stages[place].climb)]
    return max(*waits, min(MOST_DOSES_MS, _doses(stages[place].actions))) + LEAST_MS


def _doses(actions: Mapping[str, Any]) -> int:
    """Two doses of each valve, and what comes after them."""
    found = [0]
    for action in actions.values():
        if isinstance(action, Dose):
            found.append(
                2 * (high_end(action.open_ms) + high_end(action.shut_ms)) + high_end(action.for_ms or 0)
            )
            if isinstance(action.then, Pulses):
                found.append(found[-1] + 2 * (high_end(action.then.open_ms) + high_end(action.then.shut_ms)))
    return max(found)


def finish_ms(plan: Plan) -> int:
    """How long the longest finish of a plan takes."""
    return max(sum(high_end(step.for_ms) for step in kind.finish) for kind in plan.circuit_types.values())


def _calls(plan: Plan) -> Iterator[Case | str]:
    for number, call in enumerate(plan.calls, 1):
        script, line = Script(plan), call.at.own.line
        script.wait(finish_ms(plan) + LEAST_MS)  # so that it begins from idle
        given, name = script.call(call), _name_of(call)
        if given is None:
            yield f"call {number} ({name}, line {line}): inputs cannot make it"
            continue
        script.wait(max(LEAST_MS, min(MOST_DOSES_MS, _first_doses(plan, call))))
        script.let_go(call, given)
        script.wait(finish_ms(plan) + MARGIN_MS)
        yield script.case(f"call {number}", f"{name} is made, and let go", line)


def _first_doses(plan: Plan, call: AnyCall) -> int:
    return max((_doses(plan.type_of(circuit).stages[0].actions) for circuit in call.circuits), default=0)


def _name_of(call: AnyCall) -> str:
    if isinstance(call, ButtonCall):
        return f"the call for {call.allows} by {call.start}"
    return f"the call for {call.allows}" if isinstance(call, Call) else f"the demand {call.of}"


def _permissives(plan: Plan) -> Iterator[Case | str]:
    for one in plan.permissives:
        script, line = Script(plan), one.at.own.line
        lost = answer(Not(one.needs), plan, script.people)
        if lost is None:
            yield f"permissive '{one.name}' (line {line}): inputs cannot take it away"
            continue
        for made, shown in _cooling(script):
            script.put(lost)
            script.wait(max(LEAST_MS, held_ms(one.needs)) + MARGIN_MS)
            script.back(lost)
            script.wait(MARGIN_MS)
            _let_go(script, made)
            script.back(shown)
        _again(script, [])
        yield script.case(f"permissive {one.name}", "it is lost while cooling, and comes back", line)


def _trips(plan: Plan) -> Iterator[Case | str]:
    for one in plan.trips:
        script, line = Script(plan), one.at.own.line
        wrong, reset = answer(one.when, plan, script.people), answer(one.reset, plan, script.people)
        if wrong is None or reset is None:
            yield f"trip '{one.name}' (line {line}): inputs cannot bring it about, or reset it"
            continue
        for made, shown in _cooling(script):
            script.put(wrong)
            script.wait(held_ms(one.when) + MARGIN_MS)
            script.back({*wrong, *shown})
            script.wait(MARGIN_MS)
            script.put(reset)
            script.wait(held_ms(one.reset) + MARGIN_MS)
            script.back(reset)
            script.wait(MARGIN_MS)
            _let_go(script, made)
        _again(script, [])
        yield script.case(f"trip {one.name}", "it trips while cooling, and is reset", line)


def _cooling(script: Script) -> Iterator[tuple[Made, list[str]]]:
    """Moments at which water flows: in the first dose of each circuit, then in the highest stage."""
    for moment in _first_openings(script.plan):
        made = _called(script)
        script.wait(moment)
        yield made, []
    yield _up(script)


def _first_openings(plan: Plan) -> list[int]:
    """How long after a call the first doses are half over."""
    found = set()
    for circuit in plan.circuits.values():
        first = plan.type_of(circuit.name).stages[0].actions.values()
        doses = [high_end(action.open_ms) // 2 for action in first if isinstance(action, Dose)]
        found.add(high_end(circuit.delay_doses_ms) + min(doses, default=LEAST_MS))
    return sorted(found)[:MOST_MOMENTS]


def _inputs(plan: Plan) -> Iterator[Case | str]:
    """What an input alone can do wrong: a broken wire, a loose contact, a value that stands still."""
    for item in plan.inputs.values():
        script = Script(plan)
        made = _called(script)
        script.wait(LEAST_MS)
        what = _broken(script, item)
        _again(script, made)
        yield script.case(f"input {item.name}", what, item.at.own.line)


def _broken(script: Script, item: Input) -> str:
    if item.is_digital:
        script.wrong(item.name, Wrong.BOUNCES)
        script.wait(2 * LEAST_MS + MARGIN_MS)
        return "its contact is loose"
    for value in _out_of_range(item):
        script.wrong(item.name, Wrong.STICKS)
        script.wait(MARGIN_MS)
        script.put({item.name: value})
        script.wait(LEAST_MS)
        script.back([item.name])
        script.wait(MARGIN_MS)
    return "it stands still, then is out of its range, at both ends"


def _out_of_range(item: Input) -> tuple[float, float]:
    """Between where a sensor counts as failed and where it speaks no more."""
    span = item.high - item.low
    low = (
        item.bad_below if item.bad_below is not None else item.low - span * (FAILED_BELOW + SPEAKS_BELOW) / 2
    )
    high = (
        item.bad_above if item.bad_above is not None else item.high + span * (FAILED_ABOVE + SPEAKS_ABOVE) / 2
    )
    return low, high


def _power(plan: Plan) -> Iterator[Case | str]:
    """What is kept and what is cleared: under a call, with the panel set otherwise; then after a trip."""
    script, line = Script(plan), plan.at.of("scan").line
    if plan.settings:
        script.wait(LEAST_MS)
        script.set_on_panel({name: _otherwise(item) for name, item in plan.settings.items()})
    made = _called(script)
    script.wait(LEAST_MS)
    _cut(script)
    _again(script, made)
    yield script.case("power", "the controller is switched off and on again under a call", line)
    yield from islice(_power_after_trip(plan), 1)


def _power_after_trip(plan: Plan) -> Iterator[Case]:
    for one in plan.trips:
        script = Script(plan)
        wrong = answer(one.when, plan, script.people)
        if wrong is None:
            continue
        made = _called(script)
        script.wait(LEAST_MS)
        script.put(wrong)
        script.wait(held_ms(one.when) + MARGIN_MS)
        script.back(wrong)
        script.wait(MARGIN_MS)
        _cut(script)
        _again(script, made)
        what = "it has tripped, and before it is reset the controller is switched off and on again"
        yield script.case(f"power after {one.name}", what, one.at.own.line)


def _cut(script: Script) -> None:
    script.power = script.now
    script.wait(LEAST_MS)


def _otherwise(item: Setting) -> float:
    """The end of a setting that is not its default."""
    return item.low if item.default == item.high else item.high


def _scenarios(plan: Plan) -> Iterator[Case | str]:
    for one in plan.scenarios.values():
        made = course(plan, one.name)
        if made.panel or any(upset.wrong.sort is Sort.POWER for upset in made.upsets):
            yield f"scenario '{one.name}': it needs the panel, or cuts the power"
            continue
        lasting = made.until_ms or made.longest_ms
        yield Case(
            f"scenario {one.name}", "as the plan has it", evolve(made, release={}), lasting, one.at.own.line
        )


Sorted = Callable[[Plan], Iterator[Case | str]]
SORTS: tuple[Sorted, ...] = (_stages, _calls, _permissives, _trips, _inputs, _power, _scenarios)
