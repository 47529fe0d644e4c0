"""A plan's conditions as nodes: a table keyed by the kind of condition.

Rule of this file: what stands further down in a scan is seen as the scan before left it, all else as it is in
this scan (`SEEN_BEFORE`); so the order in which ramps and circuits are written changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from typing import Any

from attrs import evolve, field, frozen

from steadfall.comparisons import NEGATION
from steadfall.logic.build.readings import good, in_unit, is_bad, reading
from steadfall.logic.build.stages import IDLE, last_stage, state_names
from steadfall.logic.forms import (
    FALSE,
    all_of,
    any_of,
    at_least,
    boolean,
    choose,
    equal,
    ms,
    opposite,
    real,
    whole,
)
from steadfall.logic.nodes import Compare, Node, Previous, Read, SetDominant, Since, Ton, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.meaning.names import resolve, signals
from steadfall.plan.model import Input, Plan
from steadfall.plan.model import condition as said
from steadfall.plan.model.condition import Condition
from steadfall.plan.model.setting import Level, high_end
from steadfall.roles import HELPER, Identity, Role, helper
from steadfall.roles import stage as stage_name
from steadfall.source import Mark


@frozen
class Scope:
    """Where a condition stands: plan, circuit if it has one, time in the stage; and a name for what it
    remembers.
    """

    plan: Plan
    label: str
    circuit: str | None = None
    stage_time: Node | None = None
    # what is seen as the scan before left it
    before: Set[Role] = field(default=SEEN_BEFORE["requirement"], kw_only=True)
    serves: Identity = field(default=HELPER, kw_only=True)  # what the condition is for
    keeps: Identity = field(kw_only=True)  # what it remembers for, that a power cut clears
    presets: str = field(kw_only=True)  # how its presets begin: circuits of one type call them alike

    @keeps.default
    def _keeps(self) -> Identity:
        return self.serves

    @presets.default
    def _presets(self) -> str:
        return self.label


def build(condition: Condition, sheet: Sheet, scope: Scope) -> Node:
    """The condition as a node; what it must remember is written on the sheet."""
    return FORMS[type(condition)](condition, sheet, scope)


def _signal(item: said.Signal, _: Sheet, scope: Scope) -> Node:
    name = resolve(item.name, scope.circuit, signals(scope.plan)) or item.name
    return _seen(name, Type.BOOL, scope, item.mark)


def _seen(name: str, kind: Type, scope: Scope, mark: Mark) -> Read | Previous:
    """A signal in this scan or the one before, as the place of the condition has it."""
    late = signals(scope.plan)[name].role in scope.before
    return Previous(name, kind, mark=mark) if late else Read(name, kind, mark=mark)


def measured(scope: Scope, name: str) -> tuple[str, Input | None]:
    """The full name of a REAL signal, and the input whose unit it has (None: percent)."""
    plan = scope.plan
    full = resolve(name, scope.circuit, signals(plan)) or name
    if full in plan.inputs:
        return full, plan.inputs[full]
    identity = signals(plan)[full].identity
    return full, plan.inputs[plan.ramps[identity.of].of] if identity.role is Role.SET_POINT else None


def _compare(item: said.Compare, sheet: Sheet, scope: Scope) -> Node:
    name, source = measured(scope, item.name)
    set_here = isinstance(item.value, Level)
    value = in_unit(source, item.value) if source and not set_here else item.value
    label = f"{scope.presets}.{signals(scope.plan)[name].identity.word}"
    if name in scope.plan.inputs:
        shown: Node = evolve(reading(sheet, scope.plan, name), mark=item.mark)
    else:
        shown = _seen(name, Type.REAL, scope, item.mark)
    holds = Compare(item.op, shown, real(value, label), mark=item.mark)
    if not item.hysteresis:
        return holds
    back = in_unit(source, item.given_up) if source else item.given_up
    gone = Compare(NEGATION[item.op], shown, real(back, f"{label}.back"), mark=item.mark)
    wish = helper(Role.KEPT, scope.label, scope.keeps)
    return sheet.helper(wish, SetDominant(holds, gone), item.mark)


def _goes(item: said.Goes, sheet: Sheet, scope: Scope) -> Node:
    """Nothing has gone on or off in the first scan."""
    name = resolve(item.name, scope.circuit, signals(scope.plan)) or item.name
    now = _seen(name, Type.BOOL, scope, item.mark)
    was = sheet.helper(helper(Role.WAS, scope.label, scope.keeps), now, item.mark, initial=item.on)
    before = Previous(was.name, Type.BOOL)
    return all_of((was, opposite(before)) if item.on else (opposite(was), before))


def _out_of_range(item: said.OutOfRange, sheet: Sheet, scope: Scope) -> Node:
    """The controller has looked already; what watches it looks for itself."""
    source = measured(scope, item.name)[1]
    if source is None or scope.serves.watches:
        return is_bad(source) if source else FALSE
    return opposite(evolve(good(sheet, scope.plan, source), mark=item.mark))


def _in_stage(item: said.InStage, _: Sheet, scope: Scope) -> Node:
    circuit = item.circuit or scope.circuit or ""
    kind = scope.plan.type_of(circuit)
    where: type[Read] | type[Previous] = Previous if Role.STAGE in scope.before else Read
    stage = where(stage_name(circuit), Type.INT, mark=item.mark)
    if item.stage == "finishing":
        return Compare(">", stage, whole(last_stage(kind)), mark=item.mark)
    number = IDLE if item.stage == "idle" else state_names(kind).index(item.stage)
    return equal(stage, whole(number))


def _held(item: said.Held, sheet: Sheet, scope: Scope) -> Node:
    held = Ton(build(item.part, sheet, scope), ms(item.ms, f"{scope.presets}.for"))
    return sheet.helper(helper(Role.HELD, scope.label, scope.serves), held, item.mark)


def _after(item: said.After, _: Sheet, scope: Scope) -> Node:
    if scope.stage_time is None:
        raise ValueError(f"{item.mark}: 'after' needs a stage")
    return at_least(scope.stage_time, ms(item.ms, f"{scope.presets}.after"))


def _passed(item: said.Passed, sheet: Sheet, scope: Scope) -> Node:
    """0 in the scan in which it begins, as in a requirement everything is seen as this scan leaves it."""
    begins = Read(f"{item.name}:begins", Type.BOOL)
    age = sheet.helper(
        helper(Role.AGE, scope.label, scope.serves), Since(begins.name, high_end(item.ms) + 1), item.mark
    )
    holds = Compare(item.op, age, ms(item.ms), mark=item.mark)
    return choose(begins, boolean(item.op in ("<", "<=") and (item.ms > 0 or item.op == "<=")), holds)


FORMS: Mapping[type[Condition], Callable[[Any, Sheet, Scope], Node]] = {
    said.Always: lambda item, _sheet, _scope: boolean(item.value),
    said.Signal: _signal,
    said.Compare: _compare,
    said.Goes: _goes,
    said.OutOfRange: _out_of_range,
    said.InStage: _in_stage,
    said.Not: lambda item, sheet, scope: opposite(build(item.part, sheet, scope)),
    said.And: lambda item, sheet, scope: all_of([build(part, sheet, scope) for part in item.parts]),
    said.Or: lambda item, sheet, scope: any_of([build(part, sheet, scope) for part in item.parts]),
    said.Held: _held,
    said.After: _after,
    said.Passed: _passed,
}


def times_after(condition: Condition | None) -> list[int]:
    """Every time that a climb asks for since its stage was entered, in ms."""
    if isinstance(condition, said.After):
        return [high_end(condition.ms)]
    if isinstance(condition, said.And | said.Or):
        return [time for part in condition.parts for time in times_after(part)]
    return times_after(condition.part) if isinstance(condition, said.Not | said.Held) else []


def input_named(sheet: Sheet, scope: Scope, name: str) -> Read:
    """An input by the name that a circuit type uses for it."""
    return reading(sheet, scope.plan, resolve(name, scope.circuit, scope.plan.inputs) or name)
