"""What the controller does, in plain words: for the operator at the press and the auditor at the desk.

Rule of this file: sentences and tables from the plan alone; conditions as the plan writes them; no judgement.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from steadfall.lists.settings import value_of
from steadfall.lists.verdicts import Proof, verdict_lines
from steadfall.lists.wiring import measured
from steadfall.plan.meaning.feeders import drawing, is_cut
from steadfall.plan.meaning.handed import aloud
from steadfall.plan.meaning.names import quantities
from steadfall.plan.meaning.trust import sensors_of
from steadfall.plan.model import (
    ButtonCall,
    Call,
    CircuitType,
    Demand,
    Dose,
    Feeder,
    FinishStep,
    Input,
    MainValve,
    Open,
    Plan,
    Pulses,
    Pump,
    Ramp,
    Share,
    Stage,
    Valve,
    ValveTest,
)
from steadfall.plan.model.setting import settings_of
from steadfall.plan.text.lay_out import level, time
from steadfall.plan.text.speak import speak
from steadfall.st.write.heading import CAUTIONS
from steadfall.units import shown

Lines = Iterator[str]


def operation(plan: Plan, proof: Proof | None = None) -> str:
    """The description, as Markdown, with what a proof says of the plan."""
    lines: list[str] = []
    parts = (_head, _signals, _settings, _cooling, _feeders, _circuits, _guards, _counted, _shown, _limits)
    for part in parts:
        lines.extend(part(plan))
    lines += ["", *verdict_lines(proof, plan.digest)]
    return "\n".join(lines).rstrip() + "\n"


def _head(plan: Plan) -> Lines:
    yield f"# {_safe(plan.title)}: description of operation"
    yield ""
    yield f"Plan digest {plan.digest or 'none'}, revised {_safe(plan.revised) or 'without a date'}."
    yield ""
    for caution in CAUTIONS[:1]:
        yield f"**Caution.** {caution}"
    yield ""
    yield (
        f"The controller runs its program every {time(plan.scan.nominal_ms)}, at the latest "
        f"{time(plan.scan.longest_ms)} after the last time; every time below is met at the first run at "
        "or after it."
    )
    yield ""


def _signals(plan: Plan) -> Lines:
    yield "## What it sees"
    yield ""
    for item in plan.inputs.values():
        if item.is_digital:
            what = "push-button" if item.kind == "button" else _switched(plan, item)
            yield f"- `{item.name}`: {what}, in ordinary running {'on' if item.normal else 'off'}"
        else:
            of = f" of {measured(plan, item)}" if item.measures else ""
            what = f"{item.kind.replace('_', ' ')}{of}, seen in {item.unit or 'its own unit'}"
            yield f"- `{item.name}`: {what}{_bad(item)}"
    yield ""


def _bad(item: Input) -> str:
    """What happens while a sensor is out of its range, where that is more than that it holds climbs."""
    handed = f", handed over as {aloud(item, item.raw)}" if item.raw else ""
    slow = f", filtered over {time(item.filter_ms)}" if item.filter_ms else ""
    instead = shown(item.substitute, item.kind, 6, item.unit) if item.when_bad == "go on" else ""
    stands = f"; out of its range {instead} stands in"
    return handed + slow + {"trip": "; it trips out of its range", "go on": stands}.get(item.when_bad, "")


def _switched(plan: Plan, item: Input) -> str:
    """A switch; one that the plant moves with where it changes."""
    if item.changes is None:
        return item.kind
    dimension = quantities(plan)[str(item.measures)].dimension
    on, off = (shown(value, dimension, 6) for value in (item.changes.value, item.changes.off_at))
    return f"{item.kind}, on from `{item.measures}` {item.changes.bound} {on}, until it is back at {off}"


def _settings(plan: Plan) -> Lines:
    if not plan.settings:
        return
    yield "## What may be set on the panel"
    yield ""
    for item in plan.settings.values():
        low, high, default = (value_of(item, value) for value in (item.low, item.high, item.default))
        taken = "a change counts once every circuit is idle" if item.is_time else "a change counts at once"
        yield f"- `{item.name}`: from {low} to {high}, {default} until somebody changes it; {taken}."
    yield ""


def _to(ramp: Ramp) -> str:
    """Down to where a ramp falls."""
    return level(ramp.to, "temperature") if settings_of(ramp.to) else shown(ramp.to, "temperature", 4, "degC")


def _cooling(plan: Plan) -> Lines:
    yield "## What asks for cooling"
    yield ""
    for item in plan.calls:
        yield from _CALLS[type(item)](item)
    for ramp in plan.ramps.values():
        yield (
            f"- `{ramp.name}` follows a ramp: while `{speak(ramp.when)}` its set-point falls by "
            f"{shown(ramp.fall, 'fall_rate', 4, 'K/min')} from what `{ramp.of}` shows then, down to "
            f"{_to(ramp)}; it asks for more the further the temperature is "
            "above it, "
            f"100 % at {ramp.band:g} K."
        )
    yield "- After power-up, after a trip is reset and after a permissive for all water returns " + (
        "a call that stands goes on by itself."
        if plan.restarts
        else "nothing cools by itself: a call that stands must be let go, and made again."
    )
    if plan.done is not None:
        yield (
            f"- The cool-down is done when `{speak(plan.done.when)}`, while something calls: every circuit "
            "goes to its finish, and no call counts until none is left."
        )
    else:
        yield "- Nothing in the plan ends a cool-down: it goes on until nothing calls."
    yield from _by_hand(plan)
    yield ""


def _by_hand(plan: Plan) -> Lines:
    """What takes valves in hand, tests them, holds the sequence, and steps on."""
    if plan.hand is not None:
        yield (
            f"- While `{speak(plan.hand.when)}`, valves are in hand: every call ends, and once every circuit "
            "is idle each valve below is open while its input asks for it. Permissives and trips cut as "
            "ever; of valves that exclude each other none opens while another is open or asked for. It ends "
            "once it is asked for no longer, in idle, with these valves at rest; then the finish lets out "
            "what was let in."
        )
        for valve, given in plan.hand.valves.items():
            yield f"  - `{valve}` by `{given}`"
    if plan.test is not None:
        yield from _valve_test(plan.test)
    if plan.hold is not None:
        yield (
            f"- While `{speak(plan.hold.when)}`, no circuit climbs: each stays in its stage, and its doses "
            "go on. The time that a climb waits for in its stage counts from 0 once that is over. What ends "
            "or cuts cooling does so as ever."
        )
    for item in plan.steps_on:
        yield (
            f"- A press of `{item.button}` takes {_both(item.circuits)} one stage up out of "
            f"{_both([f'**{stage}**' for stage in item.stages])} before its condition holds, where a "
            f"call allows it{' and nothing is on hold' if plan.hold else ''}. A press that lasts counts once."
        )


def _valve_test(test: ValveTest) -> Lines:
    yield (
        f"- A press of `{test.start}` in idle tests valves, one after another: each is moved from where it "
        f"rests for {time(test.for_ms)}, after {time(test.pause_ms)} in which its outlet opens, what "
        f"excludes it shuts and what feeds it opens or runs; {time(test.pause_ms)} more close the test. It "
        "begins only while nothing calls, every permissive holds and nothing is tripped or in hand; a call, "
        "a lost permissive, a trip, hand mode, a stop button or another press ends it at once. No circuit "
        "cools before every valve is at rest, and then the finish lets out what was let in. In this order: "
        f"{_both([f'`{valve}`' for valve in test.valves])}."
    )


def _call(item: Call) -> Lines:
    yield (
        f"- `{speak(item.when)}` allows cooling of {_both(item.circuits)} up to the stage **{item.allows}**."
    )


def _by_buttons(item: ButtonCall) -> Lines:
    yield (
        f"- A press of `{item.start}` allows cooling of {_both(item.circuits)} up to the stage "
        f"**{item.allows}**, until `{item.stop}` is pressed, something trips or a permissive for all water "
        "is lost; then it takes another press. Stop wins, and a press that lasts counts once."
    )


def _demand(item: Demand) -> Lines:
    levels = ", ".join(f"{stage} from {level(least, 'percent')}" for stage, least in item.thresholds.items())
    back = f", each given up {level(item.hysteresis, 'percent')} lower" if item.gives_up_lower else ""
    yield f"- `{item.of}` allows in {_both(item.circuits)}: {levels}{back}."


_CALLS: Mapping[type, Callable[[Any], Lines]] = {Call: _call, ButtonCall: _by_buttons, Demand: _demand}


def _feeders(plan: Plan) -> Lines:
    if not plan.feeders:
        return
    yield "## What feeds it"
    yield ""
    for item in plan.feeders:
        opens, begun = ("is open", "opened") if isinstance(item, MainValve) else ("runs", "started")
        named = [f"`{name}`" for name in drawing(plan, item.supply)] or ["no circuit"]
        users, one_of = _listed(named, "and"), _listed(named, "or")
        need = f"`{speak(item.when)}`" if item.when else f"{one_of} is called for or draws on it"
        longer = f", and {time(item.lag_ms)} longer" if item.lag_ms else ""
        yield f"- `{item.name}`, {_what(item)} `{item.supply}`, {opens} while {need}{longer}."
        if item.lead_ms:
            yield f"- {users} may cool once `{item.name}` was {begun} {time(item.lead_ms)} ago."
        yield from _without_signal(item)
        if is_cut(plan, item) and (plan.trips or plan.permissives):
            yield f"- A trip, or the loss of a permissive for all water, ends that for `{item.name}` at once."
    yield ""


def _what(item: Feeder) -> str:
    return "a main valve in" if isinstance(item, MainValve) else "a pump for"


def _without_signal(valve: Valve | Feeder) -> Lines:
    """Of a valve that does not simply shut."""
    how = "" if isinstance(valve, Pump) else valve.without_signal
    if how == "open":
        yield f"- `{valve.name}` stands open without signal or power: its output is on to shut it."
    elif how == "stays":
        yield f"- `{valve.name}` stays where it is without power: a motor moves it both ways."


def _circuits(plan: Plan) -> Lines:
    for kind in plan.circuit_types.values():
        users = [name for name, circuit in plan.circuits.items() if circuit.type == kind.name]
        if users:
            yield f"## How {_both(users)} {'cools' if len(users) == 1 else 'cool'}"
            yield ""
            yield from _table(kind)
            yield from _rules(plan, kind, users)


def _table(kind: CircuitType) -> Lines:
    yield f"| step | {' | '.join(kind.valves)} | goes on |"
    yield f"|---|{'---|' * (len(kind.valves) + 1)}"
    rest = " | ".join("open" if valve.rest == "open" else "shut" for valve in kind.valves.values())
    yield f"| idle | {rest} | to the first stage when cooling is called for |"
    for number, stage in enumerate(kind.stages):
        last = number + 1 == len(kind.stages)
        onward = (
            "the strongest stage"
            if last
            else f"one stage up: {speak(stage.climb) if stage.climb else 'never'}"
        )
        yield f"| **{stage.name}** | {_actions(kind, stage)} | {onward} |"
    for step in kind.finish:
        yield f"| {step.name} (finish) | {_actions(kind, step)} | after {time(step.for_ms)} |"
    yield ""


def _actions(kind: CircuitType, step: Stage | FinishStep) -> str:
    return " | ".join(_action(step.actions.get(name)) for name in kind.valves)


def _action(action: Open | Dose | Share | None) -> str:
    if isinstance(action, Dose):
        clock = ", shared clock" if action.clock == "free" else ""
        doses = f"{time(action.open_ms)} open, {time(action.shut_ms)} shut{clock}"
        if action.for_ms is None:
            return doses
        then = action.then
        if isinstance(then, Pulses):
            then = f"{time(then.open_ms)} open, {time(then.shut_ms)} shut"
        return f"{doses}; after {time(action.for_ms)} {then}"
    if isinstance(action, Share):
        return f"open for the share `{action.of}` of each {time(action.cycle_ms)}"
    return "open" if isinstance(action, Open) else "shut"


def _rules(plan: Plan, kind: CircuitType, users: list[str]) -> Lines:
    down = f"after {time(kind.step_down_ms)} in a stage" if kind.step_down_ms else "at once"
    yield f"- When only a lower stage is called for, the sequence goes down to it {down}."
    yield "- When nothing calls for cooling, the finish runs step by step, then idle."
    yield "- A call during the finish begins at the first stage."
    begins = (
        "the finish, since the circuit may be hot and hold water" if kind.cold_start == "finish" else "idle"
    )
    called = "; with a call, at the first stage" if plan.restarts else ""
    yield f"- After power-up it begins in {begins}{called}."
    for name in users:
        held = dict.fromkeys(item.name for stage in kind.stages for item in sensors_of(plan, name, stage))
        if held:
            words = _both([f"`{sensor}`" for sensor in held])
            yield f"- Out of its range {words} holds the climbs of `{name}` that look at it."
    for valve in kind.valves.values():
        if valve.shortest_open_ms or valve.shortest_shut_ms:
            yield (
                f"- `{valve.name}` stays open at least {time(valve.shortest_open_ms)} and shut at least "
                f"{time(valve.shortest_shut_ms)}; only a permissive or trip cuts an opening short."
            )
        yield from _without_signal(valve)
    for name in users:
        delay = plan.circuits[name].delay_doses_ms
        if delay:
            yield f"- The doses of `{name}` begin {time(delay)} later than those of the others."
    yield ""


def _guards(plan: Plan) -> Lines:
    yield "## What stops it"
    yield ""
    for item in plan.permissives:
        what = "all water" if item.all_water else _both([f"`{valve}`" for valve in item.valves])
        goes = "and cooling ends with the finish" if item.all_water else "while the sequence goes on"
        yield (
            f"- **{_safe(item.name)}** must hold: `{speak(item.needs)}`. Without it {what} shuts at "
            f"once, {goes}."
        )
    for trip in plan.trips:
        yield (
            f"- **{_safe(trip.name)}** trips when `{speak(trip.when)}`: all water shuts at once and the "
            "finish runs, "
            f"until `{speak(trip.reset)}` with the condition gone."
        )
    if not (plan.permissives or plan.trips):
        yield "- Nothing: the plan has neither permissives nor trips."
    yield ""


def _shown(plan: Plan) -> Lines:
    if not (plan.outputs or plan.acknowledge):
        return
    yield "## What it shows"
    yield ""
    for item in plan.outputs.values():
        after = f", from {time(item.on_after_ms)} after it began" if item.on_after_ms else ""
        longer = f", and {time(item.off_after_ms)} longer" if item.off_after_ms else ""
        flashing = f", on and off for {time(item.flash_ms)} each" if item.flash_ms else ""
        yield f"- `{item.name}` is on while `{speak(item.on)}`{after}{longer}{flashing}."
    for alarm in plan.alarms:
        yield f"- Alarm **{_safe(alarm.name)}** ({alarm.priority} priority) when `{speak(alarm.when)}`."
    if plan.acknowledge is not None:
        if plan.trips:
            yield "- Every trip is an alarm too."
        yield (
            f"- An alarm stands until it is gone and `{speak(plan.acknowledge)}` has come on since. The one "
            "that came while none stood is the first out, until none stands."
        )
    yield ""


def _counted(plan: Plan) -> Lines:
    if not plan.counters:
        return
    yield "## What it counts"
    yield ""
    for item in plan.counters.values():
        what = "how often" if item.of_openings else "for how many whole hours"
        begins = "has gone on" if item.of_openings else "has held"
        unit = "" if item.of_openings else " h"
        due = f" From {item.due:.0f}{unit} on it is due." if item.due is not None else ""
        yield f"- `{item.name}`: {what} `{speak(item.of)}` {begins}, over power cuts too."
        yield f"  It is 0 while `{speak(item.reset)}`.{due}"
    yield ""


def _limits(plan: Plan) -> Lines:
    if plan.limits or plan.goals or plan.requirements:
        yield "## What it is held to"
        yield ""
        for aim in (*plan.limits, *plan.goals, *plan.requirements):
            yield f"- {_safe(aim.text)}"


def _both(words: Sequence[str]) -> str:
    """`a, b and c`."""
    return _listed(words, "and")


def _listed(words: Sequence[str], last: str) -> str:
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _safe(text: str) -> str:
    """A text that Markdown shows as it is."""
    return "".join(f"\\{letter}" if letter in "\\`*<>[]|#" else letter for letter in " ".join(text.split()))
