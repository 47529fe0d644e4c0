"""A parting as it is shown, in a terminal and on paper: the run, what of it is drawn, and why on each side.

Rule of this file: of inputs those are drawn that change or are not as they usually are; each output stands
above that of the second, each stage likewise. The second speaks in names of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from attrs import evolve, field, frozen

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.prove.compare.compared import PARTS, SECOND, VALVE, Comparison, Parting
from steadfall.prove.explain.reasons import Told, lines_of
from steadfall.prove.explain.stretch import near
from steadfall.roles import stage
from steadfall.runs.run import Run
from steadfall.trace.trace import Trace
from steadfall.why.explain import explain
from steadfall.why.scans.history import History
from steadfall.why.words.wording import Wording

REASONS = 8  # lines for each side


@frozen(eq=False)
class Side:
    """One of the two: what its file is called, its network, its words; the plan, where it is one."""

    title: str
    network: Network
    words: Wording
    plan: Plan | None = None


@frozen(eq=False)
class Apart:
    """A parting: of which outputs it is the earliest, the run and what of it is drawn, what each side does
    and why.
    """

    outputs: tuple[str, ...]
    parting: Parting
    trace: Trace
    names: tuple[str, ...]
    window: tuple[int, int]
    states: Mapping[str, tuple[str, ...]]  # the names of states, by the stage signals that are drawn
    told: tuple[tuple[Told, ...], tuple[Told, ...]]
    doubled: Mapping[str, str] = field(factory=dict)  # what is the second's alone -> its name there


def apart(found: Comparison, sides: tuple[Side, Side], most: int) -> list[Apart]:
    """The earliest partings of valves, one for all outputs that part in the same scan of the same run."""
    groups: dict[tuple[int, int], list[str]] = {}
    for row in found.each:
        if row.verdict == PARTS and row.kind == VALVE and row.parting:
            groups.setdefault((row.parting.at_ms, len(row.parting.run)), []).append(row.name)
    known = {row.name: row.parting for row in found.each if row.parting}
    shown = [(tuple(names), known[names[0]]) for _, names in sorted(groups.items())]
    return [_apart(found, sides, names, parting) for names, parting in shown[:most]]


def _apart(found: Comparison, sides: tuple[Side, Side], outputs: tuple[str, ...], parting: Parting) -> Apart:
    moved = [name for name in _moved(parting.run, sides) if name in parting.trace.tracks]
    what = sides[0].network.identities
    circuits = dict.fromkeys(what[name].circuit for name in outputs)
    rows = [*outputs, *(stage(circuit) for circuit in circuits if circuit)]
    pairs = [side for name in rows for side in (name, name + SECOND) if side in parting.trace.tracks]
    names = (*moved, *pairs)
    trace, window = near(parting.trace, names)
    own = found.names.in_second
    told = (
        _told(sides[0], parting.run, outputs[0]),
        _told(sides[1], _of_second(parting.run, found.doubled, own), own(outputs[0])),
    )
    states = dict(_states(found, sides, names))
    return Apart(outputs, parting, trace, names, window, states, told, found.doubled)


def _states(
    found: Comparison, sides: tuple[Side, Side], names: Sequence[str]
) -> Iterable[tuple[str, tuple[str, ...]]]:
    """What the numbers of the stages mean, those of the second in its own words."""
    for name in names:
        second = name in found.doubled
        own = found.names.in_second(found.doubled[name]) if second else name
        titles = sides[second].words.states.get(own)
        if titles:
            yield name, tuple(word for word, _ in titles)


def _moved(run: Run, sides: tuple[Side, Side]) -> Iterable[str]:
    """The inputs that change, and the switches that are not as they usually are."""
    usual = _usual(sides)
    for name, row in run.inputs.items():
        values = row.values.tolist()
        odd = isinstance(values[0], bool) and values[0] != usual.get(name, False)
        if len(values) > 1 or odd:
            yield name


def _usual(sides: tuple[Side, Side]) -> Mapping[str, bool]:
    plans = [side.plan for side in sides if side.plan]
    return {name: bool(item.normal) for plan in reversed(plans) for name, item in plan.inputs.items()}


def _told(side: Side, run: Run, output: str) -> tuple[Told, ...]:
    """What one side does with the output in the last scan, and why."""
    history = History(side.network, run)
    return tuple(lines_of(explain(side.network, history, output, len(history) - 1, side.words), REASONS))


def _of_second(run: Run, doubled: Mapping[str, str], own: Callable[[str], str]) -> Run:
    """A run in the names of the second; an input of the first alone is left out where the second has its
    own.
    """
    twice = {doubled[name] for name in run.inputs if name in doubled}
    inputs = {name: row for name, row in run.inputs.items() if name not in twice}
    return evolve(run, inputs=inputs).renamed(lambda name: own(doubled.get(name, name)))
