"""States that runs of the controller have been in, as different as can be.

Rule of this file: a mode is what is true or false and what is whole; of each mode a few states are taken,
from the beginning of a stay to its end, so that clocks differ. A state of a run counts as not settled.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
from attrs import frozen

from steadfall.logic.nodes import Value
from steadfall.prove.runs.registers import events, registers
from steadfall.prove.runs.rig import Rig
from steadfall.prove.runs.stimuli import stimuli
from steadfall.prove.system.kept import SETTLED, STARTED, Part
from steadfall.prove.system.step import Model
from steadfall.scan.layout import Register
from steadfall.scan.program import Registers, fresh

SEEDS, SCANS = 24, 6000
MOST = 400
OF_A_STAY = (1.0, 0.0, 0.5, 0.25, 0.75, 0.9, 0.1)  # which of the states of a mode is taken first, second, ...
_WEIGHTS = np.random.default_rng(1).integers(1, 2**62, 4096)  # any numbers would do: they tell modes apart


@frozen
class Reached:
    """Where a run is after a scan."""

    seed: int
    scan: int
    state: Mapping[str, Value]  # by slot


def reached(model: Model, of: Rig) -> list[Reached]:
    """States of some runs."""
    reader = _Reader(model, of)
    modes = np.concatenate([reader.modes(seed) for seed in range(SEEDS)])
    chosen: dict[int, list[int]] = {}
    for place in _spread(modes):
        chosen.setdefault(place // SCANS, []).append(place % SCANS)
    every = (one for seed, scans in chosen.items() for one in reader.visited(seed, sorted(set(scans))))
    return [one for one in every if all(math.isfinite(value) for value in one.state.values())]


def _spread(modes: Any) -> list[int]:
    """Some places of each mode: one of every mode, then a second of every mode, until there are enough."""
    order = np.argsort(modes, kind="stable")
    _, first, counts = np.unique(modes[order], return_index=True, return_counts=True)
    found: dict[int, None] = {}
    for share in OF_A_STAY:
        places = order[first + ((counts - 1) * share).astype(int)]
        found |= dict.fromkeys(int(place) for place in places)
        if len(found) >= MOST:
            break
    return list(found)[:MOST]


@frozen(eq=False, slots=False)
class _Reader:
    """Reads the state of a model from the registers of the fast machine."""

    model: Model
    of: Rig

    @cached_property
    def where(self) -> Mapping[str, Register]:
        """The register of every part of the state; an age's is that of its clock."""
        return registers(self.model, self.of.fast.program)

    @cached_property
    def events(self) -> Mapping[str, Register]:
        """The event that each age is counted from."""
        return events(self.model.network, self.of.fast.program)

    def modes(self, seed: int) -> Any:
        """A number for the mode after each scan of a run."""
        kept = [slot for slot in self.model.slots if not slot.clock and slot.part is not Part.GIVEN]
        rows = [self.where[slot.key] for slot in kept if slot.key in self.where]
        places = [row.place for row in rows if row.kind == "ints"]
        out = self.of.fast.whole_registers(stimuli(self.of, seed).part(0, SCANS), places)
        return out @ _WEIGHTS[: len(places)]

    def visited(self, seed: int, scans: Sequence[int]) -> Iterable[Reached]:
        """The states of a run after some scans."""
        registers, run, begin = fresh(self.of.fast.program), stimuli(self.of, seed), 0
        for scan in scans:
            self.of.fast.forward(run, registers, (begin, scan + 1))
            state = {slot.key: self.value(slot.key, slot.initial, registers) for slot in self.model.slots}
            yield Reached(seed, scan, state)
            begin = scan + 1

    def value(self, key: str, like: Value, registers: Registers) -> Value:
        """A part of the state."""
        if key in (STARTED, SETTLED):
            return key == STARTED
        kind, place = self.where[key]
        if kind == "reals":
            return float(registers.reals[place])
        if key in self.events and registers.ints[self.events[key].place]:
            return 0  # the next scan counts on from the event
        whole = int(registers.ints[place])
        return bool(whole) if isinstance(like, bool) else whole
