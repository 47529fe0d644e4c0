"""The run in which a proved requirement applies, made again from what is stored of it.

Rule of this file: it is drawn only where it is exercised again in the very scan that is stored; a run made
with other seeds than those of this version is not. Of a run the last changes are drawn, and of its inputs
those that change then.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic.cone import cone
from steadfall.logic.nodes import Type
from steadfall.prove.decide.result import PROVED, Verdict
from steadfall.prove.explain.stretch import LONGEST_MS, near, with_stages
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs.perturb import perturbed
from steadfall.prove.runs.rig import Rig, rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.replay import replay
from steadfall.runs.json import from_json
from steadfall.runs.run import Run, turns
from steadfall.trace.trace import KINDS, Trace, Track

MOST_INPUTS, MOST_TURNS = 6, 3  # that are drawn; how often a measured value may change to be one of them
# what is drawn of a run after the moment: so long, or a part of what is drawn before it
AFTER_MS, AFTER = 2_000, 3


@frozen(eq=False)
class Witnessed:
    """A requirement that applies: the moment, the run, the signals and the stretch that are
    drawn.
    """

    verdict: Verdict
    at_ms: int
    trace: Trace
    names: tuple[str, ...]
    window: tuple[int, int]


def witnesses(of: Watched, verdicts: Iterable[Verdict]) -> dict[str, Witnessed]:
    """The witnesses of proved requirements, by name."""
    proved = [row for row in verdicts if row.verdict == PROVED and row.witness]
    found = {
        row.required.name: _replayed(of, row) for row in proved if row.witness and "steps" in row.witness
    }
    seeded = [row for row in proved if row.witness and "seed" in row.witness]
    if seeded:
        found |= dict(_made_again(of, seeded))
    return {name: one for name, one in found.items() if one is not None}


def _replayed(of: Watched, verdict: Verdict) -> Witnessed | None:
    """From stored steps, on the interpreter."""
    witness, own = verdict.witness or {}, with_stages((), verdict.required)
    known = of.network.types
    part = cone(of.network, [verdict.required.exercised, *(name for name in own if name in known)])
    seen = replay(part, from_json(witness["steps"]), verdict.required.exercised)
    if seen is None:
        return None
    trace, window = near(seen.trace, [name for name in own if name in seen.trace.tracks])
    names = _names(trace, own, (row.name for row in part.inputs), window)
    return Witnessed(verdict, seen.at_ms, trace, names, window)


def _made_again(of: Watched, verdicts: Sequence[Verdict]) -> Iterator[tuple[str, Witnessed | None]]:
    """From stored seeds, on the fast machine; one run serves all that are seen in it."""
    one, groups = rig(of.plan, of.network), dict[str, list[Verdict]]()
    for row in verdicts:
        witness = row.witness or {}
        groups.setdefault(repr((witness["seed"], witness.get("then"))), []).append(row)
    inputs = [row.name for row in of.network.inputs if not row.identity.watches]
    for rows in groups.values():
        run = stimuli_of(one, rows[0].witness or {})
        times = run.times_ms
        last = max(int(row.witness["scan"]) for row in rows if row.witness)
        if last >= len(times):
            continue
        last = int(np.searchsorted(times, times[last] + LONGEST_MS // AFTER, side="right")) - 1
        signals = dict.fromkeys(name for row in rows for name in with_stages((), row.required))
        names = [name for name in dict.fromkeys([*signals, *inputs]) if name in one.types]
        whole = [name for name in names if one.types[name] is not Type.REAL]
        exercised = [row.required.exercised for row in rows]
        values = one.fast.columns(run.part(0, last + 1), [*whole, *exercised])
        made = _Made(one, run, dict(zip([*whole, *exercised], values.T, strict=True)))
        for row in rows:
            yield row.required.name, _seen(of, row, made, names)


def stimuli_of(of: Rig, witness: Mapping[str, Any]) -> Run:
    """The run of a stored seed, with the change on purpose where there is one."""
    run, then = stimuli(of, int(witness["seed"])), witness.get("then")
    return perturbed(of, run, then["scan"], then["input"], then["to"]) if then else run


@frozen(eq=False)
class _Made:
    """A run that was made again: its moments, and signals scan by scan."""

    of: Rig
    run: Run
    columns: Mapping[str, Any]

    def track(self, name: str, scan: int) -> Track:
        """A signal up to a scan."""
        kind = self.of.types[name]
        if kind is Type.REAL:
            row = self.run.inputs.get(name, turns(()))
            given = row.only(row.at <= scan)
            places, values = given.at, given.values
        else:
            column = self.columns[name][: scan + 1]
            places = np.flatnonzero(np.diff(column, prepend=column[0] - 1))
            values = column[places].astype(bool) if kind is Type.BOOL else column[places]
        return Track(name, KINDS[kind], "", self.run.times_ms[places], values)


def _seen(of: Watched, verdict: Verdict, made: _Made, names: Sequence[str]) -> Witnessed | None:
    scan = int((verdict.witness or {})["scan"])
    if not made.columns[verdict.required.exercised][scan]:
        return None
    own = [name for name in with_stages((), verdict.required) if name in names]
    upto = Trace({name: made.track(name, scan) for name in own}, int(made.run.times_ms[scan]))
    _, (begin, _) = near(upto, own)
    ends = upto.end_ms + max(AFTER_MS, (upto.end_ms - begin) // AFTER)
    last = int(np.searchsorted(made.run.times_ms, ends, side="right")) - 1
    known = [row.name for row in cone(of.network, [verdict.required.exercised]).inputs if row.name in names]
    tracks = {name: made.track(name, last) for name in dict.fromkeys([*known, *own])}
    known_ones = {name: track for name, track in tracks.items() if len(track.times_ms)}
    trace = Trace(known_ones, min(ends, int(made.run.times_ms[-1])))
    return Witnessed(
        verdict, upto.end_ms, trace, _names(trace, own, known, (begin, ends)), (begin, trace.end_ms)
    )


def _names(
    trace: Trace, own: Iterable[str], inputs: Iterable[str], window: tuple[int, int]
) -> tuple[str, ...]:
    """The sentence's own signals, and before them the inputs that change in the stretch that is drawn."""
    turns = {
        name: [when for when, _ in trace.changes(name)[1:] if window[0] <= when <= window[1]]
        for name in inputs
        if name in trace.tracks and name not in own
    }
    few = {name: MOST_TURNS if trace.tracks[name].kind == "real" else len(turns[name]) for name in turns}
    moved = [name for name, when in turns.items() if 0 < len(when) <= few[name]]
    moved = sorted(moved, key=lambda name: -turns[name][-1])[:MOST_INPUTS]
    return (*sorted(moved), *(name for name in own if name in trace.tracks))
