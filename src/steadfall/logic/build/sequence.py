"""The sequence of a circuit: which stage, scan by scan.

Rule of this file: at most one stage up per scan; down at once, or after the least time in a stage; without a
call, through the finish steps in order to idle; a call during the finish begins again at the first stage.
"""

from __future__ import annotations

from attrs import evolve, frozen

from steadfall.logic.build.conditions import Scope, build, times_after
from steadfall.logic.build.guards import Guards
from steadfall.logic.build.person.by_hand import Hands
from steadfall.logic.build.stages import FIRST, IDLE, first_finish, last_stage, state_names
from steadfall.logic.forms import (
    FALSE,
    all_of,
    at_least,
    choose,
    different,
    less,
    lookup,
    ms,
    numbered,
    whole,
)
from steadfall.logic.forms import any_of as either
from steadfall.logic.nodes import Compare, Node, Previous, Read, Since, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.trust import climb_of
from steadfall.plan.model import CircuitType, Dose, FinishStep, Plan
from steadfall.plan.model.setting import high_end
from steadfall.roles import Named, Role, of_circuit
from steadfall.roles import climb as climb_named
from steadfall.source import Mark


@frozen
class Sequence:
    """What the doses and outputs of a circuit read."""

    stage: Read
    entered: Read  # the stage has changed in this scan
    time: Read  # since then
    names: tuple[str, ...]  # of the states, at their numbers


@frozen
class Climbing:
    """The time that a climb counts, where a hold makes that another than the time in the stage."""

    time: Read
    turned: Named  # it begins again: the stage has changed, or the sequence is on hold

    @classmethod
    def of(cls, sheet: Sheet, circuit: str, by_hand: Hands, longest: int) -> Climbing:
        """Writes the time; whoever knows when it begins again assigns that further down."""
        turned = sheet.free(of_circuit(Role.CLIMB_TURN, circuit))
        mark = by_hand.plan.at.of("hold")
        time = sheet.helper(of_circuit(Role.CLIMB_TIME, circuit), Since(turned.name, longest), mark)
        return cls(time, turned)


def sequence(
    sheet: Sheet, plan: Plan, circuit: str, guards: Guards, asks: dict[int, list[Node]], by_hand: Hands
) -> Sequence:
    """Writes `CIRCUIT.stage` and what leads to it."""
    kind, mark = plan.type_of(circuit), plan.circuits[circuit].at.own
    wish = of_circuit(Role.STAGE, circuit)
    before = Previous(wish.name, Type.INT)
    entered = sheet.free(of_circuit(Role.ENTERED, circuit))
    longest = max([0, high_end(kind.step_down_ms), *_times(kind)])
    time = sheet.helper(of_circuit(Role.STAGE_TIME, circuit), Since(entered.name, longest), mark)
    highest = _target(kind, guards.to_cool(circuit), asks)
    target = sheet.put(of_circuit(Role.TARGET, circuit), highest, mark)
    climbing = Climbing.of(sheet, circuit, by_hand, longest) if by_hand.holds else None
    scope = Scope(plan, circuit, circuit, climbing.time if climbing else time, before=SEEN_BEFORE["climb"])
    ended = _over(sheet, scope, before, time, by_hand)
    over = sheet.helper(of_circuit(Role.STEP_OVER, circuit), ended, mark)
    called = sheet.helper(of_circuit(Role.CALLED, circuit), at_least(target, numbered(FIRST)), mark)
    cooling = all_of((at_least(before, numbered(FIRST)), Compare("<=", before, numbered(last_stage(kind)))))
    running = sheet.helper(of_circuit(Role.RUNNING, circuit), cooling, mark)
    onward = choose(
        over,
        lookup(before, [numbered(number) for number in _next(kind, circuit in by_hand.hand_over)]),
        before,
    )
    down = (
        choose(at_least(time, ms(kind.step_down_ms, "step_down")), target, before)
        if kind.step_down_ms
        else target
    )
    up = choose(less(before, target), onward, before)
    kept = choose(running, choose(less(target, before), down, up), numbered(FIRST))
    leaving = choose(running, numbered(first_finish(kind)), onward)
    starts = first_finish(kind) if kind.cold_start == "finish" else IDLE
    stage = sheet.put(wish, choose(called, kept, leaving), _origin(kind, mark), starts)
    moved = sheet.put(entered, different(stage, before), mark)
    if climbing is not None:
        sheet.put(climbing.turned, either((moved, by_hand.on_hold)), mark)
    return Sequence(stage, moved, time, state_names(kind))


def _origin(kind: CircuitType, mark: Mark) -> Mark:
    found = kind.at.of("stages")
    return found if found.line else mark


def _times(kind: CircuitType) -> list[int]:
    """Every time that a stage, a dose in it or a finish step waits for."""
    climbs = [time for stage in kind.stages for time in times_after(stage.climb)]
    actions = [action for stage in kind.stages for action in stage.actions.values()]
    doses = [action.for_ms for action in actions if isinstance(action, Dose) and action.for_ms is not None]
    return [*climbs, *doses, *(high_end(step.for_ms) for step in kind.finish)]


def _target(kind: CircuitType, free: Node, asks: dict[int, list[Node]]) -> Node:
    """The highest stage that something allows now; 0 while cooling is not permitted, or done, or a supply is
    not there.
    """
    numbers = [whole(number, f"{kind.name}.{name}") for number, name in enumerate(state_names(kind))]
    found: Node = numbers[IDLE]
    for number in sorted(asks):
        found = choose(either(asks[number]), numbers[number], found)
    return choose(free, found, numbers[IDLE])


def _over(sheet: Sheet, scope: Scope, before: Node, time: Node, by_hand: Hands) -> Node:
    """Whether the present stage may give way to the next, or the finish step has run its time."""
    kind = scope.plan.type_of(str(scope.circuit))
    climbs = [by_hand.hand_over.get(str(scope.circuit), FALSE)]  # idle
    for stage in kind.stages:
        climb = climb_of(scope.plan, str(scope.circuit), stage)
        wish = climb_named(str(scope.circuit), stage.name)
        presets = f"{stage.name}.{Role.CLIMB.value}"
        what = wish.identity
        own = evolve(scope, label=wish.name, serves=what, keeps=what, presets=presets)
        if climb is None:
            climbs.append(FALSE)
            continue
        may = by_hand.lets(build(climb, sheet, own), str(scope.circuit), stage.name)
        climbs.append(sheet.named(wish, may, stage.at.of("climb")))
    return lookup(before, [*climbs, *(_run(time, step) for step in kind.finish)])


def _run(time: Node, step: FinishStep) -> Node:
    """Whether a finish step has run its time."""
    mark = step.at.own
    return Compare(">=", time, ms(step.for_ms, f"{step.name}.for", mark), mark=mark)


def _next(kind: CircuitType, in_hand: bool) -> list[int]:
    """The state after each state; after an idle in which valves were moved by hand the finish."""
    last = last_stage(kind)
    stages = [min(number + 1, last) for number in range(FIRST, last + 1)]
    steps = [number + 1 for number in range(last + 1, last + len(kind.finish))]
    return [first_finish(kind) if in_hand else IDLE, *stages, *steps, *([IDLE] if kind.finish else [])]
