"""What one run came to: figures against their bounds, what noticed the failure, what acted.

Rule of this file: data, and how it is read from a prediction; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum

import numpy as np
from attrs import frozen

from steadfall.plan.meaning.names import alarm_titles, holding, word
from steadfall.plan.model import Limit, Plan
from steadfall.predict.outcome.judge import goal_margin, limit_margin, strain_margin
from steadfall.predict.outcome.result import Load, Prediction
from steadfall.quantities import WALL_SHOCK
from steadfall.roles import Role, alarm, command, titled

SOON_MS = 1_000  # after it was noticed: what happens by then is what acted


class Harm(IntEnum):
    """What comes of a failure, worst first."""

    RATING = 0  # a part goes beyond what it is rated for
    STOPPED = 1  # the plant left what can be computed
    LIMIT = 2
    WATER = 3  # water is left in a circuit that is idle
    GOAL = 4
    NONE = 5


@frozen
class Figure:
    """A limit, a rating or a goal, and what the run came to."""

    kind: Harm
    about: str
    value: float | None  # SI; of a goal the moment in s
    bound: float | None  # None: the plan gives none
    margin: float  # what is left; negative beyond it
    time_ms: int | None
    of: Limit | Load | None  # None: a goal

    @property
    def key(self) -> tuple[Harm, str]:
        """What it is a figure of."""
        return self.kind, self.about


@frozen
class Worst:
    """The highest of a figure, and of what."""

    value: float
    of: str


@frozen
class Notice:
    """What noticed it: a trip, an alarm, or a permissive that was lost, and when."""

    role: Role
    title: str
    time_ms: int


@frozen
class Acted:
    """What followed within a second: water valves that were told to shut, circuits that left cooling."""

    shut: tuple[str, ...] = ()
    went: tuple[tuple[str, str], ...] = ()  # circuit, step


@frozen
class Outcome:
    """What one run came to."""

    figures: tuple[Figure, ...]
    pressure: Worst  # Pa
    shock: Worst  # K
    temperature: Worst  # K at the end, of bodies and gas streams
    water_left: float  # kg of liquid at the end in circuits that are idle then
    notice: Notice | None
    acted: Acted
    complete: bool
    ended: str
    end_ms: int
    since_ms: int = 0  # when the failure began


def looked_at(plan: Plan) -> frozenset[str]:
    """The names of a trace that an outcome is read from."""
    shocks = (WALL_SHOCK.named(circuit) for circuit in plan.circuits)
    valves = (
        command(circuit, valve).name for circuit in plan.circuits for valve in plan.type_of(circuit).valves
    )
    seen = (name for name, *_ in guards(plan))
    return frozenset((*plan.bodies, *plan.gas_streams, *shocks, *valves, *seen))


def outcome(result: Prediction, nominal: Prediction | None, since_ms: int) -> Outcome:
    """What a run came to; what was noticed since the failure and not in the nominal run too."""
    found = None if nominal is None else notice(result, nominal, since_ms)
    return Outcome(
        figures=tuple(_figures(result)),
        pressure=max(
            (Worst(use.peak_pressure, use.circuit) for use in result.circuits), key=lambda one: one.value
        ),
        shock=max((_peak(result, name) for name in result.plan.circuits), key=lambda one: one.value),
        temperature=max(_ends(result), key=lambda one: one.value),
        water_left=sum(_left(result)),
        notice=found,
        acted=Acted() if found is None else acted(result, found.time_ms),
        complete=result.complete,
        ended=result.ended,
        end_ms=result.end_ms,
        since_ms=since_ms,
    )


def _figures(result: Prediction) -> Iterator[Figure]:
    for one in result.limits:
        limit = one.limit
        margin = limit_margin(limit, one.worst)
        yield Figure(Harm.LIMIT, limit.text, one.worst, limit.value, margin, one.time_ms, limit)
    for strain in result.strains:
        margin, about = strain_margin(strain.bound, strain.value), f"{strain.about}: {strain.what}"
        yield Figure(Harm.RATING, about, strain.value, strain.bound, margin, strain.time_ms, strain.what)
    for goal in result.goals:
        reached = None if goal.reached_ms is None else goal.reached_ms / 1000
        margin = goal_margin(goal.goal, goal.reached_ms)
        yield Figure(Harm.GOAL, goal.goal.text, reached, goal.goal.within, margin, goal.reached_ms, None)


def _peak(result: Prediction, circuit: str) -> Worst:
    track = result.trace.tracks[WALL_SHOCK.named(circuit)]
    return Worst(float(np.max(track.values if track.high is None else track.high)), circuit)


def _last(result: Prediction, name: str) -> float:
    return float(result.trace.tracks[name].values[-1])


def _ends(result: Prediction) -> Iterator[Worst]:
    for name in (*result.plan.bodies, *result.plan.gas_streams):
        yield Worst(_last(result, name), name)


def _left(result: Prediction) -> Iterator[float]:
    """The liquid in circuits that are idle at the end: it boils off metal that is hot, or at the next
    heat-up.
    """
    last = {one.circuit: one.stage for one in result.moments}
    for use in result.circuits:
        if last.get(use.circuit, "idle") == "idle":
            yield use.liquid_left


def guards(plan: Plan) -> Iterator[tuple[str, Role, str, bool]]:
    """Every signal by which the controller notices something: name, role, title, its value then."""
    for permissive in plan.permissives:
        yield holding(plan, permissive), Role.PERMISSIVE, permissive.name, False
    for trip in plan.trips:
        yield titled(Role.TRIP, word(trip.name), trip.name).name, Role.TRIP, trip.name, True
    for title in alarm_titles(plan):
        yield alarm(Role.ALARM, word(title), title).name, Role.ALARM, title, True


def notice(result: Prediction, nominal: Prediction, since_ms: int) -> Notice | None:
    """What noticed it first, if anything did that did not say so in the nominal run too."""
    found = []
    for name, role, title, when in guards(result.plan):
        track, usual = result.trace.tracks.get(name), nominal.trace.tracks.get(name)
        if track is None or usual is None:
            continue
        for ms, value in zip(track.times_ms.tolist(), track.values.tolist(), strict=True):
            if ms >= since_ms and bool(value) is when and bool(usual.at(ms)) is not when:
                found.append(Notice(role, title, ms))
                break
    return min(found, key=lambda one: one.time_ms, default=None)


def acted(result: Prediction, since_ms: int) -> Acted:
    """What followed."""
    plan = result.plan
    shut = []
    for circuit in plan.circuits:
        for valve in plan.type_of(circuit).valves.values():
            wet = valve.supply is not None and plan.supplies[valve.supply].fluid == "water"
            name = command(circuit, valve.name).name
            track = result.trace.tracks[name]
            before = bool(track.at(since_ms - 1)) if since_ms > 0 else False
            if wet and before and not track.at(since_ms):
                shut.append(name)
    ends = {
        circuit: {"idle", *(one.name for one in plan.type_of(circuit).finish)} for circuit in plan.circuits
    }
    went = [
        (one.circuit, one.stage)
        for one in result.moments
        if since_ms <= one.time_ms <= since_ms + SOON_MS and one.stage in ends[one.circuit]
    ]
    return Acted(tuple(shut), tuple(went))
