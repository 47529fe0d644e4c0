"""Judges what conditions say: every name is a signal, of the right kind, at a value that its sensor can see.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from attrs import frozen

from steadfall.dimensions import DIMENSIONS
from steadfall.plan.meaning.conditions import Stated, controller_conditions, requirement_conditions, walk
from steadfall.plan.meaning.names import Signal as Known
from steadfall.plan.meaning.names import parts, resolve, signals, timers
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import After, Compare, Goes, InStage, OutOfRange, Passed, Signal
from steadfall.plan.problems import Problems
from steadfall.roles import Role, within
from steadfall.source import Mark
from steadfall.units import shown

# A signal that would have to be known before it is worked out.
CIRCULAR: Mapping[str, tuple[str, ...]] = {
    "permissive": ("permitted",),
    "trip": ("tripped",),
    "done": ("done",),
    "hand": ("in_hand",),
    "hold": ("on_hold",),
}
# What there is of alarms only where something acknowledges them.
OF_ALARMS = ("alarm", "unacknowledged")


@frozen
class _Scope:
    """What a condition's names are looked up in."""

    plan: Plan
    stated: Stated
    known: Mapping[str, Known]
    problems: Problems

    def find(self, name: str, mark: Mark) -> tuple[str, Known] | None:
        """A signal by its full name; a problem where there is none."""
        full = resolve(name, self.stated.circuit, self.known)
        if full is not None:
            return full, self.known[full]
        if resolve(name, self.stated.circuit, timers(self.plan)):
            read = f"'{name}' is a time that the controller counts, and is not compared with a time here"
            self.add(mark, "wrong-dimension", read, "a comparison with a time", f"{name} >= 45 s")
        elif not self._awaits_acknowledgement(name):
            self.problems.unknown(mark, self.stated.key, self._meant(name), "signal", self._nearest())
        return None

    def _awaits_acknowledgement(self, name: str) -> bool:
        """Whether a name is of alarms that nothing acknowledges: that is told once, at the alarms."""
        unheard = bool(self.plan.alarms) and self.plan.acknowledge is None
        return unheard and (name in OF_ALARMS or parts(name)[0] in OF_ALARMS)

    def _meant(self, name: str) -> str:
        """A name as it is shown: with its circuit where other circuits of the type have such a signal."""
        circuit = self.stated.circuit
        alike = any(resolve(name, user, self.known) for user in self._users())
        return f"{circuit}.{name}" if circuit and name and alike else name

    def _users(self) -> list[str]:
        """The circuits that share this condition with their type."""
        if self.stated.circuit is None:
            return []
        kind = self.plan.circuits[self.stated.circuit].type
        return [one.name for one in self.plan.circuits.values() if one.type == kind]

    def _nearest(self) -> list[str]:
        """The names that may be meant: in a circuit type also those of its own."""
        users = self._users()
        local = [
            within(name, user) for user in users for name, one in self.known.items() if one.circuit == user
        ]
        return [*dict.fromkeys(local), *self.known]

    def add(self, mark: Mark, slug: str, read: str, expected: str, example: str = "") -> None:
        """A problem of this condition."""
        self.problems.add(mark, slug, self.stated.key, read, expected, example=example)


def conditions_make_sense(plan: Plan, problems: Problems) -> None:
    """Every part of every condition says something that can be true or false."""
    known = signals(plan)
    for stated in (*controller_conditions(plan), *requirement_conditions(plan)):
        scope = _Scope(plan, stated, known, problems)
        for part in walk(stated.condition):
            judge = _JUDGES.get(type(part))
            if judge:
                judge(part, scope)


def _signal(part: Signal | Goes, scope: _Scope) -> None:
    found = scope.find(part.name, part.mark)
    if found is None:
        return
    if found[1].type != "bool" and found[1].dimension:
        read = f"'{part.name}' is a measured value, not true or false"
        example = f"{part.name} > {DIMENSIONS[found[1].dimension].example}"
        scope.add(part.mark, "not-a-switch", read, "a comparison", example)
    elif found[0] in CIRCULAR.get(scope.stated.role, ()):
        read = f"'{part.name}' follows from this condition, and cannot be part of it"
        scope.add(part.mark, "circular", read, "inputs")


