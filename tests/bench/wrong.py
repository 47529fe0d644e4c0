"""Controllers and links in lock step with which something is wrong, and how each session must end."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping

from attrs import frozen

from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.whole import Judged, judge
from steadfall.bench.link.exchange import Exchange, LostError
from steadfall.bench.session.journal import Row
from steadfall.bench.session.loop import Driven, Ended, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.predict.stepper import Stepper

LASTING_MS, CYCLE_MS, SCANS = 8_000, 50, (20, 40)
CALL, MIST, OTHER = "full_call", "upper.mist", "lower.mist"  # of tests/plans/good/small.yaml
MS = 1_000_000


class Faulty(LockStep):
    """Right until its moment; `seed` chooses the moment and the scans."""

    def __init__(self, plan: Plan, seed: int) -> None:
        super().__init__(Soft(build(plan), warm=False), *SCANS, seed=seed)
        dice = random.Random(seed)
        self.from_ms, self.exchanges = dice.randint(500, 4_000), 0
        self.lost_at = dice.randint(3, 2 * LASTING_MS // CYCLE_MS)
        self.written: list[Mapping[str, Value]] = []

    @property
    def wrong(self) -> bool:
        """Whether its moment has come."""
        return self.now_ns() >= self.from_ms * MS

    def write(self, values: Mapping[str, Value]) -> Exchange:
        self.written.append(dict(values))
        return super().write(values)


class NoAnswer(Faulty):
    def read(self) -> Exchange:
        self._count()
        return super().read()

    def write(self, values: Mapping[str, Value]) -> Exchange:
        self._count()
        return super().write(values)

    def _count(self) -> None:
        self.exchanges += 1
        if self.exchanges == self.lost_at:
            raise LostError("no answer")


class StandsStill(Faulty):
    """It answers and scans no more."""

    def wait_until(self, ns: int) -> None:
        if self.wrong:
            self._next = max(self._next, ns // MS + 1)
        super().wait_until(ns)


class Slow(Faulty):
    """Its scans take five to ten times as long as they may."""

    def wait_until(self, ns: int) -> None:
        if self.wrong:
            self._between = 200, 400
        super().wait_until(ns)


class Stuck(Faulty):
    """One of its outputs stays as it was."""

    was: Value | None = None

    def read(self) -> Exchange:
        found = super().read()
        part = found.parts[0]
        if not self.wrong:
            self.was = part.values[MIST]
            return found
        return Exchange((type(part)(part.begun_ns, part.ended_ns, {**part.values, MIST: self.was or False}),))


class Swapped(Faulty):
    """Two outputs are wired the wrong way round."""

    def read(self) -> Exchange:
        found = super().read()
        part = found.parts[0]
        turned = {**part.values, MIST: part.values[OTHER], OTHER: part.values[MIST]}
        return Exchange((type(part)(part.begun_ns, part.ended_ns, turned),))


class Deaf(Faulty):
    """An input does not come to it, though the write is answered."""

    def write(self, values: Mapping[str, Value]) -> Exchange:
        found = super().write(values)
        self._inputs[CALL] = False
        return found


class Restarted(Faulty):
    """It starts anew by itself."""

    done = False

    def wait_until(self, ns: int) -> None:
        if self.wrong and not self.done:
            self.done = True
            self.power(self)
        super().wait_until(ns)


class Late(Faulty):
    """What it answers is what stood there half a second ago."""

    def __init__(self, plan: Plan, seed: int) -> None:
        super().__init__(plan, seed)
        self.kept: list[Mapping[str, Value]] = []

    def read(self) -> Exchange:
        found = super().read()
        part = found.parts[0]
        self.kept.append(part.values)
        old = self.kept[max(0, len(self.kept) - 11)]
        return Exchange((type(part)(part.begun_ns, part.ended_ns, old),))


class Loose(Faulty):
    """It takes a command back for a moment, now and then."""

    def read(self) -> Exchange:
        found = super().read()
        part = found.parts[0]
        if not (self.wrong and part.values[MIST] and self._random.random() < 0.2):
            return found
        return Exchange((type(part)(part.begun_ns, part.ended_ns, {**part.values, MIST: False}),))


class Fast(Faulty):
    """Its clock runs a fifth too fast."""

    def wait_until(self, ns: int) -> None:
        self._between = 25, 25
        until = max(self._now, ns // MS)
        while self._next <= until:
            dt = 30 if self.soft.scans else 0
            self._outputs = self.soft.scan(dt, self._inputs)
            self._next += 25
        self._now = until


KINDS: Mapping[str, Callable[[Plan, int], Faulty]] = {
    "no answer any more": NoAnswer,
    "answers and scans no more": StandsStill,
    "scans five to ten times too long": Slow,
    "an output stays as it was": Stuck,
    "two outputs the wrong way round": Swapped,
    "an input that does not come": Deaf,
    "starts anew by itself": Restarted,
    "outputs of half a second ago": Late,
    "a command taken back for a moment": Loose,
    "a clock a fifth too fast": Fast,
}


@frozen(eq=False)
class Seen:
    """A session with a fault, and what was said of it."""

    ended: Ended
    judged: Judged
    link: Faulty

    @property
    def as_promised(self) -> bool:
        """A lost link ends it with every cycle before, and nobody calling; all else is found."""
        if isinstance(self.link, NoAnswer):
            whole = len(self.ended.rows) == (self.link.lost_at - 2) // 2
            left = not self.ended.rows or self.link.written[-1][CALL] is False
            return self.ended.lost and whole and left and self.judged.conforms.said is not Said.FAIL
        return not self.ended.lost and self.judged.conforms.said is Said.FAIL


def held(plan: Plan, kind: str, seed: int) -> Seen:
    """A session with one of these."""
    link, rows = KINDS[kind](plan, seed), list[Row]()
    session = Session(Stepper(plan), (link, link), Driven(LASTING_MS, CYCLE_MS, drive=True), rows.append)
    ended = session.run()
    terms = Terms(plan.scan.nominal_ms, plan.scan.longest_ms, 0.0, CYCLE_MS, (0.0, float(SCANS[1])))
    return Seen(ended, judge(plan, build(plan), ended.rows, terms, requirements=False), link)
