"""What is known of two controllers side by side: output by output, and as a whole.

Rule of this file: the verdict on the whole speaks of valve commands; a stage that goes by another name is
told, and turns nothing that is equal into something that is not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import attrs
from attrs import field, frozen

from steadfall.plan.revise.renames import Names
from steadfall.prove import trusted
from steadfall.roles import HELPER, Identity
from steadfall.runs.json import steps_json
from steadfall.runs.run import Run
from steadfall.trace.trace import Trace

EQUAL, PARTS, UNKNOWN = "equal", "parts", "unknown"
VALVE, STAGE = "valve", "stage"
SECOND = " (2nd)"  # behind a signal of the second


@frozen(eq=False)
class Parting:
    """A run on which an output parts, up to that scan."""

    trace: Trace
    run: Run
    differing: tuple[str, ...]  # every output that differs in that scan
    engine: str
    fewest: bool  # no run with fewer steps parts it

    @property
    def at_ms(self) -> int:
        """When it parts."""
        return self.run.end_ms


@frozen(eq=False)
class Output:
    """An output that both have, by its name in the first: equal for ever, or a run on which it parts."""

    name: str
    kind: str
    verdict: str = UNKNOWN
    engine: str = ""
    rechecked: bool | None = None
    parting: Parting | None = None
    identity: Identity = HELPER  # what it is in the first
    other: Identity = HELPER  # and in the second


@frozen
class Held:
    """What is equal as long as some signals stay as they are: switches at which only one of the two looks, or
    trips.
    """

    signals: tuple[tuple[str, bool], ...]
    equal: tuple[str, ...]
    rechecked: bool | None


@frozen(eq=False)
class Comparison:
    """What is known of two controllers."""

    each: tuple[Output, ...]
    first_only: tuple[str, ...] = ()
    second_only: tuple[str, ...] = ()
    inputs_first_only: tuple[str, ...] = ()
    inputs_second_only: tuple[str, ...] = ()
    names: Names = field(factory=Names)  # of the second, in the first
    doubled: Mapping[str, str] = field(factory=dict)  # in runs: what is the second's alone -> its name there
    held: tuple[Held, ...] = ()  # what parts, and is equal with something held
    longest_ms: int = 0  # the longest scan that was thought of
    seconds: float = 0.0

    @property
    def valves(self) -> tuple[Output, ...]:
        """The outputs proper."""
        return tuple(row for row in self.each if row.kind == VALVE)

    @property
    def outputs(self) -> tuple[str, ...]:
        """The names of what is compared and decides."""
        return tuple(row.name for row in self.valves)

    @property
    def verdict(self) -> str:
        """Of all that both have: equal for ever, parting, or neither known."""
        words = {row.verdict for row in self.valves}
        return PARTS if PARTS in words else EQUAL if words == {EQUAL} else UNKNOWN

    @property
    def good(self) -> bool:
        """Whether the two have the same outputs, and these are equal for ever."""
        return self.verdict == EQUAL and not self.first_only and not self.second_only

    def named(self, verdict: str, kind: str = VALVE) -> tuple[str, ...]:
        """The outputs of this verdict."""
        return tuple(row.name for row in self.each if row.verdict == verdict and row.kind == kind)

    @property
    def parting(self) -> Parting | None:
        """The earliest of all, of a valve where one parts."""
        return earliest(self.valves) or earliest(self.each)

    @property
    def trace(self) -> Trace | None:
        """The run of the earliest parting."""
        return self.parting.trace if self.parting else None

    @property
    def differing(self) -> tuple[str, ...]:
        """The outputs that differ in the scan of the earliest parting."""
        return self.parting.differing if self.parting else ()

    @property
    def rechecked(self) -> bool | None:
        """Whether cvc5 has confirmed all that is equal; None where nothing is."""
        said = [row.rechecked for row in self.valves if row.verdict == EQUAL]
        return all(said) if said else None

    @property
    def engine(self) -> str:
        """What has decided, in the order of the outputs."""
        return ", ".join(dict.fromkeys(row.engine for row in self.valves if row.engine))

    def as_json(self) -> dict[str, Any]:
        """What is known, in stable names."""
        return {
            "verdict": self.verdict,
            "outputs": list(self.outputs),
            "only_first": list(self.first_only),
            "only_second": list(self.second_only),
            "inputs_only_first": list(self.inputs_first_only),
            "inputs_only_second": list(self.inputs_second_only),
            "renamed": [attrs.asdict(row) for row in self.names.rows],
            "each": [self._row(row) for row in self.each],
            "held": [
                {"signals": dict(row.signals), "equal": list(row.equal), "rechecked": row.rechecked}
                for row in self.held
            ],
            "longest_scan_ms": self.longest_ms,
            "trusted": trusted.as_json(),
            "engine": self.engine,
            "seconds": round(self.seconds, 3),
            "rechecked": self.rechecked,
            "differing": list(self.differing),
            "parted_at_ms": self.parting.at_ms if self.verdict == PARTS and self.parting else None,
            "steps": steps_json(self.parting.run) if self.verdict == PARTS and self.parting else [],
        }

    def _row(self, row: Output) -> dict[str, Any]:
        return {
            "name": row.name,
            "name_in_second": self.names.in_second(row.name),
            "kind": row.kind,
            "verdict": row.verdict,
            "engine": row.engine,
            "rechecked": row.rechecked,
            "parted_at_ms": row.parting.at_ms if row.parting else None,
            "fewest_steps": row.parting.fewest if row.parting else None,
        }


def earliest(rows: Iterable[Output]) -> Parting | None:
    """The first of some partings, by time, then by scans."""
    found = [row.parting for row in rows if row.parting]
    return min(found, key=lambda one: (one.at_ms, len(one.run)), default=None)


def mirrored(found: Comparison) -> Comparison:
    """The same, told from the other side: what was second comes first."""
    names = found.names.turned()
    renamed = names.in_first

    def across(rows: Iterable[str]) -> tuple[str, ...]:
        return tuple(renamed(name) for name in rows)

    held = (
        attrs.evolve(
            row, signals=tuple((renamed(name), on) for name, on in row.signals), equal=across(row.equal)
        )
        for row in found.held
    )
    each = (
        attrs.evolve(
            row,
            name=renamed(row.name),
            parting=row.parting and _turned(row.parting, found.doubled, renamed),
            identity=row.other,
            other=row.identity,
        )
        for row in found.each
    )
    return attrs.evolve(
        found,
        each=tuple(each),
        first_only=found.second_only,
        second_only=found.first_only,
        inputs_first_only=found.inputs_second_only,
        inputs_second_only=found.inputs_first_only,
        names=names,
        doubled={renamed(name) + SECOND: renamed(name) for name in found.doubled.values()},
        held=tuple(held),
    )


def _turned(one: Parting, doubled: Mapping[str, str], renamed: Callable[[str], str]) -> Parting:
    tracks = {}
    for name, track in one.trace.tracks.items():
        new = renamed(doubled.get(name, name))
        if name not in doubled and name + SECOND in one.trace.tracks:
            new += SECOND
        tracks[new] = attrs.evolve(track, name=new)
    differing = tuple(renamed(name) for name in one.differing)
    return attrs.evolve(
        one, trace=Trace(tracks, one.trace.end_ms), run=one.run.renamed(renamed), differing=differing
    )
