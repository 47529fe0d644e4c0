"""The requirements that a plan states, as observers: a table keyed by the kind of requirement.

What the sentences mean, scan by scan:
- *whenever A, then B within T*: from each scan with A on, a scan with B comes no more than T later; A need
not last.
  With T = 0 s B holds in that very scan.
  *Lasting L*: from the first scan in which B answers, B holds for L; a new A begins the count again.
- *every opening lasts at least T*: from the scan that opens to the scan that shuts. At most: to the scan that
shuts.
- *at most n openings in T*: wherever a stretch of T begins, it holds no more; an input of the observer's own
  chooses the opening that the stretch begins with, so the proof covers every choice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import combinations
from typing import Any

import attrs

from steadfall.logic.forms import TRUE, all_of, any_of, at_least, choose, less, lookup, ms, opposite, whole
from steadfall.logic.network import Input
from steadfall.logic.nodes import Compare, Node, Previous, Read, Since, Type
from steadfall.plan.meaning.aloud import aloud
from steadfall.plan.meaning.conditions import walk
from steadfall.plan.meaning.names import signals, timers, valves, word
from steadfall.plan.model import AtMost, EveryOpening, Exclusive, Never, Plan, Requirement, Whenever
from steadfall.plan.model.condition import And, Condition, Goes, InStage, Or, OutOfRange, Passed, Signal
from steadfall.plan.model.condition import Compare as Compared
from steadfall.plan.text.lay_out import time
from steadfall.plan.text.speak import speak
from steadfall.prove.requirements.watch import Said, Term, Watch, command, command_before
from steadfall.roles import Identity, Named, Role, choice, observer, of_circuit
from steadfall.roles import command as command_named
from steadfall.source import Mark


def stated(watch: Watch) -> None:
    """Writes an observer for every requirement of the plan."""
    for number, item in enumerate(watch.plan.requirements, 1):
        FORMS[type(item)](item, watch, label(number, item))


def choosers(plan: Plan) -> tuple[Input, ...]:
    """The inputs by which observers choose where a stretch of time begins."""
    rows = [(number, item) for number, item in enumerate(plan.requirements, 1) if isinstance(item, AtMost)]
    return tuple(_input(choice(_chooser(label(number, item))), item.at.own) for number, item in rows)


def label(number: int, item: Requirement) -> str:
    """What a requirement of the plan is called: by its name, else by its place among them."""
    return f"stated.{word(item.name) if item.name else number}"


def _input(made: Named, mark: Mark) -> Input:
    return Input(made.name, Type.BOOL, mark=mark, identity=made.identity)


def _chooser(name: str) -> str:
    return f"{name}:begins"


def named(plan: Plan, *conditions: Condition) -> tuple[Named, ...]:
    """The signals that conditions name."""
    known = signals(plan)
    found: dict[Named, None] = {}
    for condition in conditions:
        for part in walk(condition):
            if isinstance(part, Signal | Compared | Goes | OutOfRange):
                found.setdefault(Named(part.name, known[part.name].identity))
            elif isinstance(part, Passed):
                found.setdefault(_timed(timers(plan)[part.name].identity))
            elif isinstance(part, InStage):
                found.setdefault(of_circuit(Role.STAGE, str(part.circuit)))
    return tuple(found)


def _timed(time: Identity) -> Named:
    """What a time is counted of: a circuit's stage, or the command of a valve."""
    of_stage = time.role is Role.STAGE_TIME
    return of_circuit(Role.STAGE, time.circuit) if of_stage else command_named(time.circuit, time.valve)


def _valve(plan: Plan, name: str) -> Named:
    return Named(name, valves(plan)[name].identity)


def _said(item: Any, name: str, sentence: str, shown: tuple[Named, ...], occasion: str = "") -> Said:
    circuits = {signal.identity.circuit for signal in shown}
    own = circuits.pop() if len(circuits) == 1 else ""
    names = tuple(signal.name for signal in shown)
    sentence = f"{item.name}: {sentence}" if item.name else sentence
    return Said(name, sentence, (item.at.own,), names, own, stated=True, occasion=occasion)


