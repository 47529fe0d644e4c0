"""A run, and one more thing that happens in it: shows a requirement at work that chance alone seldom does.

Rule of this file: the run comes to the moment at which a valve of the requirement opens; a few scans later
one input changes, and nothing else does from there on. A switch that is usually on goes off first, then the
others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve

from steadfall.logic.nodes import Type
from steadfall.prove.requirements.watch import Required
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.runs.player import Fast
from steadfall.runs.run import Run, turns
from steadfall.scan.program import Registers, fresh

Witness = Mapping[str, Any]
AFTER = 3  # scans from the opening to the change
LASTING = 400  # scans that are run after it


def perturbed(of: Rig, run: Run, at: int, name: str, value: float) -> Run:
    """A run up to a scan, and from there on only this change."""
    before = run.part(0, at).inputs
    pairs = before[name].pairs() if name in before else []
    inputs = {**before, name: turns([*pairs, (at, value)], of.types[name])}
    return evolve(run, inputs=inputs).part(0, at + LASTING)


def perturb(
    of: Rig,
    rows: Iterable[Required],
    opened: Mapping[str, tuple[int, int]],
    before: Collection[tuple[str, float]] = (),
    *,
    on: Fast | None = None,
) -> dict[str, Witness]:
    """Runs that exercise requirements, by name, from runs (seed and scan) in which their valves have
    opened. `before`: changes that are tried before others. `on`: what of the network is played.
    """
    found: dict[str, Witness] = {}
    fast = on or of.fast
    waiting = list(rows)
    for valve, circuit in dict.fromkeys((name, row.circuit) for row in waiting for name in _valves(of, row)):
        if valve not in opened:
            continue
        seed, scan = opened[valve]
        whole, at, registers = stimuli(of, seed), scan + AFTER, fresh(fast.program)
        asked = [row.exercised for row in waiting]
        sooner = dict(zip(asked, fast.first_of(whole, asked, registers, (0, at)), strict=True))
        for name, value in sorted(changes(of, circuit), key=lambda change: change not in before):
            left = [row for row in waiting if row.name not in found]
            if not any(valve in _valves(of, row) for row in left):
                break
            run, begun = perturbed(of, whole, at, name, value), Registers(*(row.copy() for row in registers))
            after = fast.first_of(run, [row.exercised for row in left], begun, (at, len(run)))
            for row, later in zip(left, after, strict=True):
                last = sooner[row.exercised] if sooner[row.exercised] >= 0 else later
                if last >= 0:
                    then = {"scan": at, "input": name, "to": value}
                    found[row.name] = {
                        "seed": seed,
                        "scan": last,
                        "at_ms": int(run.times_ms[last]),
                        "then": then,
                    }
    return found


def _valves(of: Rig, row: Required) -> Sequence[str]:
    """The valves of a requirement; where it names none, all of them."""
    return [name for name in row.shown if name in of.network.outputs] or of.network.outputs


def changes(of: Rig, circuit: str) -> Iterator[tuple[str, float]]:
    """Inputs that may end or disturb what a circuit does, and what they change to."""
    near = [row for row in of.network.inputs if row.identity.circuit in ("", circuit) or not circuit]
    near = [row for row in near if row.name not in of.choosers]
    switches = [row.name for row in near if row.type is Type.BOOL]
    usual = {name: of.favoured.get(name, 0.0) for name in switches}
    yield from ((name, 1.0 - usual[name]) for name in sorted(switches, key=lambda name: -usual[name]))
    for row in near:
        if row.name in of.choices:
            yield row.name, of.choices[row.name][-1]
            yield row.name, of.choices[row.name][0]
