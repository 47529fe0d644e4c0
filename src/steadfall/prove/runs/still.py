"""The same way to a goal, with nothing in it that need not be: inputs that keep still, and keep to what is
usual.

Rule of this file: whatever is left out has been tried, and the goal was still reached in as many scans at
most. Each input in turn is kept at its usual value throughout, else at one of its own values, else it loses
one change after the other, the last first. The order of scans and the time between them stay as they are.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from attrs import evolve, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.prove.runs.stimuli_kernel import drive
from steadfall.prove.system.replay import Scan, cut_power
from steadfall.prove.system.step import CUT
from steadfall.scan.interpreter import Scanner
from steadfall.scan.program import compile_network, fresh

PASSES = 3  # through the inputs: one that is calm lets another be so
SHORT = 200  # scans, up to which the interpreter is quick enough

Turns = tuple[tuple[int, Value], ...]  # of one input: in which scan it takes which value
Course = Mapping[str, Turns]


@frozen
class _Run:
    """A run by input, and its beat: the time before each scan, and the power cuts among them."""

    dts: tuple[int, ...]
    cuts: Mapping[int, int]  # scan number -> time without power
    turns: Course

    def scans(self) -> list[Scan]:
        """The run scan by scan."""
        found: list[dict[str, Value]] = [
            {CUT: self.cuts[at]} if at in self.cuts else {} for at in range(len(self.dts))
        ]
        for name, turns in self.turns.items():
            for at, value in turns:
                found[at][name] = value
        return list(zip(self.dts, found, strict=True))


def calm(
    network: Network, scans: Sequence[Scan], goal: str, usual: Mapping[str, Value], seconds: float
) -> tuple[Scan, ...]:
    """The run with what its goal needs; as far as it came when the seconds are over."""
    run = _by_input(scans)
    reached = _judge(network, run, goal)
    reached(run)  # the fast machine takes its time to begin with
    until = time.monotonic() + seconds
    for _ in range(PASSES):
        before, run = run, _calmer(run, usual, reached, until)
        if run == before:
            break
    return tuple(run.scans())


def _calmer(run: _Run, usual: Mapping[str, Value], reached: Callable[[_Run], bool], until: float) -> _Run:
    """The run after every input in turn has been tried with less."""
    names = [name for name in run.turns if ":" not in name]  # what observers choose is left as it is
    for name in sorted(names, key=lambda name: -len(run.turns[name])):
        for turns in _still(run.turns[name], usual.get(name)):
            if time.monotonic() > until:
                return run
            tried = evolve(run, turns={**run.turns, name: turns})
            if reached(tried):
                run = tried
                break
        else:
            run = _fewer(run, name, reached, until)
    return run


def _by_input(scans: Sequence[Scan]) -> _Run:
    turns: dict[str, list[tuple[int, Value]]] = {}
    cuts = {at: int(inputs[CUT]) for at, (_, inputs) in enumerate(scans) if CUT in inputs}
    for at, (_, inputs) in enumerate(scans):
        for name, value in inputs.items():
            if at not in cuts:
                turns.setdefault(name, []).append((at, value))
    return _Run(tuple(dt for dt, _ in scans), cuts, {name: tuple(rows) for name, rows in turns.items()})


def _still(turns: Turns, usual: Value | None) -> Iterator[Turns]:
    """What would do without a change: the usual value, then the first and the last that it takes."""
    values = [value for value in (usual, turns[0][1], turns[-1][1]) if value is not None]
    return (((0, value),) for value in dict.fromkeys(values))


def _fewer(run: _Run, name: str, reached: Callable[[_Run], bool], until: float) -> _Run:
    """The run without the changes of an input that it can do without."""
    for place in range(len(run.turns[name]) - 1, 0, -1):
        if time.monotonic() > until:
            break
        turns = run.turns[name]
        tried = evolve(run, turns={**run.turns, name: turns[:place] + turns[place + 1 :]})
        if reached(tried):
            run = tried
    return run


def _judge(network: Network, run: _Run, goal: str) -> Callable[[_Run], bool]:
    """Tells whether a run reaches the goal; the fast machine knows no power cuts."""
    if run.cuts or len(run.dts) <= SHORT:
        known = {row.name for row in network.inputs}
        return lambda tried: _interpreted(network, tried.scans(), goal, known)
    return _Fast(network, run.dts, goal).reaches


def _interpreted(network: Network, scans: Sequence[Scan], goal: str, known: set[str]) -> bool:
    one = Scanner(network)
    for dt, inputs in scans:
        if CUT in inputs:
            cut_power(one, int(inputs[CUT]))
        elif one.scan(dt, {name: value for name, value in inputs.items() if name in known})[goal]:
            return True
    return False


class _Fast:
    """A network on the fast machine, for runs of many scans."""

    def __init__(self, network: Network, dts: Sequence[int], goal: str) -> None:
        self.program = compile_network(network)
        self.known = {row.name for row in network.inputs}
        self.dts = np.array(dts, dtype=np.int64)
        self.goal = np.array([self.program.register(goal)[1]], dtype=np.int64)

    def reaches(self, run: _Run) -> bool:
        """Whether the goal comes true in any scan of the run."""
        rows = sorted(
            (at, *self.program.register(name), float(value))
            for name, turns in run.turns.items()
            if name in self.known
            for at, value in turns
        )
        moves: tuple[Any, ...] = (
            np.array([row[0] for row in rows], dtype=np.int64),
            np.array([row[1] == "reals" for row in rows], dtype=np.uint8),
            np.array([row[2] for row in rows], dtype=np.int64),
            np.array([row[3] for row in rows], dtype=np.float64),
        )
        registers, first = fresh(self.program), np.full(1, -1, dtype=np.int64)
        none = np.zeros((0, 2), dtype=np.int64)
        drive((self.program.code, registers.ints, registers.reals), self.dts, moves, none, self.goal, first)
        return bool(first[0] >= 0)
