"""Thirty seeded mutants of a program: what all cases of the plan catch of them; and the right one in 20 runs.

A mutant is `not exercised` where its outputs and stages are the plan's in every scan of every case, with the
inputs that the right controller had; `missed` where they are not, and yet no session fails.

`python -m benchmarks.bench_mutants` prints the tables of docs/bench.md; a right one that fails makes the exit
code 1.
"""

from __future__ import annotations

import random
import re
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from attrs import frozen
from tests.bench.made import plan_of

from steadfall.app.given.controller import controller
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.told import Told
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.whole import Judged, judge
from steadfall.bench.session.journal import Row
from steadfall.bench.session.loop import Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.source import PlanError
from steadfall.st.write.whole import structured_text

MUTANTS, RIGHT_RUNS, SEED, CYCLE_MS = 30, 20, 16, 50
CAUGHT, NOT_EXERCISED, MISSED = "caught", "not exercised", "missed"
# What a person may slip in: a time, a level, a connective, a denial, a comparison, a first value.
SLIPS: Mapping[str, tuple[str, Sequence[str]]] = {
    "time": (r"T#[0-9smh]+", ()),
    "level": (r"(?<=[<>=] )[0-9]+\.[0-9]+", ()),
    "connective": (r"\b(AND|OR)\b", ("AND", "OR")),
    "denial": (r"\bNOT ", ("",)),
    "comparison": (r"(?<= )(>=|<=|<>|>|<)(?= )", (">=", "<", "=", "<=", ">")),
    "state": (r"(?<=:= )[0-9](?=;)", ("0", "1", "2", "3")),
}


@frozen
class Mutant:
    """A text with one slip in it."""

    sort: str
    line: int
    was: str
    now: str
    text: str


@frozen(eq=False)
class Scans:
    """What a right controller saw in a case, and what it made: a row a scan."""

    case: Case
    dts: Sequence[int]
    inputs: Sequence[Mapping[str, Value]]
    made: Sequence[Mapping[str, Value]]


class Noted(Soft):
    """A controller that notes each scan."""

    def __init__(self, network: Network, shows: Sequence[str]) -> None:
        self.noted: list[tuple[int, Mapping[str, Value], Mapping[str, Value]]] = []
        super().__init__(network, shows, warm=False)

    def restart(self) -> None:
        self.noted.append((-1, {}, {}))
        super().restart()

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> dict[str, Value]:
        made = super().scan(dt_ms, inputs)
        self.noted.append((dt_ms, dict(inputs), dict(made)))
        return made


def mutants(text: str) -> Iterator[Mutant]:
    """Every slip that fits, in an order by the seed."""
    dice, found = random.Random(SEED), []
    begin = text.index("FUNCTION_BLOCK")
    for sort, (pattern, others) in SLIPS.items():
        for match in re.finditer(pattern, text):
            if match.start() < begin or "(*" in text[text.rfind("\n", 0, match.start()) : match.start()]:
                continue
            was = match.group()
            now = _other(sort, was, others, dice)
            made = text[: match.start()] + now + text[match.end() :]
            found.append(Mutant(sort, text.count("\n", 0, match.start()) + 1, was, now, made))
    by = {sort: [one for one in found if one.sort == sort and one.was != one.now] for sort in SLIPS}
    for some in by.values():
        dice.shuffle(some)
    while any(by.values()):  # of each sort in turn
        yield from (some.pop() for some in by.values() if some)


def _other(sort: str, was: str, others: Sequence[str], dice: random.Random) -> str:
    if sort == "time":
        factor = dice.choice((0.5, 0.8, 1.25, 2))
        number = re.sub(r"[0-9]+", lambda one: str(max(1, round(int(one.group()) * factor))), was, count=1)
        return number if number != was else was.replace(was[2], str((int(was[2]) + 1) % 10), 1)
    if sort == "level":
        return f"{float(was) * dice.choice((0.9, 1.1)):.3f}"
    return dice.choice([one for one in others if one != was.strip()])


def session(plan: Plan, soft: Soft, case: Case, seed: int) -> Judged:
    """A case with a controller in lock step, judged by the plan's logic."""
    scans, rows = (plan.scan.nominal_ms, plan.scan.longest_ms), list[Row]()
    link = LockStep(soft, *scans, seed=seed)
    driven = Driven(case.lasting_ms, CYCLE_MS, drive=True, power_ms=case.power_ms)
    Session(Told(plan, case), (link, link), driven, rows.append, link.power).run()
    terms = Terms(*scans, 0.0, CYCLE_MS, (0.0, float(scans[1])))
    return judge(plan, build(plan), rows, terms, requirements=False)


def noted(plan: Plan, case: Case, shows: Sequence[str]) -> Scans:
    """A case with the right controller, scan by scan."""
    soft = Noted(build(plan), shows)
    session(plan, soft, case, 1)
    dts, inputs, made = zip(*soft.noted, strict=True)
    return Scans(case, dts, inputs, made)


def differs(network: Network, shows: Sequence[str], scans: Scans) -> bool:
    """Whether a network does anything else in these scans."""
    soft = Soft(network, shows, warm=False)
    for dt, inputs, made in zip(scans.dts, scans.inputs, scans.made, strict=True):
        if dt < 0:
            soft.restart()
        elif soft.scan(dt, inputs) != made:
            return True
    return False


def verdict(plan: Plan, network: Network, shows: Sequence[str], known: Sequence[Scans]) -> tuple[str, str]:
    """What becomes of a mutant, and in which case."""
    other = [scans for scans in known if differs(network, shows, scans)]
    for scans in other:
        if session(plan, Soft(network, shows, warm=False), scans.case, 2).conforms.said is Said.FAIL:
            return CAUGHT, scans.case.name
    return (MISSED, ", ".join(one.case.name for one in other)) if other else (NOT_EXERCISED, "")


def main() -> int:
    """Both tables."""
    plan = plan_of("small")
    network, text = build(plan), structured_text(plan).text
    shows = [*network.outputs, *(f"{circuit}.stage" for circuit in plan.circuits)]
    every = cases(plan).cases
    known = [noted(plan, case, shows) for case in every]
    print("| line | slip | verdict | in |\n|---|---|---|---|")
    count: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for one in mutants(text):
            file = Path(folder) / "controller.st"
            file.write_text(one.text, encoding="utf-8")
            try:
                made = controller(plan, file).network
            except PlanError:
                continue  # no program any more
            word, where = verdict(plan, made, shows, known)
            count[word] += 1
            print(
                f"| {one.line} | {one.sort}: `{one.was.strip()}` to `{one.now}` | {word} | {where} |",
                flush=True,
            )
            if sum(count.values()) == MUTANTS:
                break
    print(dict(count))
    wrong = [
        (seed, case.name)
        for seed in range(1, RIGHT_RUNS + 1)
        for case in (every[seed % len(every)],)
        if session(plan, Soft(network, shows, warm=False), case, 100 + seed).conforms.said is not Said.PASS
    ]
    print(f"right ones that did not pass, of {RIGHT_RUNS}: {wrong}")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
