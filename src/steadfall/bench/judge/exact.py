"""The exact judge: every scan that a recorder in the controller has kept, made again and held against it.

Rule of this file: nothing is guessed. A scan that was not seen ends it, and it says so; until then each
output and stage must be equal in every scan.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import field, frozen

from steadfall.bench.judge.explain.world import at_rest
from steadfall.bench.judge.finding import Finding, Said, Terms, in_words
from steadfall.bench.session.journal import Row
from steadfall.logic.build.recorder import NUMBERS, Slots, slots
from steadfall.logic.cone import cone
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.scan.interpreter import Scanner
from steadfall.source import AskError

ABOUT, SCANS = "every scan, by the recorder", "scan times"
EQUAL = "all {scans} scans are as the plan's logic makes them"
NONE = "no scan was recorded"
GAP = "{equal} scans are equal; then {missing} were not seen, so that nobody knows how it stood after them"
KEEPS = "{equal}, but for {names} where nobody saw what was kept without power"
TORN = "the recorder was read in more than one request, so that its parts may be of different scans"
WRONG = "in scan {number}, {before} ms after the one before, {what}"
KEPT = "scans took up to {longest} ms; the plan promises {promised} ms"


@frozen
class Scan:
    """One scan as the controller kept it, and when it was read; `unseen`: scans before it that were not."""

    number: int
    dt_ms: int
    values: Mapping[str, Value]
    read_ms: float
    unseen: int = 0
    begins: bool = False  # the first of a recording, or after power


@frozen(eq=False)
class Exact:
    """What the recorder says: of conformance, of scan times, and how often each came, in ms."""

    conforms: Finding
    pace: Finding
    times: Mapping[int, int] = field(factory=dict)

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        times = {str(ms): many for ms, many in self.times.items()}
        return {"conforms": self.conforms.as_json(), "pace": self.pace.as_json(), "scan_ms": times}


def exact(plan: Plan, network: Network, rows: Sequence[Row], terms: Terms) -> Exact | None:
    """Judge by the recorder; None where the controller shows none."""
    made = slots(plan, network)
    shown = [{*part.values} & {*made.names} for part in rows[0].reads]
    if {name for part in shown for name in part} != {*made.names}:
        return None
    if sum(bool(part) for part in shown) > 1:
        return Exact(Finding(ABOUT, Said.NOT_JUDGED, TORN), Finding(SCANS, Said.NOT_JUDGED, TORN))
    scans = list(_scans(rows, made))
    times = Counter(one.dt_ms for one in scans if not one.begins and one.dt_ms)
    return Exact(_judged(network, scans, terms), _promise(times, terms), dict(sorted(times.items())))


def _scans(rows: Sequence[Row], made: Slots) -> Iterator[Scan]:
    """Every scan that was seen, in order, each once."""
    now: dict[str, Any] = {}
    last: int | None = None
    begins = True
    for row in rows:
        if row.power:
            last, begins = None, True
        for part in row.reads:
            now |= part.values
        latest = round(now[made.numbers[0]])
        new = _filled(now, made) if last is None else int((latest - last) % NUMBERS)
        kept = min(new, len(made.numbers))
        for slot in range(kept, 0, -1):
            values = {of: now[name] for of, name in made.signals[slot - 1].items()}
            yield Scan(
                round(now[made.numbers[slot - 1]]), now[made.times[slot - 1]], values, row.reads[0].begin,
                new - kept if slot == kept else 0, begins,
            )  # fmt: skip
            begins = False
        last = latest


def _filled(now: Mapping[str, Any], made: Slots) -> int:
    """How many slots hold a scan: scan 1 is the first after power, and before it there is none."""
    latest: int = round(now[made.numbers[0]])
    filled: int = sum(round(now[name]) == (latest - at) % NUMBERS for at, name in enumerate(made.numbers))
    return min(filled, latest) if round(now[made.numbers[-1]]) == 0 else filled


def _judged(network: Network, scans: Sequence[Scan], terms: Terms) -> Finding:
    looked_at = dict.fromkeys(
        (*network.outputs, *(row.name for row in network.assignments if row.name in _kept(scans)))
    )
    scanner, equal, unseen = Scanner(network), 0, dict[str, None]()
    for one in scans:
        given = {row.name: one.values[row.name] for row in network.inputs if row.name in one.values}
        if one.unseen:
            return Finding(ABOUT, Said.NOT_JUDGED, GAP.format(equal=equal, missing=one.unseen), one.read_ms)
        if one.begins:
            known = terms.first_scan is not None and one.number == 1
            if equal or not known:  # it may have counted before
                unseen |= dict.fromkeys(name for name in looked_at if _retains(network, name))
                looked_at = {name: None for name in looked_at if name not in unseen}
            try:
                scanner = Scanner(network) if known else at_rest(network, given)
            except AskError as error:
                return Finding(ABOUT, Said.NOT_JUDGED, str(error), one.read_ms)
        values = scanner.scan(one.dt_ms, given)
        wrong = [name for name in looked_at if values[name] != one.values[name]]
        if wrong:
            what = " and ".join(_differs(name, one.values[name], values[name]) for name in wrong)
            why = WRONG.format(number=one.number, before=one.dt_ms, what=what)
            return Finding(ABOUT, Said.FAIL, why, one.read_ms, network.rows[wrong[0]].mark.line)
        equal += 1
    if not equal:
        return Finding(ABOUT, Said.NOT_JUDGED, NONE)
    why = EQUAL.format(scans=equal)
    return Finding(ABOUT, Said.PASS, KEEPS.format(equal=why, names=", ".join(unseen)) if unseen else why)


def _retains(network: Network, name: str) -> bool:
    """Whether a signal hangs on what is kept without power."""
    return any(row.retained for row in cone(network, (name,)).assignments)


def _differs(name: str, was: Value, must: Value) -> str:
    return f"'{name}' is {in_words(was)} and must be {in_words(must)}"


def _kept(scans: Sequence[Scan]) -> set[str]:
    return {*scans[0].values} if scans else set()


def _promise(times: Mapping[int, int], terms: Terms) -> Finding:
    """Whether scans come as often as the plan says: a finding of its own."""
    if not times:
        return Finding(SCANS, Said.NOT_JUDGED, NONE)
    why = KEPT.format(longest=max(times), promised=f"{terms.longest_scan:g}")
    return Finding(SCANS, Said.PASS if max(times) <= terms.longest_scan else Said.FAIL, why)
