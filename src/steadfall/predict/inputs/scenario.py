"""What the inputs do over time: the plan's scenarios, and the default one.

The default: the strongest call at time 0 until the plan says that the cool-down is done; where it says
nothing, until every goal is reached. Then the finish runs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from attrs import field, frozen

from steadfall.plan.meaning.names import parts
from steadfall.plan.meaning.person.let_go import asks_by, made
from steadfall.plan.model import ButtonCall, Call, Demand, Plan, Scenario, Step
from steadfall.plan.model.condition import Not
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.plan.problems import Problems
from steadfall.predict.inputs.satisfy import possible, settings_for
from steadfall.predict.inputs.told import told
from steadfall.source import PlanError
from steadfall.units import shown

DEFAULT = "strongest call"
WITHOUT_GOALS_MS = 3_600_000
DONE_BY_MS = 14_400_000  # how long a default scenario without a goal waits for the end of the cool-down
LETS_GO = (
    "nothing in the plan ends a cool-down (`done:`): water runs until somebody lets go of the call; here "
    "that is when every goal is reached, which the controller does not see"
)
MADE_MS = 1  # what is done at 0 s is seen by the second scan: the first has seen that nothing called
PRESS_MS = 500  # how long a person presses a button
BOUNCES, BOUNCES_EVERY_MS = 20, 300  # of a loose contact: so often off or on, for so long each
NO_PLANT = (
    "no plant moves the inputs: each stays as it is set at the start, and the run ends after one hour; a "
    "scenario (`scenarios:`) sets them over time"
)
OVERTIME = 1.5  # how far past the last goal's time the default scenario waits for it

AnyCall = Call | ButtonCall | Demand


@frozen
class Course:
    """A scenario ready to run: the values at the start, the changes in time order, and what ends the
    calls.
    """

    name: str
    start: dict[str, float]  # every settable input, SI or percent
    changes: tuple[tuple[int, str, float], ...]  # ms, input, value
    release: dict[str, float]  # taken once every goal is reached (only when it ends with the goals)
    until_ms: int | None
    longest_ms: int
    remarks: tuple[str, ...] = ()
    upsets: tuple[Upset, ...] = ()  # in time order
    panel: Mapping[str, float] = field(factory=dict)  # settings that are not at their defaults, in SI


def settable(plan: Plan) -> dict[str, float]:
    """The inputs that a person or another system sets, with their value in ordinary running."""
    return {found.name: found.normal for found in plan.inputs.values() if found.measures is None}


def course(plan: Plan, name: str | None = None) -> Course:
    """The scenario of that name, or the default one.

    Raises PlanError when the plan has no scenario of that name.
    """
    if name is None or name == DEFAULT:
        return _strongest(plan)
    if name not in plan.scenarios:
        problems = Problems()
        problems.asked("scenario", name, "scenario of this plan", (DEFAULT, *plan.scenarios))
        raise PlanError(problems.found())
    return _written(plan, plan.scenarios[name])


def _written(plan: Plan, scenario: Scenario) -> Course:
    normal = settable(plan)
    start = dict(normal)
    changes: list[tuple[int, str, float]] = []
    upsets: list[Upset] = []
    calling = inputs_of_calls(plan)
    late = frozenset() if plan.restarts else calling
    for step in scenario.steps:
        upsets += _upsets(step, normal)
        for signal, value in step.values.items():
            if signal not in normal or value is None:
                continue
            if step.time_ms == 0 and signal not in late:
                start[signal] = value
            else:
                changes.append((max(step.time_ms, MADE_MS), signal, value))
        changes += [change for button in step.presses for change in _press(plan, button, step.time_ms)]
    ends_with_goals = scenario.until_ms is None and plan.done is None
    release = {signal: normal[signal] for signal in normal if signal in calling} | _stops(plan, plan.calls)
    return Course(
        scenario.name,
        start,
        tuple(sorted(changes)),
        release if ends_with_goals else {},
        scenario.until_ms,
        scenario.longest_ms,
        remarks=(*_set(plan, scenario), *(told(plan, one) for one in upsets)),
        upsets=spelled(plan, upsets),
        panel=scenario.panel,
    )


def _upsets(step: Step, normal: Mapping[str, float]) -> Iterator[Upset]:
    """What goes wrong at a step, and what is right again."""
    for name, value in step.values.items():
        if value is None:
            yield Upset(step.time_ms, name, Wrong.MEASURES)
        elif name not in normal:
            yield Upset(step.time_ms, name, Wrong.SHOWS, value)
    yield from (Upset(step.time_ms, name, wrong) for name, wrong in step.mishaps.items())
    for name, value in step.supplies.items():
        supply, number = parts(name)
        yield Upset(step.time_ms, supply, Wrong(number), value)


def spelled(plan: Plan, upsets: Iterable[Upset]) -> tuple[Upset, ...]:
    """Upsets in time order, an input that bounces as all that it shows."""
    found: list[Upset] = []
    for one in upsets:
        found += _bounced(plan, one) if one.wrong is Wrong.BOUNCES else [one]
    return tuple(sorted(found, key=lambda one: one.time_ms))


def _bounced(plan: Plan, upset: Upset) -> Iterator[Upset]:
    """Off and on in turn, each long enough for a scan to see it, then as before."""
    every = max(BOUNCES_EVERY_MS, 2 * plan.scan.longest_ms)
    for number in range(BOUNCES):
        yield Upset(upset.time_ms + number * every, upset.of, Wrong.SHOWS, float(number % 2))
    yield Upset(upset.time_ms + BOUNCES * every, upset.of, Wrong.MEASURES)


def _set(plan: Plan, scenario: Scenario) -> Iterator[str]:
    """What a scenario has set on the panel, as sentences."""
    for name, value in scenario.panel.items():
        item = plan.settings[name]
        yield f"the scenario has '{name}' set to {shown(value, item.dimension, 6, item.unit)}"


def _press(plan: Plan, button: str, at_ms: int) -> tuple[tuple[int, str, float], ...]:
    """A button is pressed, and let go again; the first scan has seen it as it normally is."""
    item, begins = plan.inputs[button], max(at_ms, MADE_MS)
    ends = begins + max(PRESS_MS, 2 * plan.scan.longest_ms)
    return (begins, button, 1.0 - item.normal), (ends, button, item.normal)


def _stops(plan: Plan, calls: Iterable[AnyCall]) -> dict[str, float]:
    """The stop buttons of some calls, held down."""
    stops = (plan.inputs[call.stop] for call in calls if isinstance(call, ButtonCall))
    return {item.name: 1.0 - item.normal for item in stops}


def inputs_of_calls(plan: Plan) -> set[str]:
    """The inputs by which calls are made, but for buttons."""
    base = settable(plan)
    by_hand = (call for call in plan.calls if not isinstance(call, ButtonCall))
    return {name for call in by_hand for name in _setting(plan, call, base) or {}}


def _setting(plan: Plan, call: Call | Demand, base: dict[str, float]) -> dict[str, float] | None:
    if isinstance(call, Demand) and call.of not in plan.ramps:
        return {call.of: plan.inputs[call.of].high} if call.of in base else {}
    return settings_for(asks_by(call, plan), plan.inputs, base)


def _let_go(plan: Plan, call: Call | Demand, base: dict[str, float]) -> dict[str, float]:
    """How inputs stand while a call is let go, where it must be before it counts."""
    if plan.restarts:
        return {}
    return settings_for(Not(made(asks_by(call, plan), plan)), plan.inputs, base) or {}


def _strength(plan: Plan, call: AnyCall, circuit: str) -> int:
    stages = [stage.name for stage in plan.type_of(circuit).stages]
    wanted = list(call.thresholds) if isinstance(call, Demand) else [call.allows]
    return max((stages.index(name) for name in wanted if name in stages), default=-1)


def strongest_calls(plan: Plan) -> list[AnyCall]:
    """The calls that ask for the highest stages, one for each circuit at least."""
    chosen: list[AnyCall] = []
    for circuit in plan.circuits:
        offered = [call for call in plan.calls if circuit in call.circuits]
        if offered:
            best = max(offered, key=lambda call: _strength(plan, call, circuit))
            if not any(best is already for already in chosen):
                chosen.append(best)
    return chosen


def _strongest(plan: Plan) -> Course:
    start = settable(plan)
    remarks = list(_permit(plan, start))
    chosen = strongest_calls(plan)
    buttons = dict.fromkeys(call.start for call in chosen if isinstance(call, ButtonCall))
    made_at_once = [change for button in buttons for change in _press(plan, button, 0)]
    release = _stops(plan, chosen)
    for call in (call for call in chosen if not isinstance(call, ButtonCall)):
        start.update(_let_go(plan, call, start))
        change = _setting(plan, call, start)
        if change is None:
            remarks.append(
                "a call of the plan cannot be made by setting inputs alone; it is left to the plant"
            )
            continue
        release |= {signal: start[signal] for signal in change}
        if plan.restarts:
            start.update(change)
        else:
            made_at_once += [(MADE_MS, signal, value) for signal, value in change.items()]
    changes = tuple(sorted(made_at_once))
    if not plan.has_plant:
        remarks.append(NO_PLANT)
        return Course(DEFAULT, start, changes, {}, WITHOUT_GOALS_MS, WITHOUT_GOALS_MS, tuple(remarks))
    if plan.done is not None:
        within = [OVERTIME * 1000 * goal.within for goal in plan.goals]
        longest = int(max(within, default=DONE_BY_MS))
        return Course(DEFAULT, start, changes, {}, None, longest, tuple(remarks))
    if not plan.goals:
        remarks.append("the plan has no goal: the run ends after one hour of plant time")
        return Course(DEFAULT, start, changes, {}, WITHOUT_GOALS_MS, WITHOUT_GOALS_MS, tuple(remarks))
    remarks.append(LETS_GO)
    longest = int(OVERTIME * 1000 * max(goal.within for goal in plan.goals))
    return Course(DEFAULT, start, changes, release, None, longest, tuple(remarks))


def _permit(plan: Plan, start: dict[str, float]) -> Iterable[str]:
    """Set what the permissives need, and say so: with them untrue no water would flow."""
    for permissive in plan.permissives:
        if possible(permissive.needs, start) is False:
            change = settings_for(permissive.needs, plan.inputs, start) or {}
            start.update(change)
            for name in change:
                yield (
                    f"'{name}' was set so that permissive '{permissive.name}' holds; "
                    f"write `normal: on` at the input if that is its ordinary state"
                )