def _never(item: Never, watch: Watch, name: str) -> None:
    first = item.condition.parts[0] if isinstance(item.condition, And) else None
    said = _said(
        item,
        name,
        f"It never happens that {aloud(item.condition, watch.plan)}.",
        named(watch.plan, item.condition),
        speak(first) if first else "",
    )
    bad = watch.condition(item.condition, f"{name}:when")
    watch.require(said, bad, _occasion(item.condition, watch, name))


def _occasion(condition: Condition, watch: Watch, name: str) -> Node:
    """When a sentence that begins with 'never' applies: its first statement holds."""
    if isinstance(condition, And):
        return watch.condition(condition.parts[0], f"{name}:first")
    if isinstance(condition, Or):
        return any_of(_occasion(part, watch, name) for part in condition.parts)
    return TRUE


def _whenever(item: Whenever, watch: Watch, name: str) -> None:
    mark = item.at.own
    given = watch.signal(f"{name}:given", watch.condition(item.condition, f"{name}:when"), mark)
    then = watch.signal(f"{name}:then", watch.condition(item.then, f"{name}:answer"), mark)
    when = f"within {time(item.within_ms)}" if item.within_ms else "in the same scan"
    words = f"Whenever {aloud(item.condition, watch.plan)}, then {when} {aloud(item.then, watch.plan)}"
    words += f", and stays so for {time(item.lasting_ms)}." if item.lasting_ms else "."
    said = _said(item, name, words, named(watch.plan, item.condition, item.then), speak(item.condition))
    other = watch.signal(f"{name}:otherwise", opposite(then), mark)
    why = f"'{speak(item.then)}' is always true here, whatever it follows on"
    late, answered = _answer(item, watch, name, given, then)
    bad, met = [late], answered
    if item.lasting_ms:
        broken, met = _broken_off(item, watch, name, answered, then)
        bad.append(broken)
    watch.require(attrs.evolve(said, terms=(Term(other.name, why),)), any_of(bad), given, met)


def _answer(item: Whenever, watch: Watch, name: str, given: Node, then: Node) -> tuple[Node, Node]:
    """When the answer is late, and when it is given."""
    if not item.within_ms:
        return all_of((given, opposite(then))), all_of((given, then))
    mark, waits, begins = item.at.own, f"{name}:waits", f"{name}:begins"
    waiting = Previous(waits, Type.BOOL)
    age = watch.sheet.helper(observer(f"{name}:age"), Since(begins, item.within_ms + 1), mark)
    owed = any_of((waiting, given))
    watch.sheet.put(observer(begins), all_of((given, opposite(waiting))), mark)
    watch.sheet.put(observer(waits), all_of((owed, opposite(then))), mark)
    return all_of((waiting, at_least(age, ms(item.within_ms + 1)))), all_of((owed, then))


def _broken_off(item: Whenever, watch: Watch, name: str, answered: Node, then: Node) -> tuple[Node, Node]:
    """When the answer ends before its time, and when its time is over."""
    age = watch.since(f"{name}:answered", answered, item.lasting_ms, item.at.own)
    holds = f"{name}:holds"
    lasting = Previous(holds, Type.BOOL)
    early = all_of((lasting, less(age, ms(item.lasting_ms))))
    watch.sheet.put(observer(holds), any_of((answered, all_of((early, then)))), item.at.own)
    return all_of((early, opposite(then))), all_of((lasting, at_least(age, ms(item.lasting_ms))))


