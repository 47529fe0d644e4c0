"""Plays a run on a network: the interpreter, which is the meaning, and the fast scan behind the same face.

Rule of this file: inputs that the network has not are left out, so that a part of a network plays the run of
the whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Protocol

import numpy as np
from attrs import evolve, field, frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Since, Value
from steadfall.runs.kernel import play_scans
from steadfall.runs.run import Ints, Run, Turns, column
from steadfall.scan.interpreter import Clock, Scanner
from steadfall.scan.program import Program, Registers, compile_network, fresh

NOTHING = np.zeros(0, dtype=np.int64)
NO_ROWS = (np.zeros((0, 0), dtype=np.int64), np.zeros((0, 0)))


class Player(Protocol):
    """What a run is played on."""

    def first(self, run: Run, names: Sequence[str]) -> list[int]:
        """The first step in which each of these signals is true, -1 where it never is."""


@frozen(eq=False)
class Played:
    """A step that was played: when, and every signal after it; of a power cut also what was lost."""

    at_ms: int  # of a power cut: when power fails
    values: Mapping[str, Value]
    lost: Mapping[str, Value] | None = None


@frozen(eq=False)
class Interpreter:
    """A network as it is meant."""

    network: Network

    def play(self, run: Run, begun: Scanner | None = None) -> Iterator[Played]:
        """Every step of a run; `begun`: the scanner as it stands before the first of them."""
        scanner, now = begun or Scanner(self.network), run.begin_ms
        known = {row.name for row in self.network.inputs}
        follows = {name: of for name, of in run.follows.items() if name in known and of in scanner.types}
        for place, step in enumerate(run.steps()):
            if step.off_ms is not None:
                lost = dict(scanner.values)
                cut_power(scanner, step.off_ms)
                yield Played(now, dict(scanner.values), lost)
                now += step.off_ms
                continue
            now += step.dt_ms if place else 0
            given = {name: value for name, value in step.inputs.items() if name in known}
            followed = {name: scanner.values[of] for name, of in follows.items()}
            yield Played(now, scanner.scan(step.dt_ms, {**followed, **given}))

    def first(self, run: Run, names: Sequence[str]) -> list[int]:
        """The first step in which each of these signals is true, -1 where it never is."""
        found = dict.fromkeys(names, -1)
        for place, played in enumerate(self.play(run)):
            if played.lost is None:
                found |= {name: place for name, at in found.items() if at < 0 and played.values[name]}
            if min(found.values(), default=0) >= 0:
                break
        return [found[name] for name in names]


def cut_power(scanner: Scanner, off_ms: int) -> None:
    """The controller loses what it does not retain; what watches it goes on, its ages so much older."""
    counted = set()
    for row in scanner.network.assignments:
        if not row.spared:
            scanner.values[row.name] = row.initial
            if row.name in scanner.clocks:
                scanner.clocks[row.name] = Clock()
        elif row.identity.watches and isinstance(row.node, Since):
            begun = 0 if scanner.values[row.node.event] else int(scanner.values[row.name])
            scanner.values[row.name] = min(begun + off_ms, row.node.limit_ms)
            counted.add(row.node.event)
    for event in counted:  # the next scan counts on from the age, not from the event again
        scanner.values[event] = False
    scanner.first = True


@frozen(eq=False)
class Fast:
    """A network on the fast scan; it knows no power cuts."""

    network: Network
    program: Program = field()

    @program.default
    def _program(self) -> Program:
        return compile_network(self.network)

    def first(self, run: Run, names: Sequence[str]) -> list[int]:
        """The first step in which each of these signals is true, -1 where it never is."""
        return self.first_of(run, names, fresh(self.program), (0, len(run)))

    def first_of(
        self, run: Run, names: Sequence[str], registers: Registers, span: tuple[int, int]
    ) -> list[int]:
        """The same of some scans, from these registers on, which are then those after them."""
        places, first = self._places(names), np.full(len(names), -1, dtype=np.int64)
        self._play(run, registers, span, (places, first), (NOTHING, NOTHING, *NO_ROWS))
        return [span[0] + int(scan) if scan >= 0 else -1 for scan in first]

    def columns(self, run: Run, names: Sequence[str]) -> Ints:
        """Whole or true/false signals after every scan: int64[scans, names]."""
        return self.whole_registers(run, self._places(names))

    def whole_registers(self, run: Run, places: Sequence[int] | Ints) -> Ints:
        """Registers of whole numbers after every scan: int64[scans, places]."""
        rows = np.zeros((len(run), len(places)), dtype=np.int64)
        kept = (np.array(places, dtype=np.int64), NOTHING, rows, NO_ROWS[1])
        self._play(run, fresh(self.program), (0, len(run)), (NOTHING, NOTHING), kept)
        return rows

    def forward(self, run: Run, registers: Registers, span: tuple[int, int]) -> None:
        """The registers some scans later."""
        self._play(run, registers, span, (NOTHING, NOTHING), (NOTHING, NOTHING, *NO_ROWS))

    def everything(self, run: Run, registers: Registers, span: tuple[int, int]) -> tuple[Any, Any]:
        """All registers, whole and REAL, before some scans (row 0) and after each of them."""
        every = [np.arange(len(row)) for row in registers]
        wholes, reals = (np.empty((span[1] - span[0] + 1, len(row)), row.dtype) for row in registers)
        wholes[0], reals[0] = registers
        kept = (*every, wholes[1:], reals[1:])
        self._play(run, Registers(*(row.copy() for row in registers)), span, (NOTHING, NOTHING), kept)
        return wholes, reals

    def closed(self, run: Run) -> Run:
        """The same run with every input given: also those that follow a signal."""
        follows = {name: of for name, of in run.follows.items() if self._has(name, of)}
        after, inputs = self.columns(run, list(follows.values())), dict[str, Turns]()
        for place, (name, of) in enumerate(follows.items()):
            begin = self.program.ints[self.program.register(of).place]
            values = np.append(begin, after[:-1, place])[: len(run)].astype(np.bool_)
            if name in run.inputs:
                values[run.inputs[name].at] = run.inputs[name].values
            inputs[name] = column(values).changes()
        dts = run.dts_ms.copy()
        dts[:1] = 0
        rest = {name: row for name, row in run.inputs.items() if name not in follows}
        return evolve(run, dts_ms=dts, inputs={**inputs, **rest}, follows={})

    def _has(self, *names: str) -> bool:
        return all(name in self.program.where for name in names)

    def _places(self, names: Sequence[str]) -> Ints:
        return np.array([self.program.register(name).place for name in names], dtype=np.int64)

    def _play(self, run: Run, registers: Registers, span: tuple[int, int], watched: Any, kept: Any) -> None:
        if run.cuts:
            raise ValueError("the fast scan knows no power cuts")
        follows = [self._places(pair) for pair in run.follows.items() if self._has(*pair)]
        follow = np.array(follows, dtype=np.int64).reshape(-1, 2)
        program, dts = (self.program.code, *registers), run.dts_ms[slice(*span)]
        play_scans(program, dts, self._moves(run, span), follow, watched, kept)

    def _moves(self, run: Run, span: tuple[int, int]) -> tuple[Any, Any, Any, Any]:
        """What the inputs do in some scans, in order, as registers and values."""
        known = {row.name for row in self.network.inputs}
        parts = []
        for name, row in run.inputs.items():
            if name not in known:
                continue
            begin, end = np.searchsorted(row.at, span)
            kind, place = self.program.register(name)
            at, values = row.at[begin:end] - span[0], row.values[begin:end].astype(np.float64)
            parts.append((at, np.full(len(at), kind == "reals", np.uint8), np.full(len(at), place), values))
        if not parts:
            return NOTHING, np.zeros(0, np.uint8), NOTHING, np.zeros(0)
        at, real, where, values = (np.concatenate(rows) for rows in zip(*parts, strict=True))
        order = np.argsort(at, kind="stable")
        return at[order], real[order], where[order], values[order]


def player(network: Network, run: Run) -> Player:
    """The quickest player that can play a run."""
    return Interpreter(network) if run.cuts else Fast(network)
