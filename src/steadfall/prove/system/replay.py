"""A counterexample, scan by scan, on the interpreter: only what it sees counts.

Rule of this file: a delay that is longer than a scan becomes scans with the inputs as they were, each at most
the longest scan after the one before. What the interpreter does not see is not called a violation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.runs.player import Interpreter
from steadfall.runs.run import Run, Step, run_of
from steadfall.trace.trace import Recorder, Trace


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
    what = network.identities
    types = {name: kind for name, kind in network.types.items() if not what[name].watches}
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
