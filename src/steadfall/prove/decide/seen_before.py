"""Runs in which an earlier run of the program has seen requirements at work: they are made again, and no
others.

Rule of this file: nothing that is read is believed. A run counts where it shows the requirement at work now:
of the same controller in the very scan, of one with other numbers somewhere near. It is of the runs that
`prove.decide.simulation` makes, or there is none. What these runs do not show is left to all of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from steadfall.prove.decide.ask import RUNS, Ask
from steadfall.prove.decide.remembered import SPOILT
from steadfall.prove.decide.simulation import SEEDS, Simulated
from steadfall.prove.decide.version import searchers
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.perturb import changes, perturbed
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import LONGEST_RUN, stimuli
from steadfall.prove.system.worded import worded
from steadfall.runs.run import Run
from steadfall.store import Store

Then = Mapping[str, Any] | None  # the one change that is made on purpose
SOON = 50  # scans after which, with other numbers, most show the same
MORE = 2_000  # scans that a run is made longer, and half as long again, where that was not enough


@frozen(eq=False)
class SeenBefore:
    """Where it is kept which runs show some requirements at work."""

    store: Store
    of: Rig
    rows: Sequence[Required]
    about: tuple[object, ...]
    exact: tuple[object, ...]

    def recall(self) -> dict[str, Simulated] | None:
        """What the same runs show again; None where that is not all, or where they show a violation."""
        try:
            same = self._again(self.store.get(self.about, self.exact), longer=False)
            return same or self._again(self.store.get(self.about), longer=True)
        except SPOILT:
            return None

    def _again(self, found: Any, *, longer: bool) -> dict[str, Simulated] | None:
        if found is None:
            return None
        runs: dict[str, list[tuple[Required, int]]] = {}
        made: dict[str, tuple[int, Then]] = {}
        for row in self.rows:
            seed, scan, then = _read(found[row.name])
            made[repr((seed, then))] = seed, then
            runs.setdefault(repr((seed, then)), []).append((row, scan))
        seen: dict[str, Simulated] = {}
        for key, rows in runs.items():
            shown = self._shown(*made[key], rows, longer=longer)
            if shown is None:
                return None
            seen |= shown
        return seen

    def _shown(
        self, seed: int, then: Then, rows: Sequence[tuple[Required, int]], *, longer: bool
    ) -> dict[str, Simulated] | None:
        """What one run shows of requirements that it has shown at work in these scans."""
        last, asked = max(scan for _, scan in rows), [row for row, _ in rows]
        if not (0 <= seed < SEEDS and 0 <= last < LONGEST_RUN) or (then and not self._may(then, asked)):
            return None
        run, names = self._run(seed, then), [row.exercised for row in asked] + [row.bad for row in asked]
        for end in (last + SOON, last * 3 // 2 + MORE) if longer else (last + 1,):
            first = self.of.fast.first(run.part(0, min(end, len(run))), names)
            work, broken = first[: len(rows)], first[len(rows) :]
            if min(work) >= 0:
                break
        good = (now >= 0 and (longer or now == scan) for now, (_, scan) in zip(work, rows, strict=True))
        if not all(good) or max(broken) >= 0:
            return None
        more = {"then": then} if then else {}
        return {
            row.name: Simulated(
                {"by": RUNS, "seed": seed, "scan": scan, "at_ms": int(run.times_ms[scan]), **more}
            )
            for row, scan in zip(asked, work, strict=True)
        }

    def _run(self, seed: int, then: Then) -> Run:
        run = stimuli(self.of, seed)
        return perturbed(self.of, run, then["scan"], then["input"], then["to"]) if then else run

    def _may(self, then: Mapping[str, Any], rows: Sequence[Required]) -> bool:
        """Whether it is one of the changes that are made on purpose for each of these requirements."""
        change = then["input"], then["to"]
        return 0 <= then["scan"] < LONGEST_RUN and all(
            change in changes(self.of, row.circuit) for row in rows
        )

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
    return SeenBefore(ask.store, one, rows, about, (said.numbers, one.habits))
