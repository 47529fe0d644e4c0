"""A counterexample, scan by scan, on the interpreter: only what it sees counts.

Rule of this file: a delay that is longer than a scan becomes scans with the inputs as they were, each at most
the longest scan after the one before. What the interpreter does not see is not called a violation. Of a long
run it plays the end, from where the compiled scan has come: the two agree to the bit, and it would take
minutes for hours of scans.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type, Value
from steadfall.runs.player import Interpreter
from steadfall.runs.run import Run, Step, run_of
from steadfall.trace.trace import KINDS, Recorder, Trace, Track
from steadfall.why.scans.history import History

ITSELF = 400  # scans at most that the interpreter plays of a run: half a second or so


@frozen
class Cut:
    """The power fails, and is back after so long."""

    off_ms: int


# Delay, then switches and measured values; or a power cut.
BigStep = tuple[int, Mapping[str, Value], Mapping[str, float]] | Cut


@frozen(eq=False)
class Replay:
    """A run of the interpreter up to the moment that was looked for."""

    trace: Trace
    run: Run
    before_cuts: tuple[Mapping[str, Value], ...] = ()  # every signal when the power fails, cut by cut

    @property
    def at_ms(self) -> int:
        """The moment that was looked for."""
        return self.run.end_ms


def expand(steps: Iterable[BigStep], longest: int) -> Run:
    """Big steps as scans; the last scan before a delay's end is a longest scan before it."""
    return run_of(step for row in steps for step in _scans(row, longest)).changes()


def _scans(row: BigStep, longest: int) -> Iterator[Step]:
    if isinstance(row, Cut):
        yield Step(0, {}, row.off_ms)
        return
    delay, inputs = row[0], {**row[1], **row[2]}
    whole, rest = divmod(delay, longest)
    if whole and not rest:
        whole, rest = whole - 1, longest
    if whole:
        yield Step(rest)
        yield from [Step(longest)] * (whole - 1)
    yield Step(longest if whole else delay, inputs)


def replay(network: Network, run: Run, goal: str) -> Replay | None:
    """Plays a run up to the first scan in which the goal is true; None where it never is."""
    if len(run) > ITSELF and not run.cuts:
        return _replay_end(network, run, goal)
    types = _shown(network)
    recorder, lost = Recorder(types), list[Mapping[str, Value]]()
    before: Mapping[str, Value] | None = None
    for place, played in enumerate(Interpreter(network).play(run)):
        if played.lost is not None:
            lost.append(played.lost)
            recorder.take(played.at_ms, played.values)
            before = None
            continue
        if before is None or any(played.values[name] != before[name] for name in types):
            recorder.take(played.at_ms, played.values)
        recorder.end_ms, before = played.at_ms, played.values
        if played.values[goal]:
            return Replay(recorder.trace(), run.part(0, place + 1).changes(), tuple(lost))
    return None


def _shown(network: Network) -> dict[str, Type]:
    """What a trace shows: the controller's own signals."""
    what = network.identities
    return {name: kind for name, kind in network.types.items() if not what[name].watches}


def _replay_end(network: Network, run: Run, goal: str) -> Replay | None:
    """The same of a long run: the compiled scan plays it, the interpreter its last scans."""
    history = History(network, run)
    last = history.fast.first(run, [goal])[0]
    if last < 0:
        return None
    begin = max(0, last + 1 - ITSELF)
    end = Interpreter(network).play(run.part(begin, last + 1), history.scanner(begin))
    if [bool(played.values[goal]) for played in end] != [*[False] * (last - begin), True]:
        return None
    return Replay(_trace(history, last), run.part(0, last + 1).changes())


def _trace(history: History, last: int) -> Trace:
    """What changes up to a scan."""
    types = _shown(history.network)
    at: dict[str, list[Any]] = {name: [] for name in types}
    values: dict[str, list[Any]] = {name: [] for name in types}
    for start, columns in history.stretches(list(types)):
        for name, column in columns.items():
            row = column[: max(0, last + 1 - start)]
            before = values[name][-1][-1:] if values[name] else row[:0]
            changed = np.flatnonzero(np.diff(np.append(before, row)) != 0) + 1 - len(before)
            places = changed if len(before) else np.append(0, changed)
            if len(places):
                at[name].append(places + start)
                values[name].append(row[places])
    times = history.times_ms
    tracks = {
        name: Track(
            name,
            KINDS[kind],
            "",
            times[np.concatenate(at[name])],
            np.concatenate(values[name]).astype(np.bool_ if kind is Type.BOOL else values[name][0].dtype),
        )
        for name, kind in types.items()
    }
    return Trace(tracks, int(times[last]))
