"""Keeps what the loop recorded, chunk by chunk, and turns it into a Trace."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from copy import copy

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.handed import AS_IT_IS, Handed, handed_by
from steadfall.plan.meaning.names import input_identity, quantities
from steadfall.plan.model import Plan
from steadfall.predict.record import CHANGES, ROWS, Record
from steadfall.quantities import reading
from steadfall.roles import Role, in_use, of_input, of_ramp
from steadfall.scan.program import Program
from steadfall.trace.trace import Trace, Track
from steadfall.units import scale

OF_CIRCUITS = Role.STAGE, Role.TARGET, Role.DISAGREES
GUARDS = Role.PERMISSIVE, Role.PERMITTED, Role.TRIP, Role.TRIPPED
KEPT = (Role.INPUT, *OF_CIRCUITS, *GUARDS, Role.DONE, Role.IN_HAND, Role.IN_TEST, Role.ON_HOLD, Role.ALARM)
NO_UNIT = "", AS_IT_IS  # of a number that the controller makes and the plan does not name


@frozen(eq=False)
class Sampled:
    """Samples of the plant, piece by piece, with their moments."""

    rows: tuple[NDArray[np.float64], ...]
    row_ms: tuple[NDArray[np.int64], ...]


class Tape:
    """What is watched and what was recorded so far."""

    def __init__(
        self, network: Network, program: Program, observed: tuple[str, ...], start: NDArray[np.float64]
    ) -> None:
        kept = _kept(network)
        self.observed = observed
        self.start = start
        self.sampled_of: tuple[str, ...] = observed  # what of the plant is kept
        self._places: NDArray[np.int64] = np.arange(len(observed))
        self.signals = tuple(name for name, kind in kept if kind is not Type.REAL)
        self.types = dict(kept)
        self.reals = tuple(name for name, kind in kept if kind is Type.REAL and name not in observed)
        self.watched = np.array([program.register(name)[1] for name in self.signals], dtype=np.int64)
        self.real_watched = np.array([program.register(name)[1] for name in self.reals], dtype=np.int64)
        self._rows: list[NDArray[np.float64]] = []
        self._row_ms: list[NDArray[np.int64]] = []
        self._real_rows: list[NDArray[np.float64]] = []
        self._changes: list[NDArray[np.int64]] = []

    def copy(self) -> Tape:
        """The same, to be gone on with apart."""
        other = copy(self)
        other._rows, other._row_ms = self._rows[:], self._row_ms[:]
        other._real_rows, other._changes = self._real_rows[:], self._changes[:]
        return other

    def keep(self, names: Collection[str]) -> None:
        """Keep no more of the plant than these, from the start on."""
        self.sampled_of = tuple(name for name in self.observed if name in names)
        self._places = np.array([self.observed.index(name) for name in self.sampled_of], dtype=np.int64)

    def take(self, record: Record, shared: Sampled | None = None) -> None:
        """Empty the loop's buffers onto the tape; what is shared was sampled of the plant in another run."""
        rows, changes = record.used[ROWS], record.used[CHANGES]
        sampled = shared or Sampled((record.rows[:rows, :, self._places],), (record.row_ms[:rows].copy(),))
        self._rows += sampled.rows
        self._row_ms += sampled.row_ms
        self._real_rows.append(record.real_rows[:rows].copy())
        self._changes.append(
            np.stack([record.change_ms[:changes], record.change_of[:changes], record.change_to[:changes]])
        )
        record.used[:] = 0

    def length(self) -> int:
        """How many pieces of samples there are."""
        return len(self._rows)

    def sampled(self, since: int) -> Sampled:
        """What was sampled of the plant since there were so many pieces."""
        return Sampled(tuple(self._rows[since:]), tuple(self._row_ms[since:]))

    def changes(self, signal: str) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """The moments at which a logic signal changed and what to; the first is its value at the first
        scan.
        """
        found = np.concatenate(self._changes, axis=1)
        mine = found[1] == self.signals.index(signal)
        return found[0, mine], found[2, mine]

    def said(self, but: Collection[str]) -> NDArray[np.int64]:
        """Every change of the logic signals but these: moments, places, values."""
        found = np.concatenate(self._changes, axis=1)
        left = np.array([name not in but for name in self.signals], dtype=bool)
        return found[:, left[found[1]]]

    def trace(self, plan: Plan, end_ms: int, only: Collection[str] | None = None) -> Trace:
        """Everything recorded, or these names only, as one trace in SI units."""
        tracks: dict[str, Track] = {}
        for signal in _of(self.signals, only):
            times, values = self.changes(signal)
            boolean = self.types[signal] is Type.BOOL
            tracks[signal] = Track(
                name=signal,
                kind="bool" if boolean else "int",
                unit="",
                times_ms=times,
                values=values.astype(bool) if boolean else values,
                step=True,
            )
        tracks.update(self._quantities(plan, only))
        tracks.update(self._readings(plan, only))
        return Trace(tracks=tracks, end_ms=end_ms)

    def _quantities(self, plan: Plan, only: Collection[str] | None) -> dict[str, Track]:
        known = quantities(plan)
        names = _of(self.sampled_of, only)
        places = [self.sampled_of.index(name) for name in names]
        start = np.repeat(self.start[None, None, self._places[places]], 3, axis=1)
        table = np.concatenate([start, *(rows[:, :, places] for rows in self._rows)])
        times = np.concatenate([np.zeros(1, np.int64), *self._row_ms])
        return {
            name: Track(
                name=name,
                kind="real",
                unit=known[name].reading.si,
                times_ms=times,
                values=table[:, 0, i].copy(),
                low=table[:, 1, i].copy(),
                high=table[:, 2, i].copy(),
                step=False,
                dimension=known[name].dimension,
            )
            for i, name in enumerate(names)
        }

    def _readings(self, plan: Plan, only: Collection[str] | None) -> dict[str, Track]:
        """REAL signals of the controller, back from the controller's unit to SI."""
        times = np.concatenate(self._row_ms)
        table = np.concatenate(self._real_rows)
        known = _in_si(plan)
        tracks = {}
        for name in _of(self.reals, only):
            dimension, handed = known.get(name, NO_UNIT)
            tracks[name] = Track(
                name=name,
                kind="real",
                unit=reading(dimension, "").si,
                times_ms=times,
                values=handed.si(table[:, self.reals.index(name)]),
                step=False,
                dimension=dimension,
            )
        return tracks


