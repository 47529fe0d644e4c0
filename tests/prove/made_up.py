"""Made-up plans proved: whether a run breaks what is proved, and whether what follows from them is refuted.

`python -m tests.prove.made_up 0 40` takes the plans of these seeds, some seconds each, and says what is odd.
A refuted dose of a free clock is not: such a clock clips the first one.

The runs are not those of the proof: every input changes at a pace of its own. They are read a second time,
from docs/logic.md alone, beside the compiled scan.
"""

from __future__ import annotations

import random
import sys

import numpy as np

from steadfall.logic.nodes import Type
from steadfall.plan.model import Plan
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.result import PROVED, VACUOUS
from steadfall.prove.requirements.whole import watched
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.whole.run import prove
from steadfall.runs.run import Run, turns
from tests.prove import second_reading
from tests.prove.any_plan import any_plans

SCANS, READ = 20_000, 300  # of the compiled scan, and of those that are read a second time


def any_run(of: Rig, luck: random.Random, scans: int) -> Run:
    """Inputs that change at a pace of their own, scans of any length or at their ends."""
    how = luck.choice(((1, of.longest_ms), (of.longest_ms,), range(1, of.longest_ms + 1)))
    dts = np.array(luck.choices(how, k=scans), dtype=np.int64)
    inputs = {}
    for row in of.network.inputs:
        pace, at, pairs = 10 ** luck.uniform(0.2, 3.3), 0, []
        while at < scans:
            pairs.append((at, _value(of, luck, row.name)))
            at += max(1, int(pace * luck.expovariate(1)))
        inputs[row.name] = turns(pairs, row.type)
    return Run(dts, inputs)


def _value(of: Rig, luck: random.Random, name: str) -> float:
    kind = of.types[name]
    if kind is Type.BOOL:
        usual = bool(of.favoured.get(name, 0.0))
        return usual if luck.random() < 0.7 else not usual
    value = luck.choice(of.choices.get(name, (0.0, 50.0, 300.0)))
    near = luck.choice((0, 0, luck.randint(-50, 50)))
    return value + near if kind is Type.REAL else int(value) + near


def odd(plan: Plan, luck: random.Random) -> list[str]:
    """What follows from a plan and is not proved, and what is proved and broken by a run."""
    proof, of = prove(plan, (), Ask(effort=5_000_000), workers=1), watched(plan)
    rows = [row for row in proof.verdicts if row.verdict != PROVED and not row.required.stated]
    found = [f"{row.verdict}: {row.required.name}" for row in rows]
    names = [row.required.bad for row in proof.verdicts if row.verdict in (PROVED, VACUOUS)]
    one = rig(plan, of.network)
    for _ in range(SCANS // 5000):
        scans = one.fast.first(any_run(one, luck, 5000), names)
        found += [f"BROKEN: {name}" for name, at in zip(names, scans, strict=True) if at >= 0]
    memory = second_reading.start(of.network)
    for step in any_run(one, luck, READ).steps():
        memory = second_reading.scan(of.network, memory, step.dt_ms, step.inputs)
        found += [f"BROKEN, read a second time: {name}" for name in names if memory.last[name]]
    return list(dict.fromkeys(found))


def main() -> None:
    for seed, plan in any_plans(range(*map(int, sys.argv[1:3]))):
        print(seed, *(odd(plan, random.Random(seed)) or ["nothing odd"]), sep="\n  ", flush=True)


if __name__ == "__main__":
    main()
