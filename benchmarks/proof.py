"""The proof of every example and of eight circuits: the whole list, checked again by cvc5; each engine
alone.
"""

from __future__ import annotations

import resource
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Event, Thread

from benchmarks.eight import eight
from benchmarks.table import Row
from steadfall.logic.build.whole import build
from steadfall.logic.cone import cone
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.prove.compare.compare import compare
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.before.cache import MEMORY
from steadfall.prove.decide.result import PROVED, REFUTED
from steadfall.prove.engines import bounded, spacer
from steadfall.prove.requirements.whole import Watched, watched
from steadfall.prove.solver.budget import Budget
from steadfall.prove.whole.run import prove
from steadfall.store import Store

EXAMPLES = Path(__file__).parent.parent / "examples"
GOOD = Path(__file__).parent.parent / "tests" / "plans" / "good"
TENTH, EFFORT = 10, 20_000_000  # one of so many is asked; units of work for each
PLAIN = 6_000_000  # units for each requirement where one engine is asked alone
EVERY = 4  # of so many requirements one is asked of an engine alone
FLOORS = {"press": 10.0, "eight circuits": 60.0}  # s, on two processes
WORK = {"press": 5.0, "eight circuits": 20.0}  # s of the processor, on one
EDITED = ("open: 1.2 s,", "open: 1.5 s,")  # a number of the press
TWICE = 2.0  # all delays different: so many times the work of eight circuits at most


def rows() -> Iterable[Row]:
    """Seconds for the list of each plan on two processes, how many are settled, memory, a comparison."""
    plans = {path.stem: read_file(path) for path in sorted(EXAMPLES.glob("*.yaml"))}
    for name, plan in {**plans, "eight circuits": eight()}.items():
        yield from _of(name, plan)
    yield from alone_rows()
    yield from kept_rows()
    same = compare(plans["press"], build(plans["press"]), build(plans["press"]))
    yield Row("press: compared with itself, equal for ever", same.seconds, "s", 20.0)


def _of(name: str, plan: Plan) -> Iterator[Row]:
    before = _processor()
    with Memory() as memory:
        proof = prove(plan)
    settled = sum(one.verdict in (PROVED, REFUTED) for one in proof.verdicts)
    checked = sum(one.rechecked is True for one in proof.verdicts)
    words = f"{name}: {len(proof.verdicts)} requirements, certificates, checked again"
    yield Row(words, proof.seconds, "s", FLOORS.get(name))
    yield Row(f"{name}: the same in processor time", _processor() - before, "s")
    yield Row(f"{name}: proved or refuted", 100 * settled / len(proof.verdicts), "%", 100.0, at_least=True)
    yield Row(f"{name}: certificates that cvc5 confirms", float(checked), "")
    yield Row(f"{name}: most memory, all processes together", memory.most / 2**20, "MB", 2000.0)


def alone_rows() -> Iterator[Row]:
    """Processor time of this process alone for whole lists, runs, certificates and cvc5 included."""
    used: dict[str, float] = {}
    plans = {"press": read_file(EXAMPLES / "press.yaml"), "eight circuits": eight()}
    for name, plan in {**plans, "eight circuits, no two alike": eight(apart=True)}.items():
        begin = time.process_time()
        proof = prove(plan, workers=1)
        used[name] = time.process_time() - begin
        yield Row(f"{name}: processor time, one process", used[name], "s", WORK.get(name))
        good = sum(one.good for one in proof.verdicts)
        yield Row(f"{name}: proved", 100 * good / len(proof.verdicts), "%", 100.0, at_least=True)
    ratio = used["eight circuits, no two alike"] / used["eight circuits"]
    yield Row("eight circuits, no two alike, against three types twice", ratio, "", TWICE)


