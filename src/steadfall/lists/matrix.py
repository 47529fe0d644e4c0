"""The cause-and-effect matrix: rows are causes, columns effects, as in IEC 62881.

Rule of this file: the cells say what the sequence does in the scan in which the cause is true; the tests hold
them against the network.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import frozen

from steadfall.lists.facts import (
    DONE,
    IN_HAND,
    IN_TEST,
    ON_HOLD,
    RUNNING,
    Facts,
    of_alarm,
    of_lost,
    of_trip,
    stated,
)
from steadfall.lists.sheet import Sheet
from steadfall.plan.meaning.feeders import feeder_named, is_cut
from steadfall.plan.meaning.names import energised, is_water, valves
from steadfall.plan.meaning.trust import sensors_of
from steadfall.plan.model import ButtonCall, Call, Plan
from steadfall.plan.text.lay_out import level
from steadfall.plan.text.speak import speak
from steadfall.source import Mark
from steadfall.st.write.unit import origin

# What a cell may hold, in the order of the legend.
LEGEND = {
    "S": "shut, or stopped, at once, in the same scan, whatever its shortest opening",
    "F": "cooling ends: the finish steps in order, then idle",
    "L": "held until reset, and until the cause is gone",
    "C": "held until nothing calls",
    "N": "held until a call that has been let go is made again",
    "A": "the highest stage that the cause allows, named after it",
    "P": "after power-up the circuit begins in this state",
    "H": "the circuit stands in its stage: no climb while the cause stands; with names, out of these",
    "T": "moved in its turn, after what it needs; the finish follows",
    "U": "one stage up, where a call allows it",
    "on": "of an output: on while the cause stands, when its delay is over; flashing where it flashes",
    "off": "of an output: off while the cause stands, when its delay is over",
    "K": "until the alarm is acknowledged",
}


@frozen
class Cause:
    """A row: its kind, what it says, what it does to each circuit and valve, and what is so meanwhile."""

    kind: str
    name: str
    condition: str
    mark: Mark
    circuit: Callable[[str], str]
    valve: Callable[[str], str]
    facts: Facts = Facts()


def matrix(plan: Plan) -> Sheet:
    """The whole matrix."""
    commands = [*valves(plan), *(feeder_named(one).name for one in plan.feeders)]
    effects = [*plan.circuits, *commands]
    headings = (
        "kind",
        "cause",
        "condition",
        *(f"circuit {name}" for name in plan.circuits),
        *commands,
        *plan.outputs,
        "plan",
    )
    rows = []
    for cause in causes(plan):
        cells = [cause.circuit(name) if name in plan.circuits else cause.valve(name) for name in effects]
        outputs = [cause.facts.output(plan, item) for item in plan.outputs.values()]
        rows.append((cause.kind, cause.name, cause.condition, *cells, *outputs, origin([cause.mark])))
    legend = tuple(f"{letter}: {meaning}" for letter, meaning in LEGEND.items())
    turned = tuple(
        f"{name}: stands open without signal; its output is on to shut it" for name in energised(plan)
    )
    return Sheet("cause and effect", headings, tuple(rows), (*legend, *turned))


def causes(plan: Plan) -> list[Cause]:
    """Every cause of the plan: trips, permissives, alarms, calls and demands, the end of a cool-down,
    power-up.
    """
    guards = (*_trips(plan), *_permissives(plan), *_bad_sensors(plan), *_alarms(plan))
    return [*guards, *_calls(plan), *_done(plan), *_by_hand(plan), _power(plan)]


def _cut(plan: Plan, name: str) -> bool:
    """Whether a valve or what feeds it is cut with the water."""
    feeder = next((one for one in plan.feeders if feeder_named(one).name == name), None)
    return is_cut(plan, feeder) if feeder else is_water(plan, name)


def _none(_: str) -> str:
    return ""


def _trips(plan: Plan) -> list[Cause]:
    def shut(valve: str) -> str:
        return "S L" if _cut(plan, valve) else ""

    ends = "F L" if plan.restarts else "F L N"
    return [
        Cause(
            "trip",
            trip.name,
            speak(trip.when),
            trip.at.own,
            lambda _: ends,
            shut,
            of_trip(plan, trip.name, trip.when),
        )
        for trip in plan.trips
    ]


def _alarms(plan: Plan) -> list[Cause]:
    return [
        Cause(
            "alarm",
            item.name,
            speak(item.when),
            item.at.own,
            _none,
            _none,
            of_alarm(plan, item.name, item.when),
        )
        for item in plan.alarms
    ]


def _permissives(plan: Plan) -> list[Cause]:
    found, lost = [], "F" if plan.restarts else "F N"
    for item in plan.permissives:
        water = [valve for valve in valves(plan) if is_water(plan, valve)] if item.all_water else []
        cut = frozenset((*item.valves, *water))

        def shut(valve: str, cut: frozenset[str] = cut, everywhere: bool = item.all_water) -> str:
            return "S" if valve in cut or (everywhere and _cut(plan, valve)) else ""

        ends: Callable[[str], str] = (lambda _: lost) if item.all_water else _none
        said, facts = f"not ({speak(item.needs)})", of_lost(plan, item.needs, cut)
        found.append(Cause("permissive lost", item.name, said, item.at.own, ends, shut, facts))
    return found


def _bad_sensors(plan: Plan) -> list[Cause]:
    """A sensor that holds climbs while it is out of its range, and the stages that are not left."""
    held: dict[str, dict[str, list[str]]] = {}
    for circuit in plan.circuits:
        for stage in plan.type_of(circuit).stages:
            for item in sensors_of(plan, circuit, stage):
                held.setdefault(item.name, {}).setdefault(circuit, []).append(stage.name)
    found = []
    for name, stages in held.items():

        def holds(circuit: str, stages: dict[str, list[str]] = stages) -> str:
            return f"H {', '.join(stages[circuit])}" if circuit in stages else ""

        mark = plan.inputs[name].at.own
        found.append(Cause("bad sensor", name, f"{name} out of range", mark, holds, _none))
    return found


def _calls(plan: Plan) -> list[Cause]:
    found = []
    for item in plan.calls:
        here, called = frozenset(item.circuits), stated(item.when) if isinstance(item, Call) else {}
        if isinstance(item, Call):
            pairs = [(item.allows, speak(item.when))]
        elif isinstance(item, ButtonCall):
            pairs = [(item.allows, f"{item.start} pressed, until {item.stop} is, or an S or F above")]
        else:
            pairs = [
                (stage, f"{item.of} at {level(least, 'percent')} or more")
                for stage, least in item.thresholds.items()
            ]
        for stage, condition in pairs:

            def allowed(circuit: str, here: frozenset[str] = here, stage: str = stage) -> str:
                known = stage in [one.name for one in plan.type_of(circuit).stages]
                return f"A {stage}" if circuit in here and known else ""

            facts = Facts({**called, RUNNING: True})
            found.append(Cause("call", stage, condition, item.at.own, allowed, _none, facts))
    return found


def _done(plan: Plan) -> list[Cause]:
    if plan.done is None:
        return []
    condition = f"{speak(plan.done.when)}, while something calls"
    facts = Facts({**stated(plan.done.when), DONE: True, RUNNING: False})
    return [
        Cause("done", "the cool-down is done", condition, plan.done.at.own, lambda _: "F C", _none, facts)
    ]


def _by_hand(plan: Plan) -> list[Cause]:
    """What takes valves in hand, tests them, holds the sequence, and the buttons that step on."""
    found = []
    if plan.hand is not None:
        ends, facts = (
            "F" if plan.restarts else "F N",
            Facts({**stated(plan.hand.when), IN_HAND: True, RUNNING: False}),
        )
        said, mark = speak(plan.hand.when), plan.hand.at.own
        found.append(Cause("hand", "valves are in hand", said, mark, lambda _: ends, _none, facts))
    if plan.test is not None:
        tested = frozenset(plan.test.valves)

        def turns(valve: str) -> str:
            return "T" if valve in tested else ""

        said, facts = f"{plan.test.start} newly pressed in idle", Facts({IN_TEST: True, RUNNING: False})
        found.append(Cause("test", "valves are tested", said, plan.test.at.own, _none, turns, facts))
    if plan.hold is not None:
        facts = Facts({**stated(plan.hold.when), ON_HOLD: True})
        said, mark = speak(plan.hold.when), plan.hold.at.own
        found.append(Cause("hold", "the sequence is on hold", said, mark, lambda _: "H", _none, facts))
    for item in plan.steps_on:

        def up(circuit: str, here: tuple[str, ...] = item.circuits) -> str:
            return "U" if circuit in here else ""

        said = f"{item.button} newly pressed in {' or '.join(item.stages)}"
        found.append(Cause("step on", item.button, said, item.at.own, up, _none))
    return found


def _power(plan: Plan) -> Cause:
    def begins(circuit: str) -> str:
        kind = plan.type_of(circuit)
        state = kind.finish[0].name if kind.cold_start == "finish" and kind.finish else "idle"
        return f"P {state}" if plan.restarts else f"P {state} N"

    when = "the first scan, without a call" if plan.restarts else "the first scan"
    said, facts = when, Facts({RUNNING: False})
    return Cause("power-up", "power-up", said, plan.at.own, begins, _none, facts)
