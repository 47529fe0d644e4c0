"""Twenty sessions in real time with a controller that is right: none of them may fail.

The controller is the emitted text of the press and of the barrel, served in a process of its own; the plant
is in the loop here. Ten sessions, then ten beside processes that do nothing but count. A controller whose own
scans came later than the plan promises breaks that promise: a fail is then told apart, with its longest scan.

`python -m benchmarks.bench_right` prints the table of docs/bench.md; a false fail makes the exit code 1.
"""

from __future__ import annotations

import contextlib
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

from attrs import evolve, frozen

from benchmarks.busy import EXAMPLES, SPAWNED, busy
from steadfall.app.bench import Benched, How, People, bench
from steadfall.app.given.consent import CONFIRM
from steadfall.app.given.controller import controller
from steadfall.app.serve import Serving
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.whole import cases, finish_ms
from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.link.modbus.server import ModbusFace
from steadfall.bench.link.opcua.server import OpcUaFace
from steadfall.bench.link.wires import numbered, placed, signals
from steadfall.bench.session.journal import CYCLES
from steadfall.bench.session.loop import DONE
from steadfall.bench.soft.cabinet import Cabinet
from steadfall.bench.soft.controller import Soft
from steadfall.logic.build.stand_in import with_stages
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.predict.stepper import Stepper
from steadfall.st.write.whole import structured_text

PLANS, PROTOCOLS, HOST = ("press", "barrel"), ("opcua", "modbus"), "127.0.0.1"
SESSIONS, AT_ONCE, BUSY, LASTING_MS, MORE_MS = 20, 2, 2, 75_000, 5_000
PEOPLE = People(CONFIRM, knows=lambda _: True)
PASSED, FALSE, TRUE, NOT_JUDGED = "pass", "FALSE FAIL", "fail: its scans were too long", "could not be judged"


@frozen
class Asked:
    """One session: its number, the plan, the protocol, and whether others are busy beside it."""

    number: int
    plan: str
    protocol: str
    beside: bool


@frozen
class Came:
    """What came of it."""

    asked: Asked
    case: str
    said: str
    scans: int
    long: int  # scans of the controller, in the session, that were longer than it may take
    longest_ms: int  # of these
    cycles: int
    late: int
    cycle_ms: float
    requirements: tuple[int, int, int]  # kept, not exercised, not judged
    why: str

    def row(self) -> str:
        """A row of the table."""
        one, load = self.asked, f"{BUSY} busy" if self.asked.beside else "none"
        long = f"{self.long} ({self.longest_ms} ms)" if self.long else "0"
        cells = (
            one.number, f"{one.plan}, {self.case}", one.protocol, load, f"{self.cycles}, {self.late}",
            f"{self.cycle_ms:.0f}", long, ", ".join(map(str, self.requirements)), self.said,
        )  # fmt: skip
        return f"| {' | '.join(map(str, cells))} |"


HEAD = (
    "| | plan, case | over | beside it | cycles, of them late | longest cycle, ms | scans above 40 ms "
    "| requirements: kept, not exercised, not judged | said |\n|---|---|---|---|---|---|---|---|---|"
)