def kept_rows() -> Iterable[Row]:
    """Processor time of this process alone for the press once what was found is kept: as it was, and with a
    number edited.
    """
    text = (EXAMPLES / "press.yaml").read_text(encoding="utf-8")
    old, new = EDITED
    assert old in text
    with TemporaryDirectory() as folder:
        ask, used = Ask(store=Store(Path(folder))), dict[str, float]()
        for what, words in (
            ("", text),
            ("proved again", text),
            ("with a number edited", text.replace(old, new)),
        ):
            for known in (MEMORY.answers, MEMORY.checked, MEMORY.models):
                known.clear()
            begin = time.process_time()
            proof = prove(read_text(words), ask=ask, workers=1)
            used[what] = time.process_time() - begin
            assert all(one.good for one in proof.verdicts)
    for what in list(used)[1:]:
        yield Row(f"press: {what}, processor time", used[what], "s", 1.0)


def _processor() -> float:
    """Processor time of this process and of those that it has ended."""
    used = [resource.getrusage(which) for which in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(row.ru_utime + row.ru_stime for row in used)


class Memory:
    """Watches what this process and its children hold at once (Linux); pages that they share count for
    each.
    """

    def __init__(self) -> None:
        self.most, self._over = 0, Event()
        self._thread = Thread(target=self._watch, daemon=True)

    def __enter__(self) -> Memory:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _watch(self) -> None:
        while not self._over.wait(0.1):
            self.most = max(self.most, sum(map(_resident, _family())))


def _family() -> list[Path]:
    own, found = Path("/proc/self/task"), [Path("/proc/self")]
    for task in own.glob("*/children"):
        found += [Path("/proc") / number for number in task.read_text(encoding="ascii").split()]
    return found


def _resident(process: Path) -> int:
    try:
        return int((process / "statm").read_text(encoding="ascii").split()[1]) * resource.getpagesize()
    except OSError:  # it has just ended
        return 0


def good_rows() -> Iterable[Row]:
    """Of every plan of the tests each tenth requirement, from another one on in each plan: how many are
    settled.

    What is refuted there is so on purpose: plans that show free clocks, and requirements that a plan breaks.
    """
    begin, asked, settled = _processor(), 0, 0
    for place, path in enumerate(sorted(GOOD.glob("*.yaml"))):
        plan = read_file(path)
        names = [row.name for row in watched(plan).required][place % TENTH :: TENTH]
        found = prove(plan, names, Ask(effort=EFFORT), workers=1)
        asked += len(found.verdicts)
        settled += sum(one.verdict in (PROVED, REFUTED) for one in found.verdicts)
    words = f"good plans: settled share of {asked} requirements, {EFFORT / 1e6:g} million units each"
    yield Row(words, 100 * settled / asked, "%", 97.0, at_least=True)
    yield Row("good plans: the same in processor time", _processor() - begin, "s", 60.0)


def plain_rows() -> Iterable[Row]:
    """Every fourth of the list by one engine alone, on all that it depends on: how much it settles, in what
    time.
    """
    of = watched(read_file(EXAMPLES / "press.yaml"))
    yield from _plain_fixed_point(of)
    yield from _plain_search(of)


def _plain_fixed_point(of: Watched) -> Iterator[Row]:
    begin, settled = _processor(), 0
    for row in of.required[::EVERY]:
        part = of.model(cone(of.network, [row.bad]))
        found = spacer.plain(part, part.values[row.bad], Budget(PLAIN))
        settled += found is not None
    words = f"press by plain Spacer, {PLAIN / 1e6:g} million units each"
    yield Row(f"{words}: settled", 100 * settled / len(of.required[::EVERY]), "%")
    yield Row(f"{words}: processor time", _processor() - begin, "s")


def _plain_search(of: Watched) -> Iterator[Row]:
    """It can only refute: what it does not reach it does not settle, so how deep it comes is told too."""
    begin, found, depths = time.monotonic(), 0, Counter[int]()
    for row in of.required[::EVERY]:
        part = of.model(cone(of.network, [row.bad]))
        way, depth = bounded.search(part, part.values[row.bad], 400, Budget(PLAIN))
        found += way is not None
        depths[depth] += 1
    middle = sorted(depths.elements())[depths.total() // 2]
    words = f"press by plain bounded search, {PLAIN / 1e6:g} million units each"
    yield Row(f"{words}: settled", 100 * found / len(of.required[::EVERY]), "%")
    yield Row(f"{words}: steps without a violation, the median", float(middle), "")
    yield Row(f"{words}: time", time.monotonic() - begin, "s")
