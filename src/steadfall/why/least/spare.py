"""Whether a fact can be left out: the scan, gone through with other values for it and for all that is not
named.

Rule of this file: a fact is spare when no values of it and of the rest make another outcome, and nothing is
called spare before that is certain. What is not known is split where the network can tell values apart: a
BOOL in two, a number at the constants of the network. A search that takes too long keeps the fact.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Iterator, Sequence
from enum import Enum
from functools import partial
from typing import cast

from attrs import evolve

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Type
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, Counted, Fact, Part, Signal
from steadfall.why.least import spans
from steadfall.why.least.partly import NOTHING, Clocks, Known, Partly, anything
from steadfall.why.least.reach import reach
from steadfall.why.least.spans import Partial, Span
from steadfall.why.least.undecided import ANY, HIGH, Aim, undecided
from steadfall.why.scans.history import History

ALONE, MOST = 30, 1000  # times that the scan is gone through: for one fact alone, and with all the rest


class Outcome(Enum):
    """What all the values come to that are not known."""

    SAME = "same"
    OTHER = "other"
    UNCLEAR = "unclear"


class Spare:
    """The question for one part in one scan, over the rows and facts that it may rest on.

    At first everything is known; a fact that is let go may be anything from then on.
    """

    def __init__(self, history: History, root: Part, scan: int, kept: Collection[Fact]) -> None:
        self.history, self.root, self.scan = history, root, scan
        self.moment, self.before = history.moment(scan), history.scanner(scan)
        met = reach(history, root)
        self.rows = [
            (row, history.looks_at[row.name])
            for row in history.network.assignments
            if not met.isdisjoint((Signal(row.name), Counted(row.name)))
        ]
        facts = [part for part in met if isinstance(part, Fact)]
        self._turns: dict[Fact | Signal, Sequence[float]] = {}
        self.actual = self._run({fact: self._actual(fact) for fact in facts})
        self.free = self._run({fact: (self._actual if fact in kept else self._free)(fact) for fact in facts})
        self.wanted = self._outcome(self.actual)

    def _run(self, facts: dict[Fact, Known]) -> Partly:
        return Partly(facts).run(row for row, _ in self.rows)

    def let_go(self, fact: Fact) -> None:
        """From now on the fact may be anything."""
        self.free = self._freed(self.free, fact)

    def spare(self, fact: Fact) -> bool:
        """Whether the outcome follows from the facts that are known without this one."""
        if self._search(self.actual, fact, ALONE) is Outcome.OTHER:
            return False
        return self._search(self.free, fact, MOST) is Outcome.SAME

    def follows(self, part: Part) -> bool:
        """Whether the value of a part follows from the facts that are known."""
        found: Partial | None
        if isinstance(part, Signal):
            found = self.free.values.get(part.name)
        elif isinstance(part, Counted):
            found = self.free.counted.get(part.timer)
        else:
            found = self.free.nodes.get(id(part))
        return found is not None and spans.known(found)

    def _freed(self, run: Partly, fact: Fact) -> Partly:
        return run.amended(fact, self._free(fact), self.rows)

    def _search(self, run: Partly, fact: Fact, most: int) -> Outcome:
        """What comes out of a run when a fact is anything but what it was; as it was, nothing changes."""
        was, unclear = self.actual.facts[fact], False
        todo = [self._freed(run, fact)]
        for _ in range(most):
            if not todo:
                return Outcome.UNCLEAR if unclear else Outcome.SAME
            run = todo.pop()
            outcome = self._outcome(run)
            other = self._differs(outcome)
            if (spans.known(outcome) and not other) or run.facts[fact] == was or run.impossible():
                continue
            root = next(self._open(run), None) if other else (self.root, self._aim)
            if root is None:
                return Outcome.OTHER
            found = undecided(root, run, self.history.rows_by_name, partial(self._splits, run))
            if found is None:
                if self._differs(self._outcome(self._pinned(run))):
                    return Outcome.OTHER
                unclear = True
                continue
            todo += [run.amended(found[0], part, self.rows) for part in self._ordered(run, *found)]
        return Outcome.UNCLEAR

    def _pinned(self, run: Partly) -> Partly:
        """One scan among those that a run stands for: every fact as near as can be to what it was."""
        was = self.actual.facts
        return self._run({fact: _nearest(known, was[fact]) for fact, known in run.facts.items()})

    @property
    def _aim(self) -> Aim:
        return HIGH if isinstance(self.wanted, Span) else not self.wanted

    def _open(self, run: Partly) -> Iterator[tuple[Part, Aim]]:
        """What is assumed of signals and must still be shown to be possible."""
        return ((Signal(name), value if isinstance(value, bool) else ANY) for name, value in run.open())

    def _splits(self, run: Partly, part: Fact | Signal) -> bool:
        """Of a signal's number only one of a few values is assumed: where its facts turn, no other says."""
        known = _now(run, part)
        if isinstance(part, Signal) and isinstance(known, Span) and known.few is None:
            return False
        return len(self._parts(part, known)) > 1

    def _ordered(self, run: Partly, part: Fact | Signal, aim: Aim) -> list[Known]:
        """The parts of what is not known: last, and so looked at first, that which comes near the aim."""
        parts = self._parts(part, _now(run, part))
        return parts[::-1] if aim is True or (aim is not False and aim < 0) else parts

    def _outcome(self, run: Partly) -> Partial:
        if isinstance(self.root, Signal):
            return run.values[self.root.name]
        found: Partial = run.value(cast(Node, self.root))
        return found

    def _differs(self, outcome: Partial) -> bool:
        """Whether it certainly is another one than it was."""
        if isinstance(outcome, Span) and isinstance(self.wanted, Span):
            if outcome.empty or self.wanted.empty:
                return outcome.empty != self.wanted.empty and not outcome.strange & self.wanted.strange
            return not outcome.strange and not outcome.low <= self.wanted.low <= outcome.high
        return outcome is not None and outcome != self.wanted

    def _actual(self, fact: Fact) -> Known:
        if fact.kind == CLOCK:
            clock = self.before.clocks[fact.name]
            timed = isinstance(self.history.rows_by_name[fact.name].node, nodes.TIMERS)
            return ((clock.state, Span(clock.et, clock.et)),) if timed else bool(clock.state)
        if fact.kind == ELAPSED:
            return Span(self.moment.dt, self.moment.dt)
        values = self.moment.values if fact.kind == INPUT else self.moment.last
        return spans.exactly(values[fact.name])

    def _free(self, fact: Fact) -> Known:
        """What a fact can be at all."""
        if fact.kind == ELAPSED and not self.scan:
            return NOTHING
        return anything(self.history.network, fact)

    def _parts(self, fact: Fact | Signal, known: Known) -> list[Known]:
        """What is not known, in parts."""
        if isinstance(known, tuple):
            return self._clocks(fact, known)
        if not isinstance(known, Span):
            return [True, False] if known is None else [known]
        real = bool(fact.name) and self.history.types[fact.name] is Type.REAL
        return list(self._spans(fact, known, real))

    def _clocks(self, fact: Fact | Signal, known: Clocks) -> list[Known]:
        if len(known) > 1:
            return [(one,) for one in known]
        ((state, et),) = known
        return [((state, part),) for part in self._spans(fact, et, False)]

    def _spans(self, fact: Fact | Signal, known: Span, real: bool) -> Iterable[Span]:
        """A span in parts, at that constant within it that lies in the middle of them."""
        if known.exact:
            yield known
            return
        if known.few is not None and not known.strange:
            yield from (Span(value, value) for value in sorted(known.few))
            return
        if known.strange:
            yield from (spans.STRANGE, evolve(known, strange=False))
            return
        cuts = self._cuts(fact)
        begin, end = bisect_left(cuts, known.low), bisect_right(cuts, known.high)
        if begin == end:
            yield known
            return
        cut = cuts[(begin + end) // 2]
        before = math.nextafter(cut, -math.inf) if real else math.ceil(cut) - 1
        after = math.nextafter(cut, math.inf) if real else math.floor(cut) + 1
        found = (Span(known.low, before), Span(cut, cut), Span(after, known.high))
        yield from (part for part in found if not part.empty and (real or part.low != cut or cut == int(cut)))

    def _cuts(self, fact: Fact | Signal) -> Sequence[float]:
        """Where a number turns; of a time that is counted on, also where it turns with this scan's time."""
        if fact not in self._turns:
            cuts, row = self.history.cuts.of(fact), self.history.rows_by_name.get(fact.name)
            counts = row is not None and isinstance(row.node, (nodes.Since, *nodes.TIMERS))
            later = [cut - self.moment.dt for cut in cuts] if counts and isinstance(fact, Fact) else []
            self._turns[fact] = sorted({*cuts, *later}) if later else cuts
        return self._turns[fact]


def _now(run: Partly, part: Fact | Signal) -> Known:
    return run.values[part.name] if isinstance(part, Signal) else run.facts[part]


def _nearest(known: Known, was: Known) -> Known:
    if isinstance(known, Span) and isinstance(was, Span):
        if known.exact or (was.empty and known.strange):
            return known if known.exact else was
        value = min(max(was.low, known.low), known.high)
        return Span(value, value) if math.isfinite(value) else Span(known.low, known.low)
    if isinstance(known, tuple) and isinstance(was, tuple):
        state, et = next((one for one in known if one[0] == was[0][0]), known[0])
        return ((state, cast(Span, _nearest(et, was[0][1]))),)
    return was if known is None else known
