"""A counterexample, scan by scan, on the interpreter: only what it sees counts.

Rule of this file: a delay that is longer than a scan becomes scans with the inputs as they were, each at most
the longest scan after the one before. What the interpreter does not see is not called a violation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Since, Value
from steadfall.prove.system.step import CUT
from steadfall.scan.interpreter import Clock, Scanner
from steadfall.trace.trace import Recorder, Trace

Scan = tuple[int, Mapping[str, Value]]  # time since the last scan, and the inputs that change


@frozen(eq=False)
class Replay:
    """A run of the interpreter up to the moment that was looked for."""

    trace: Trace
    scans: tuple[Scan, ...]
    at_ms: int
    before_cuts: tuple[Mapping[str, Value], ...] = ()  # every signal when the power fails, cut by cut


def expand(steps: Iterable[Scan], longest: int) -> list[Scan]:
    """Big steps as scans; the last scan before a delay's end is a longest scan before it."""
    scans: list[Scan] = []
    for delay, inputs in steps:
        if CUT in inputs:
            scans.append((0, inputs))
            continue
        whole, rest = divmod(delay, longest)
        if whole and not rest:
            whole, rest = whole - 1, longest
        if whole and rest:
            scans.append((rest, {}))
            scans += [(longest, {})] * (whole - 1)
            scans.append((longest, inputs))
        else:
            scans.append((delay, inputs))
    return scans


def changes(scans: Sequence[Scan]) -> list[Scan]:
    """The scans with only those inputs that differ from what they were."""
    known: dict[str, Value] = {}
    found: list[Scan] = []
    for dt, inputs in scans:
        if CUT in inputs:
            found.append((dt, inputs))
            continue
        new = {name: value for name, value in inputs.items() if name not in known or known[name] != value}
        known |= new
        found.append((dt, new))
    return found


def replay(network: Network, scans: Sequence[Scan], goal: str) -> Replay | None:
    """Runs the scans up to the first in which the goal is true; None where it never is."""
    run = Scanner(network)
    types = {
        name: kind for name, kind in network.types.items() if ":" not in name
    }  # observers' own are left out
    recorder, now, known = Recorder(types), 0, {row.name for row in network.inputs}
    before: Mapping[str, Value] | None = None
    cut: list[Mapping[str, Value]] = []
    for number, (dt, inputs) in enumerate(scans):
        if CUT in inputs:
            cut.append(dict(run.values))
            cut_power(run, int(inputs[CUT]))
            recorder.take(now, run.values)
            now, before = now + int(inputs[CUT]), None
            continue
        values = run.scan(dt, {name: value for name, value in inputs.items() if name in known})
        now += dt if number else 0
        if before is None or any(values[name] != before[name] for name in types):
            recorder.take(now, values)
        recorder.end_ms, before = now, values
        if values[goal]:
            return Replay(recorder.trace(), tuple(changes(scans[: number + 1])), now, tuple(cut))
    return None


def cut_power(run: Scanner, off_ms: int) -> None:
    """The controller loses what it remembers; what watches it goes on, its ages so much older."""
    counted = set()
    for row in run.network.assignments:
        if ":" not in row.name:
            run.values[row.name] = row.initial
            if row.name in run.clocks:
                run.clocks[row.name] = Clock()
        elif isinstance(row.node, Since):
            begun = 0 if run.values[row.node.event] else int(run.values[row.name])
            run.values[row.name] = min(begun + off_ms, row.node.limit_ms)
            counted.add(row.node.event)
    for event in counted:  # the next scan counts on from the age, not from the event again
        run.values[event] = False
    run.first = True