def asked() -> list[Asked]:
    """All of them: each plan over each protocol, the second half beside the busy."""
    return [
        Asked(at + 1, PLANS[at % 2], PROTOCOLS[at // 2 % 2], beside=at >= SESSIONS // 2)
        for at in range(SESSIONS)
    ]


def case_of(plan: Plan, number: int) -> Case:
    """A case by a seed, for so long as a session lasts; nobody is there to switch the power."""
    some = [one for one in cases(plan).cases if one.power_ms is None and not one.name.startswith("scenario")]
    chosen = random.Random(number).choice(some)
    return evolve(chosen, lasting_ms=min(chosen.lasting_ms, LASTING_MS))


class Noted(Soft):
    """A controller that notes its long scans: when each ended, in s, and how long it was, in ms."""

    def __init__(self, network: Network, shows: Sequence[str], promised_ms: int) -> None:
        self.promised, self.long = promised_ms, list[tuple[float, int]]()
        super().__init__(network, shows)

    def scan(self, dt_ms: int, inputs: Mapping[str, Value]) -> dict[str, Value]:
        if dt_ms > self.promised:
            self.long.append((time.time(), dt_ms))
        return super().scan(dt_ms, inputs)


def serving(path: Path, folder: Path, ready: Any, over: Any, told: Any) -> None:
    """In a process of its own: the emitted text as a controller, until it is over."""
    plan, file = read_file(path), folder / "controller.st"
    file.write_text(structured_text(plan).text, encoding="utf-8")
    network = with_stages(plan, controller(plan, file).network)
    wires = numbered(placed(signals(plan, network), plan))
    soft = Noted(network, [wire.signal for wire in wires if not wire.is_input], plan.scan.longest_ms)
    begin = {name: value for name, value in Stepper(plan).sense().items() if name in network.given}
    cabinet = Cabinet(
        soft, (OpcUaFace(wires, HOST, 0), ModbusFace(wires, HOST, 0)), plan.scan.nominal_ms, begin
    )
    opcua, modbus = cabinet.start()
    made = Serving(plan, opcua, modbus, tuple(wires), (), cabinet)
    for protocol in PROTOCOLS:
        made.write_link(folder / f"{protocol}.yaml", modbus=protocol == "modbus")
    ready.set()
    over.wait()
    served = made.stop()
    told.put((served.scans, soft.long))


@contextlib.contextmanager
def served(path: Path, folder: Path) -> Iterator[Callable[[], tuple[int, list[tuple[float, int]]]]]:
    """A controller that serves; how many scans it made, and which were long, when it is asked to end."""
    ready, over, told = SPAWNED.Event(), SPAWNED.Event(), SPAWNED.Queue()
    there = SPAWNED.Process(target=serving, args=(path, folder, ready, over, told))
    there.start()

    def ended() -> tuple[int, list[tuple[float, int]]]:
        over.set()
        found: tuple[int, list[tuple[float, int]]] = told.get(timeout=60)
        there.join()
        return found

    try:
        assert ready.wait(300), "the controller does not serve"
        yield ended
    finally:
        there.kill()
        there.join()


def session(one: Asked) -> Came:
    """Hold it; in a process of its own."""
    path = EXAMPLES / f"{one.plan}.yaml"
    plan = read_file(path)
    case = case_of(plan, one.number)
    with tempfile.TemporaryDirectory() as name, served(path, Path(name)) as ended:
        link, out = Path(name) / f"{one.protocol}.yaml", Path(name) / "session"
        settle = f"settle: {finish_ms(plan) + MORE_MS} ms\n"
        link.write_text(settle + link.read_text(encoding="utf-8"), encoding="utf-8")
        made = bench(plan, str(link), How(drive=True, case=case, out=out), PEOPLE)
        scans, long = ended()
        until = (out / CYCLES).stat().st_mtime
    since = until - made.recording.rows[-1].reads[-1].end / 1000 - plan.scan.longest_ms / 1000
    return _came(one, case, made, scans, [ms for at, ms in long if since <= at <= until])


def _came(one: Asked, case: Case, made: Benched, scans: int, long: list[int]) -> Came:
    judged = made.judged
    count = Counter(finding.said for finding in judged.required)
    wrong = [finding for finding in (judged.conforms, *judged.more) if finding.said is Said.FAIL]
    said = _said(judged.conforms, wrong, slow=bool(long))
    said += "" if made.recording.ended == DONE else f" ({made.recording.ended})"
    return Came(
        one, case.name, said, scans, len(long), max(long, default=0),
        judged.pace.cycles, judged.pace.late, judged.pace.cycle_ms[2],
        (count[Said.PASS], count[Said.NOT_EXERCISED], count[Said.NOT_JUDGED]),
        "; ".join(finding.why for finding in wrong) or judged.conforms.why,
    )  # fmt: skip


def _said(conforms: Finding, wrong: list[Finding], *, slow: bool) -> str:
    if wrong:
        return TRUE if slow else FALSE
    return PASSED if conforms.said is Said.PASS else NOT_JUDGED


def main() -> int:
    """The table, a row as soon as it is there."""
    print(HEAD, flush=True)
    found: list[Came] = []
    for beside in (False, True):
        some = [one for one in asked() if one.beside is beside]
        load = partial(busy, BUSY) if beside else contextlib.nullcontext
        with load(), ProcessPoolExecutor(AT_ONCE, mp_context=SPAWNED) as pool:
            for came in pool.map(session, some):
                print(came.row(), flush=True)
                if not came.said.startswith(PASSED):
                    print(f"{came.asked.number}: {came.why}", file=sys.stderr, flush=True)
                found.append(came)
    print(dict(Counter(came.said for came in found)))
    return 1 if any(came.said.startswith(FALSE) for came in found) else 0


if __name__ == "__main__":
    raise SystemExit(main())