def _of(names: Sequence[str], only: Collection[str] | None) -> Sequence[str]:
    return names if only is None else [name for name in names if name in only]


def _kept(network: Network) -> list[tuple[str, Type]]:
    """Inputs, outputs, every number, and what the roles say; of permissives what holds for all valves."""
    outputs, types = set(network.outputs), network.types
    return [
        (name, types[name])
        for name, one in network.identities.items()
        if name in outputs
        or types[name] is Type.REAL
        or (one.role in KEPT and not (one.role is Role.PERMITTED and one.valve))
    ]


def _in_si(plan: Plan) -> dict[str, tuple[str, Handed]]:
    """Dimension of the plan's measured and made numbers, and how they stand in the controller."""
    found = {name: (item.kind, handed_by(item)) for name, item in plan.inputs.items() if not item.is_digital}
    for name in tuple(found):
        item = plan.inputs[name]
        for role in (Role.VALUE, Role.UNFILTERED):
            value = of_input(role, name, input_identity(plan, name)).name
            found[value] = (item.kind, Handed(*scale(item.unit, item.kind)))
    for name, one in plan.settings.items():
        if not one.is_time:
            found[name] = found[in_use(name).name] = (one.dimension, Handed(*scale(one.unit, one.dimension)))
    for name, ramp in plan.ramps.items():
        found[name] = ("percent", Handed(*scale("%")))
        found[of_ramp(Role.SET_POINT, name).name] = found[ramp.of]
    return found
