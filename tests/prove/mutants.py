# ruff: noqa: E501 - a table of what the plan says and what the faulty one says
"""Seeded faults: the demo plan and the network that is built from it, each with one thing wrong.

Rule of this file: a fault is a name and a change. Faults of the plan change its text, as a slip of the hand
would; faults of the network change one node, as a mistake of the builder would. Requirements are those of the
plan without the fault.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import attrs
from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Node
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.prove.system.renamed import renamed


@frozen
class Mutant:
    """One seeded fault."""

    name: str
    where: str  # "plan" or "network"
    network: Network


# name, what the plan says, what the faulty one says
SLIPS: tuple[tuple[str, str, str], ...] = (
    ("first dose twice as long", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.8 s, shut: 3.6 s}"),
    ("first dose ten times as long", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 4 s, shut: 3.6 s}"),
    ("first dose pause halved", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.4 s, shut: 1.8 s}"),
    ("first dose clock free", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.4 s, shut: 3.6 s, clock: free}"),
    ("long dose shortened", "mist: {open: 1.2 s, shut: 2 s}", "mist: {open: 0.6 s, shut: 2 s}"),
    ("long dose and pause swapped", "mist: {open: 1.2 s, shut: 2 s}", "mist: {open: 2 s, shut: 1.2 s}"),
    ("long dose clock free", "mist: {open: 1.2 s, shut: 2 s}", "mist: {open: 1.2 s, shut: 2 s, clock: free}"),
    ("flood dose longer", "flood: {open: 3 s, shut: 12 s}", "flood: {open: 5 s, shut: 12 s}"),
    ("flood dose pause shorter", "flood: {open: 3 s, shut: 12 s}", "flood: {open: 3 s, shut: 2 s}"),
    ("flood dose clock free", "flood: {open: 3 s, shut: 12 s}", "flood: {open: 3 s, shut: 12 s, clock: free}"),
    ("flood instead of mist in first doses", "sweep: open, mist: {open: 0.4 s", "sweep: open, flood: {open: 4 s"),
    ("flood instead of mist in soaking", "sweep: open, mist: open,", "sweep: open, flood: open,"),
    ("no sweep in first doses", "sweep: open, mist: {open: 0.4 s", "mist: {open: 0.4 s"),
    ("no sweep in long doses", "sweep: open, mist: {open: 1.2 s", "mist: {open: 1.2 s"),
    ("no sweep in soaking", "sweep: open, mist: open", "mist: open"),
    ("no sweep in flood doses", "sweep: open, flood: {open", "flood: {open"),
    ("mist instead of flood in full", "{name: full, flood: open}", "{name: full, mist: open}"),
    ("drain open in full", "{name: full, flood: open}", "{name: full, flood: open, drain: open}"),
    ("drain instead of sweep in blow-out", "{name: blow_out, sweep: open,", "{name: blow_out, drain: open,"),
    ("sweep instead of drain in emptying", "{name: emptying, drain: open,", "{name: emptying, sweep: open,"),
    ("blow-out halved", "sweep: open, for: 20 s", "sweep: open, for: 10 s"),
    ("emptying a tenth", "drain: open, for: 60 s", "drain: open, for: 6 s"),
    ("blow-out four times as long", "sweep: open, for: 20 s", "sweep: open, for: 80 s"),
    ("emptying twice as long", "drain: open, for: 60 s", "drain: open, for: 120 s"),
    ("first climb after 6 s", "climb: after 60 s and platen_temperature < 140", "climb: after 6 s and platen_temperature < 140"),
    ("first climb by time alone", "climb: after 60 s and platen_temperature < 140 degC", "climb: after 60 s"),
    ("first climb by temperature alone", "climb: after 60 s and platen_temperature < 140 degC", "climb: platen_temperature < 140 degC"),
    ("first climb or for and", "after 60 s and platen_temperature < 140", "after 60 s or platen_temperature < 140"),
    ("second climb the wrong way round", "platen_temperature < 125 degC", "platen_temperature > 125 degC"),
    ("second climb 20 K too early", "platen_temperature < 125 degC", "platen_temperature < 139 degC"),
    ("third climb without waiting", "after 60 s and platen_temperature < 80", "after 0 s and platen_temperature < 80"),
    ("fourth climb 10 K too early", "platen_temperature < 62 degC", "platen_temperature < 72 degC"),
    ("shortest opening a third", "shortest_open: 300 ms", "shortest_open: 100 ms"),
    ("shortest pause left out", "shortest_shut: 500 ms, ", ""),
    ("permissive the wrong way round", "needs: air_pressure_ok", "needs: not air_pressure_ok"),
    ("permissive always true", "needs: air_pressure_ok", "needs: 'true'"),
    ("permissive for mist only", "needs: air_pressure_ok, for: all water", "needs: air_pressure_ok, for: [mist]"),
    ("permissive for one circuit", "for: all water", "for: [upper.mist, upper.flood]"),
    ("permissive with a delay", "needs: air_pressure_ok,", "needs: (not (not air_pressure_ok for 0.5 s)),"),
    ("trip at 9 barg", "upper.pressure > 7 barg for", "upper.pressure > 9 barg for"),
    ("trip ten times as late", "upper.pressure > 7 barg for 0.2 s", "upper.pressure > 7 barg for 2 s"),
    ("trip the wrong way round", "upper.pressure > 7 barg", "upper.pressure < 7 barg"),
    ("trip of the wrong circuit", "when: upper.pressure > 7", "when: lower.pressure > 7"),
    ("trip that any call resets", "for 0.2 s, reset: reset_button}\n  - {name: steam back-pressure in the lower", "for 0.2 s, reset: full_call}\n  - {name: steam back-pressure in the lower"),
    ("feedback ten times as slow", "within: 3 s", "within: 30 s"),
    ("cold start in idle", "cold_start: finish", "cold_start: idle"),
    ("drain shut at rest", "rest: open, w", "rest: shut, w"),
    ("first dose 10 ms short", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.39 s, shut: 3.6 s}"),
    ("first dose pause 10 ms short", "mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.4 s, shut: 3.59 s}"),
    ("first climb 10 ms early", "climb: after 60 s and platen_temperature < 140", "climb: after 59.99 s and platen_temperature < 140"),
    ("first climb 10 s late", "climb: after 60 s and platen_temperature < 140", "climb: after 70 s and platen_temperature < 140"),
    ("third climb 1 K too late", "platen_temperature < 80 degC", "platen_temperature < 79 degC"),
    ("fourth climb left out", "after 60 s and platen_temperature < 62 degC", "after 240 h and platen_temperature < 62 degC"),
    ("blow-out 10 ms short", "sweep: open, for: 20 s", "sweep: open, for: 19.99 s"),
    ("blow-out left out", "      - {name: blow_out, sweep: open, for: 20 s}\n", ""),
    ("emptying left out", "      - {name: emptying, drain: open, for: 60 s}\n", ""),
    ("finish in the other order", "{name: blow_out, sweep: open, for: 20 s}\n      - {name: emptying, drain: open, for: 60 s}", "{name: emptying, drain: open, for: 60 s}\n      - {name: blow_out, sweep: open, for: 20 s}"),
    ("trip 10 ms early", "upper.pressure > 7 barg for 0.2 s", "upper.pressure > 7 barg for 0.19 s"),
    ("reset the wrong way round", "for 0.2 s, reset: reset_button}\n  - {name: steam back-pressure in the lower", "for 0.2 s, reset: not reset_button}\n  - {name: steam back-pressure in the lower"),
    ("doses not delayed", ", delay_doses: 1.6 s", ""),
    ("doses delayed twice as long", "delay_doses: 1.6 s", "delay_doses: 3.2 s"),
    ("doses of the other circuit delayed", "upper: {type: platen_circuit, host: upper_platen}\n  lower: {type: platen_circuit, host: lower_platen, delay_doses: 1.6 s}", "upper: {type: platen_circuit, host: upper_platen, delay_doses: 1.6 s}\n  lower: {type: platen_circuit, host: lower_platen}"),
    ("gentle call allows full", "{when: gentle_call, allows: soaking}", "{when: gentle_call, allows: full}"),
    ("gentle call allows one stage less", "{when: gentle_call, allows: soaking}", "{when: gentle_call, allows: long_doses}"),
    ("full call allows one stage less", "{when: full_call, allows: full}", "{when: full_call, allows: flood_doses}\n  - {when: full_call and gentle_call, allows: full}"),
    ("gentle call the wrong way round", "{when: gentle_call,", "{when: not gentle_call,"),
    ("calls swapped", "{when: gentle_call, allows: soaking}\n  - {when: full_call, allows: full}", "{when: full_call, allows: soaking}\n  - {when: gentle_call, allows: full}"),
    ("full call of one circuit only", "{when: full_call, allows: full}", "{when: full_call, allows: full, circuits: [upper]}"),
    ("steps down after 10 s", "step_down: at once", "step_down: after 10 s"),
    ("sweep open at rest", "kv: 0.3 m3/h, travel: 100 ms}", "kv: 0.3 m3/h, travel: 100 ms, rest: open}"),
)  # fmt: skip


def of_plan(text: str) -> Iterable[Mutant]:
    """The plan with a slip in it."""
    for name, said, slip in SLIPS:
        if said not in text:
            raise ValueError(f"{name}: the plan does not say '{said}'")
        yield Mutant(name, "plan", build(read_text(text.replace(said, slip), name)))


Change = Callable[[Node], Node]


def of_network(plan: Plan) -> Iterable[Mutant]:
    """The network with a mistake of the builder in it."""
    network = build(plan)
    for name, signal, change in MISTAKES:
        rows = [
            attrs.evolve(row, node=change(row.node)) if row.name == signal else row
            for row in network.assignments
        ]
        yield Mutant(name, "network", attrs.evolve(network, assignments=tuple(rows)))
    names = {"upper.mist": "upper.flood", "upper.flood": "upper.mist"}
    yield Mutant("mist and flood coils swapped", "network", swapped(network, names))
    names = {"upper.sweep": "upper.drain", "upper.drain": "upper.sweep"}
    yield Mutant("sweep and drain coils swapped", "network", swapped(network, names))
    names = {"upper.mist": "lower.mist", "lower.mist": "upper.mist"}
    yield Mutant("mist of the two circuits swapped", "network", swapped(network, names))


def swapped(network: Network, names: dict[str, str]) -> Network:
    """Two commands given to each other's valve, by one more name in between."""
    rows = []
    for row in network.assignments:
        rows.append(attrs.evolve(row, name=f"{row.name}.coil") if row.name in names else row)
    used = {row.name: f"{row.name}.coil" for row in network.assignments if row.name in names}
    rows = [attrs.evolve(row, node=renamed(row.node, used, used)) for row in rows]
    kinds = {row.name: row for row in network.assignments}
    for name, other in names.items():
        read = nodes.Read(f"{other}.coil", kinds[other].type)
        rows.append(attrs.evolve(kinds[name], node=read))
    return attrs.evolve(network, assignments=tuple(rows))