def _every_opening(item: EveryOpening, watch: Watch, name: str) -> None:
    bounds = [f"at least {time(item.least_ms)}"] if item.least_ms is not None else []
    bounds += [f"at most {time(item.most_ms)}"] if item.most_ms is not None else []
    unless = ", unless a permissive or trip ends it" if item.unless_cut else ""
    said = _said(
        item,
        name,
        f"Every opening of {item.valve} lasts {' and '.join(bounds)}{unless}.",
        (_valve(watch.plan, item.valve),),
    )
    said = attrs.evolve(said, occasion=f"{item.valve} opens")
    opening(watch, said, item.valve, item.least_ms, item.most_ms, unless_cut=item.unless_cut)


def opening(
    watch: Watch, said: Said, valve: str, least: int | None, most: int | None, *, unless_cut: bool = True
) -> None:
    """An observer of how long openings last."""
    mark = said.marks[0]
    now, before = command(valve), command_before(valve)
    limit = max(least or 0, (most or 0) + 1)
    opens = all_of((now, opposite(before)))
    own = valves(watch.plan)[valve]
    springs_open = watch.plan.type_of(own.circuit).valves[own.valve].normally_open
    age = watch.since(said.name, opens, limit, mark, before_power=(least or 0) if springs_open else None)
    shuts = all_of((before, opposite(now)))
    free = opposite(watch.cut(valve, said.name)) if unless_cut else TRUE
    bad = [all_of((shuts, free, less(age, ms(least))))] if least else []
    if least and not said.cuts and watch.power_cut:  # no scan sees it shut: the next is that of power-up
        young = all_of((now, any_of((opens, less(age, ms(least))))))
        was = Previous(watch.signal(f"{said.name}:young", young, mark).name, Type.BOOL)
        bad.append(all_of((was, opposite(watch.ran()))))
    bad += [all_of((before, at_least(age, ms(most + 1))))] if most is not None else []
    watch.require(said, any_of(bad), all_of((shuts, free)))


def _at_most(item: AtMost, watch: Watch, name: str) -> None:
    mark, now, before = item.at.own, command(item.valve), command_before(item.valve)
    said = _said(
        item,
        name,
        f"At most {item.count} openings of {item.valve} in any {time(item.in_ms)}.",
        (_valve(watch.plan, item.valve),),
    )
    said = attrs.evolve(said, occasion=f"{item.valve} opens")
    opens = watch.signal(f"{name}:opens", all_of((now, opposite(before))), mark)
    begins = watch.signal(f"{name}:first", all_of((opens, Read(_chooser(name), Type.BOOL))), mark)
    age = watch.sheet.helper(observer(f"{name}:age"), Since(begins.name, item.in_ms), mark)
    counted = f"{name}:count"
    last = Previous(counted, Type.INT)
    within = all_of((Compare(">", last, whole(0)), less(age, ms(item.in_ms))))
    onward = choose(
        opens, lookup(last, [whole(min(n + 1, item.count + 1)) for n in range(item.count + 2)]), last
    )
    count = watch.sheet.put(
        observer(counted), choose(begins, whole(1), choose(within, onward, whole(0))), mark
    )
    watch.require(said, at_least(count, whole(item.count + 1)), begins)


def _exclusive(item: Exclusive, watch: Watch, name: str) -> None:
    words = "; ".join(aloud(part, watch.plan) for part in item.conditions)
    said = _said(item, name, f"At most one of these at a time: {words}.", named(watch.plan, *item.conditions))
    parts = [
        watch.signal(f"{name}:{place}", watch.condition(part, f"{name}:{place}"), item.at.own)
        for place, part in enumerate(item.conditions, 1)
    ]
    terms = tuple(
        Term(signal.name, f"'{speak(part)}' can never be")
        for part, signal in zip(item.conditions, parts, strict=True)
    )
    bad = any_of(all_of(pair) for pair in combinations(parts, 2))
    watch.require(attrs.evolve(said, terms=terms), bad, any_of(parts))


FORMS: Mapping[type, Callable[[Any, Watch, str], None]] = {
    Never: _never,
    Whenever: _whenever,
    EveryOpening: _every_opening,
    AtMost: _at_most,
    Exclusive: _exclusive,
}
