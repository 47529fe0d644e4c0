"""A run, and one more thing that happens in it: shows a requirement at work that chance alone seldom does.

Rule of this file: the run comes to the moment at which a valve of the requirement opens; a few scans later
one input changes, and nothing else does from there on. A switch that is usually on goes off first, then the
others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve

from steadfall.logic.nodes import Type
from steadfall.prove.requirements.watch import Required
from steadfall.prove.runs.stimuli import Course, Driver, course, run

Witness = Mapping[str, Any]
AFTER = 3  # scans from the opening to the change
LASTING = 400  # scans that are run after it


def bent(inputs: Course, at: int, name: str, value: float) -> Course:
    """A run up to a scan, and from there on only this change."""
    moves = (*(move for move in inputs.moves if move[0] < at), (at, name, value))
    return evolve(inputs, dts=inputs.dts[: at + LASTING], moves=moves)


def nudged(of: Driver, rows: Iterable[Required], opened: Mapping[str, tuple[int, int]]) -> dict[str, Witness]:
    """Runs that exercise requirements, by name, from runs (seed and scan) in which their valves have
    opened.
    """
    found: dict[str, Witness] = {}
    waiting = list(rows)
    for valve, circuit in dict.fromkeys((name, row.circuit) for row in waiting for name in _valves(of, row)):
        if valve not in opened:
            continue
        seed, scan = opened[valve]
        whole, at = course(of, seed), scan + AFTER
        for name, value in _changes(of, circuit):
            left = [row for row in waiting if row.name not in found]
            if not any(valve in _valves(of, row) for row in left):
                break
            inputs = bent(whole, at, name, value)
            for row, last in zip(left, run(of, inputs, [row.exercised for row in left]), strict=True):
                if last >= 0:
                    then = {"scan": at, "input": name, "to": value}
                    found[row.name] = {
                        "seed": seed,
                        "scan": last,
                        "at_ms": sum(inputs.dts[1 : last + 1]),
                        "then": then,
                    }
    return found


def _valves(of: Driver, row: Required) -> Sequence[str]:
    """The valves of a requirement; where it names none, all of them."""
    return [name for name in row.shown if name in of.network.outputs] or of.network.outputs


def _changes(of: Driver, circuit: str) -> Iterator[tuple[str, float]]:
    """Inputs that may end or disturb what a circuit does, and what they change to."""
    near = [
        row
        for row in of.network.inputs
        if "." not in row.name or row.name.startswith(f"{circuit}.") or not circuit
    ]
    near = [row for row in near if row.name not in of.choosers]
    switches = [row.name for row in near if row.type is Type.BOOL]
    usual = {name: of.favoured.get(name, 0.0) for name in switches}
    yield from ((name, 1.0 - usual[name]) for name in sorted(switches, key=lambda name: -usual[name]))
    for row in near:
        if row.name in of.choices:
            yield row.name, of.choices[row.name][-1]
            yield row.name, of.choices[row.name][0]
