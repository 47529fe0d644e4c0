"""What each filter of a plan may have made of its reading, over a recording with power all through it.

Rule of this file: the readings are those that were written, whole; what tells the rest of the logic nothing
moves a filter all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from steadfall.bench.judge.explain.decided import Decided
from steadfall.bench.judge.explain.smoothed import Course, Shown, course
from steadfall.bench.judge.explain.way import Exact
from steadfall.bench.judge.finding import Terms
from steadfall.bench.session.journal import Row
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import Plan
from steadfall.roles import Role, of_input
from steadfall.units import scale

NOISE = 10.0  # deviations, by which two draws are never apart


def courses(plan: Plan, network: Network, life: Sequence[Row], terms: Terms) -> dict[str, Course]:
    """By the name of the filter, for one life of a recording."""
    decided = Decided(network)
    if not decided.filters:
        return {}
    inputs: dict[str, Value] = {row.name: row.initial for row in network.inputs}
    inputs |= {name: value for part in life[0].writes for name, value in part.values.items()}
    found = [[Shown(-inf, inf, *one)] for one in decided.readings(inputs)]
    for part in (part for row in life[1:] for part in row.writes if part.values):
        inputs |= part.values
        for shown, now in zip(found, decided.readings(inputs), strict=True):
            last = shown[-1]
            if (last.reading, last.good) != now:
                shown[-1] = Shown(last.begin, part.end + terms.link_ms, last.reading, last.good)
                shown.append(Shown(part.begin, inf, *now))
    first, exact = terms.first_of(life[0].power), Exact(terms.shortest_scan, terms.longest_scan)
    begun = life[0].writes[-1].begin if life[0].writes else 0.0
    off = {} if first else _scatter(plan)
    return {
        one.name: course(one, _rested(shown, off.get(one.name, 0.0), begun), exact, first and first[1])
        for one, shown in zip(decided.filters, found, strict=True)
    }


def _rested(shown: Sequence[Shown], off: float, begun: float) -> list[Shown]:
    """At rest with what the sensor showed before the recording; that was another draw of its noise."""
    one, *more = shown
    if not off:
        return list(shown)
    before = [Shown(-inf, begun, one.reading + way, one.good) for way in (-off, off)]
    return [*before, one, *more]


def _scatter(plan: Plan) -> dict[str, float]:
    """How far apart two draws of a sensor are at most, in the unit of its filter, by the filter."""
    return {
        of_input(Role.VALUE, item.name, input_identity(plan, item.name)).name: NOISE
        * item.noise
        / scale(item.unit, item.kind)[0]
        for item in plan.inputs.values()
        if item.noise
    }