def _compare(part: Compare, scope: _Scope) -> None:
    found = scope.find(part.name, part.mark)
    if found is None:
        return
    name, signal = found
    words = {one: one.replace("_", " ") for one in (signal.dimension, part.dimension)}
    if signal.type == "bool":
        scope.add(
            part.mark, "not-a-value", f"'{part.name}' is true or false and has no value", "the name alone"
        )
    elif signal.dimension and signal.dimension != part.dimension:
        read = f"'{part.name}' is a {words[signal.dimension]} and is compared with a {words[part.dimension]}"
        scope.add(part.mark, "wrong-dimension", read, f"a {words[signal.dimension]}")
    elif signal.role in (Role.RAMP, Role.SET_POINT) and signal.identity.of == scope.stated.owner:
        scope.add(part.mark, "circular", f"'{part.name}' follows from this condition", "inputs")
    else:
        _sensor_sees(part, name, scope)


def _sensor_sees(part: Compare, name: str, scope: _Scope) -> None:
    item = scope.plan.inputs.get(name)
    low, high = (item.low, item.high) if item else (0.0, 100.0)
    if (item is None and part.dimension != "percent") or low >= high:
        return
    if part.value < low or part.value > high:
        seen = f"{shown(low, part.dimension)} to {shown(high, part.dimension)}"
        read = f"'{part.name}' never passes {shown(part.value, part.dimension)}: its range is {seen}"
        scope.add(part.mark, "outside-range", read, "a value within the range")
    elif part.given_up < low or part.given_up > high:
        back = shown(part.given_up, part.dimension)
        read = f"'{part.name}' would have to go back to {back}, which its range does not have"
        scope.add(part.mark, "outside-range", read, "less hysteresis")


def _out_of_range(part: OutOfRange, scope: _Scope) -> None:
    found = scope.find(part.name, part.mark)
    item = scope.plan.inputs.get(found[0]) if found else None
    if found and (item is None or item.is_digital):
        scope.add(
            part.mark, "not-a-value", f"'{part.name}' is no sensor and has no range", "a measured input"
        )


def _in_stage(part: InStage, scope: _Scope) -> None:
    plan = scope.plan
    circuit = plan.circuits.get(part.circuit)
    if circuit is None:
        scope.problems.unknown(part.mark, scope.stated.key, part.circuit, "circuit", plan.circuits)
        return
    kind = plan.circuit_types.get(circuit.type)
    known = [*kind.step_names, "idle", "finishing"] if kind else []
    if kind and part.stage not in known:
        scope.problems.unknown(part.mark, scope.stated.key, part.stage, f"stage of '{part.circuit}'", known)


def _after(part: After, scope: _Scope) -> None:
    if scope.stated.role != "climb":
        read = "'after' counts from the beginning of a stage and has a meaning in 'climb' only"
        scope.add(part.mark, "after", read, "'for' and a time", "full_call for 45 s")


def _passed(part: Passed, scope: _Scope) -> None:
    known = timers(scope.plan)
    full = resolve(part.name, scope.stated.circuit, known)
    if full is None and (found := resolve(part.name, scope.stated.circuit, scope.known)):
        what = scope.known[found].dimension.replace("_", " ") or "switch"
        expected = "a time that the controller counts"
        read = f"'{part.name}' is a {what} and is compared with a time"
        scope.add(part.mark, "wrong-dimension", read, expected, next(iter(known), ""))
    elif full is None:
        scope.problems.unknown(
            part.mark, scope.stated.key, part.name, "time that the controller counts", known
        )
    elif scope.stated.role != "requirement":
        read = f"'{part.name}' can be named in requirements only"
        scope.add(part.mark, "timer", read, "'for' and a time", "full_call for 45 s")


_JUDGES: Mapping[type, Callable[[Any, _Scope], None]] = {
    Signal: _signal,
    Compare: _compare,
    Goes: _signal,
    OutOfRange: _out_of_range,
    InStage: _in_stage,
    After: _after,
    Passed: _passed,
}

CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (conditions_make_sense,)
