"""Runs in which an earlier run of the program has seen requirements at work: they are made again, and no
others.

Rule of this file: nothing that is read is believed. A run counts where it shows the requirement at work now:
of the same controller in the very scan, of one with other numbers somewhere near. It is of the runs that
`prove.decide.simulation` makes, or there is none. What these runs do not show is tried with a change that is
made on purpose, and then looked for in all runs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.prove.decide.ask import RUNS, Ask
from steadfall.prove.decide.before.remembered import SPOILT
from steadfall.prove.decide.before.version import searchers
from steadfall.prove.decide.simulation import SEEDS, Simulated, simulate
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.perturb import changes, perturb, perturbed
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import LONGEST_RUN, stimuli
from steadfall.prove.system.worded import worded
from steadfall.runs.player import Fast
from steadfall.runs.run import Run
from steadfall.store import Store

Then = Mapping[str, Any] | None  # the one change that is made on purpose
Named = tuple[int, Then]  # a run, by its seed
SOON = 50  # scans after which, with other numbers, most show the same
LONG = 4_000  # scans from which it is worth while to play no more than is looked at
MORE = 2_000  # scans that a run is made longer, and half as long again, where that was not enough


@frozen(eq=False)
class SeenBefore:
    """Where it is kept which runs show some requirements at work."""

    store: Store
    whole: Watched
    of: Rig
    rows: Sequence[Required]
    about: tuple[object, ...]
    exact: tuple[object, ...]

    def recall(self) -> dict[str, Simulated] | None:
        """What the same runs show again, or runs near them; None where that is not all, or where they show a
        violation.
        """
        try:
            same, near = self.store.get(self.about, self.exact), self.store.get(self.about)
            again = self._again(same) if same is not None else None
            return again or (self._near(near) if near is not None else None)
        except SPOILT:
            return None

    def _again(self, found: Any) -> dict[str, Simulated] | None:
        """Each in its very scan."""
        seen: dict[str, Simulated] = {}
        for named, rows in self._named(found):
            work = self._played(named, rows, max(rows.values()) + 1)
            again = {row.name: scan for row, scan in rows.items()}
            if work is None or again.items() - work.items():
                return None
            seen |= self._simulated(named, again)
        return seen if len(seen) == len(self.rows) else None

    def _near(self, found: Any) -> dict[str, Simulated] | None:
        """Each somewhere near; what a run no longer shows, with a change at another time."""
        seen: dict[str, Simulated] = {}
        for named, rows in self._named(found):
            work = self._longer(named, rows)
            if work is None:
                return None
            seen |= self._simulated(named, {row.name: work[row.name] for row in rows if work[row.name] >= 0})
        left = [row for row in self.rows if row.name not in seen]
        made = perturb(self.of, left, *self._openings(found)) if left else {}
        seen |= {name: Simulated({"by": RUNS, **witness}) for name, witness in made.items()}
        left = [row for row in left if row.name not in made]
        seen |= simulate(self.whole, left) if left else {}
        good = (one.witness is not None and one.violation is None for one in seen.values())
        return seen if all(good) else None

    def _openings(self, found: Any) -> tuple[dict[str, tuple[int, int]], set[tuple[str, float]]]:
        """In which run, and in which scan, each output is on first; and the changes that are named."""
        opened, tried = dict[str, tuple[int, int]](), set[tuple[str, float]]()
        outputs = self.of.network.outputs
        for (seed, then), rows in self._named(found):
            if then:
                tried.add((then["input"], then["to"]))
                continue
            run = self._run(seed, None)
            first = self.of.fast.first(run.part(0, min(max(rows.values()) + SOON, len(run))), outputs)
            for name, scan in zip(outputs, first, strict=True):
                if 0 <= scan < opened.get(name, (0, LONGEST_RUN))[1]:
                    opened[name] = seed, scan
        return opened, tried

    def _named(self, found: Any) -> Iterator[tuple[Named, dict[Required, int]]]:
        """The runs that are named, and what each shows in which scan; without those that cannot be."""
        runs: dict[str, tuple[Named, dict[Required, int]]] = {}
        for row in self.rows:
            seed, scan, then = _read(found[row.name])
            good = 0 <= seed < SEEDS and 0 <= scan < LONGEST_RUN
            if not good or (then and not self._may(then, row)):
                continue
            runs.setdefault(repr((seed, then)), ((seed, then), {}))[1][row] = scan
        yield from runs.values()

    def _longer(self, named: Named, rows: Mapping[Required, int]) -> dict[str, int] | None:
        """What a run shows a little later than before, or a good while later."""
        last = max(rows.values())
        work = self._played(named, rows, last + SOON)
        if work is None or all(work[row.name] >= 0 for row in rows):
            return work
        return self._played(named, rows, last * 3 // 2 + MORE)

    def _played(self, named: Named, rows: Collection[Required], end: int) -> dict[str, int] | None:
        """When a run shows each at work, -1 where it does not; None where it breaks one."""
        run = self._run(*named)
        names = [*(row.exercised for row in rows), *(row.bad for row in rows)]
        first = self._seeing(names, end).first(run.part(0, min(end, len(run))), names)
        if max(first[len(rows) :]) >= 0:
            return None
        return dict(zip((row.name for row in rows), first, strict=False))

    def _seeing(self, names: Sequence[str], end: int) -> Fast:
        """What is played: for a long run no more than it takes to see some signals, with all that inputs
        follow.
        """
        if end < LONG:
            return self.of.fast
        roots, many, known = [*names], 0, self.of.fast.program.where
        while len(roots) > many:
            many, part = len(roots), cone(self.of.network, roots)
            follows = (self.of.follows.get(row.name, "") for row in part.inputs)
            roots += [of for of in follows if of in known and of not in part.types]
        return Fast(part)

    def _simulated(self, named: Named, work: Mapping[str, int]) -> dict[str, Simulated]:
        (seed, then), run = named, self._run(*named)
        more = {"then": then} if then else {}
        return {
            name: Simulated(
                {"by": RUNS, "seed": seed, "scan": scan, "at_ms": int(run.times_ms[scan]), **more}
            )
            for name, scan in work.items()
        }

    def _run(self, seed: int, then: Then) -> Run:
        run = stimuli(self.of, seed)
        return perturbed(self.of, run, then["scan"], then["input"], then["to"]) if then else run

    def _may(self, then: Mapping[str, Any], row: Required) -> bool:
        """Whether it is one of the changes that are made on purpose for a requirement."""
        change = then["input"], then["to"]
        return 0 <= then["scan"] < LONGEST_RUN and change in changes(self.of, row.circuit)

    def keep(self, seen: Mapping[str, Simulated]) -> None:
        """Keeps in which runs all of them were at work."""
        shown = {name: one.witness for name, one in seen.items() if one.witness and one.violation is None}
        if len(shown) == len(self.rows) and all(one["by"] == RUNS for one in shown.values()):
            self.store.put(shown, self.about, self.exact)
            self.store.put(shown, self.about)


def _read(witness: Any) -> tuple[int, int, Then]:
    """Seed, scan, and the change on purpose."""
    then = witness.get("then")
    if then is not None:
        then = {"scan": int(then["scan"]), "input": str(then["input"]), "to": float(then["to"])}
    return int(witness["seed"]), int(witness["scan"]), then


def seen_again(of: Watched, given: tuple[Sequence[Required], Ask]) -> dict[str, Simulated] | None:
    """What runs show that an earlier run of the program has named; None where that is not all."""
    before = _before(of, *given)
    return before.recall() if before else None


def keep_seen(of: Watched, given: tuple[Sequence[Required], Ask, Mapping[str, Simulated]]) -> None:
    """Keeps in which runs requirements were at work."""
    rows, ask, seen = given
    before = _before(of, rows, ask)
    if before is not None:
        before.keep(seen)


def _before(of: Watched, rows: Sequence[Required], ask: Ask) -> SeenBefore | None:
    if ask.store is None or not ask.recheck or RUNS not in ask.engines:
        return None
    one, said = rig(of.plan, of.network), worded(of.network)
    about = ("runs", searchers(), said.shape, [row.name for row in rows])
    return SeenBefore(ask.store, of, one, rows, about, (said.numbers, one.habits))
