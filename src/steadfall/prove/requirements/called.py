"""What calls for cooling, as an observer sees it: which stages each call allows, and whether anything calls.

Rule of this file: as in `derived.guards`.
"""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.logic.build.readings import reading
from steadfall.logic.build.stages import stage_number
from steadfall.logic.forms import all_of, any_of, at_least, less, opposite, real, real_less
from steadfall.logic.nodes import Node, Read, SetDominant, Type
from steadfall.plan.model import ButtonCall, Call, CircuitType, Demand
from steadfall.prove.requirements.pressed import latched, made_anew
from steadfall.prove.requirements.watch import Watch
from steadfall.source import Mark


def call_allows(
    watch: Watch, kind: CircuitType, call: Call | ButtonCall | Demand, label: str
) -> Iterator[tuple[int, Node]]:
    """The stages that a call allows, each with when it does."""
    if isinstance(call, ButtonCall):
        number = stage_number(kind, call.allows)
        if number is not None:
            yield number, latched(watch, call)
        return
    if isinstance(call, Call):
        number = stage_number(kind, call.allows)
        if number is not None:
            when = watch.signal(label, watch.seen("call", call.when, f"{label}:when"), call.at.own)
            yield number, all_of((when, *made_anew(watch, call)))
        return
    plan, sheet = watch.plan, watch.sheet
    signal = reading(sheet, plan, call.of) if call.of in plan.inputs else sheet.now(call.of, Type.REAL)
    anew = tuple(made_anew(watch, call))
    for stage, threshold in call.thresholds.items():
        number = stage_number(kind, stage)
        if number is not None:  # from its threshold on, until the demand is below threshold less hysteresis
            below = less(signal, real_less(threshold, call.hysteresis))
            on, what = all_of((at_least(signal, real(threshold)), *anew)), f"{label}:{stage}"
            if call.gives_up_lower:  # a power cut ends what is given below its threshold
                ends = any_of((below, *map(opposite, anew)))
                yield number, watch.forgotten(what, SetDominant(on, ends), call.at.own)
            else:
                yield number, watch.signal(what, on, call.at.own)


def anything_calls(watch: Watch, label: str, mark: Mark) -> Read:
    """Some call allows some stage of some circuit."""
    plan = watch.plan
    asked = [
        node
        for place, call in enumerate(plan.calls)
        for kind in dict.fromkeys(plan.type_of(name).name for name in call.circuits)
        for _, node in call_allows(watch, plan.circuit_types[kind], call, f"{label}:{place}:{kind}")
    ]
    return watch.signal(f"{label}:called", any_of(asked), mark)