def negated(node: Node) -> Node:
    return nodes.Not(node)


def constant(value: bool) -> Change:
    return lambda _: nodes.Constant(value, nodes.Type.BOOL)


def stuck(value: int) -> Change:
    return lambda _: nodes.Constant(value, nodes.Type.INT)


def part(place: int) -> Change:
    """One part of an `and` or `or` alone."""
    return lambda node: node.parts[place]  # type: ignore[union-attr]


def reset_first(node: Node) -> Node:
    assert isinstance(node, nodes.SetDominant)
    return nodes.ResetDominant(node.set, node.reset)


def never_reset(node: Node) -> Node:
    assert isinstance(node, nodes.SetDominant)
    return nodes.SetDominant(node.set, nodes.Constant(False, nodes.Type.BOOL))


def not_latched(node: Node) -> Node:
    assert isinstance(node, nodes.SetDominant)
    return node.set


def limited(ms: int) -> Change:
    return lambda node: nodes.Since(node.event, ms)  # type: ignore[union-attr]


def event(name: str) -> Change:
    return lambda node: nodes.Since(name, node.limit_ms)  # type: ignore[union-attr]


def straight_to(number: int) -> Change:
    """A sequence that goes to this stage wherever it would climb."""

    def change(node: Node) -> Node:
        def walk(one: Node) -> Node:
            if isinstance(one, nodes.Mux):
                return nodes.Constant(number, nodes.Type.INT)
            given: dict[str, Any] = {}
            for row in attrs.fields(type(one)):
                value = getattr(one, row.name)
                if attrs.has(type(value)) and row.name != "mark":
                    given[row.name] = walk(value)
            changed: Node = attrs.evolve(one, **given)
            return changed

        return walk(node)

    return change


def one_on(node: Node) -> Node:
    """A table of states that gives each the entry of the next."""
    assert isinstance(node, nodes.Mux)
    return nodes.Mux(node.index, (*node.entries[1:], node.entries[0]))


def held_swapped(node: Node) -> Node:
    """The shortest opening taken for the shortest pause, and the other way round."""
    if isinstance(node, nodes.Select) and isinstance(node.then, nodes.Constant):
        return nodes.Select(node.when, node.otherwise, node.then)
    given: dict[str, Any] = {}
    for row in attrs.fields(type(node)):
        value = getattr(node, row.name)
        if isinstance(value, tuple):
            given[row.name] = tuple(held_swapped(one) for one in value)
        elif attrs.has(type(value)) and row.name != "mark":
            given[row.name] = held_swapped(value)
    changed: Node = attrs.evolve(node, **given)
    return changed


MISTAKES: tuple[tuple[str, str, Change], ...] = (
    ("permissive dropped from the guard", "may_cool", part(1)),
    ("trips dropped from the guard", "may_cool", part(0)),
    ("guard the wrong way round", "may_cool", negated),
    ("guard or for and", "may_cool", lambda node: nodes.Or(node.parts)),  # type: ignore[union-attr]
    ("one trip left out of the sum", "tripped", lambda node: nodes.Or(node.parts[1:])),  # type: ignore[union-attr]
    ("trips and for or", "tripped", lambda node: nodes.And(node.parts)),  # type: ignore[union-attr]
    ("trip with reset first", "trip.steam_back_pressure_in_the_upper_platen", reset_first),
    ("trip never reset", "trip.steam_back_pressure_in_the_upper_platen", never_reset),
    ("trip not latched", "trip.a_flood_limit_switch_disagrees", not_latched),
    ("target ignores the guard", "upper.target", lambda node: node.then),  # type: ignore[union-attr]
    ("target always full", "upper.target", stuck(5)),
    ("climbs straight to full", "upper.stage", straight_to(5)),
    ("climb condition always true", "upper.step_over", constant(True)),
    ("climb condition never true", "upper.step_over", constant(False)),
    ("stage time stops early", "upper.stage_time", limited(30_000)),
    ("stage time not begun again", "upper.stage_time", event("upper.mist.moved")),
    ("guard dropped from mist", "upper.mist", part(1)),
    ("guard dropped from flood", "upper.flood", part(1)),
    ("mist always shut", "upper.mist", constant(False)),
    ("drain always shut", "upper.drain", constant(False)),
    ("drain the wrong way round", "upper.drain", negated),
    ("sweep always open", "upper.sweep", constant(True)),
    ("sweep the wrong way round", "upper.sweep", negated),
    ("hold time never begins", "upper.mist.held_time", event("upper.entered")),
    ("hold time stops at 200 ms", "upper.mist.held_time", limited(200)),
    ("dose time stops at 3 s", "upper.mist.dose_time", limited(3_000)),
    ("dose does not begin again", "upper.mist.dose_turn", part(1)),
    ("dose in every stage", "upper.mist.dosing", constant(True)),
    ("entered never seen", "upper.entered", constant(False)),
    ("climb conditions one stage on", "upper.step_over", one_on),
    ("first dose waits for ever", "lower.mist.dose_wait", constant(True)),
    ("first dose does not wait", "lower.mist.dose_wait", constant(False)),
    ("dose times one stage on", "upper.mist.wanted", one_on),
    ("shortest times swapped", "upper.mist", held_swapped),
    ("stage begins with nothing called", "upper.called", constant(True)),
    ("call never seen", "upper.called", constant(False)),
    ("first climb looks at time alone", "upper.first_doses.climb", part(0)),
    ("second climb looks at temperature alone", "upper.long_doses.climb", part(1)),
)


def mutants(text: str) -> list[Mutant]:
    """Every seeded fault of the demo plan."""
    return [*of_plan(text), *of_network(read_text(text, "press.yaml"))]
