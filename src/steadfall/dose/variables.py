"""What a search may change: times of every dose, times and temperatures of every climb, by circuit type.

Rule of this file: numbers are found by what they belong to, in the table of the plan's numbers. Times of
doses move in steps of 0.1 s, of climbs in 5 s, temperatures in 5 K; every time is a multiple of the timer
step. A number that is a setting of the panel is the operator's and stays.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from steadfall.constants import ZERO_CELSIUS
from steadfall.dose.variable import Variable
from steadfall.plan.keys.numbers import numbers
from steadfall.plan.keys.parameter import Parameter
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.model import CircuitType, Dose, Plan, Pulses, Valve
from steadfall.plan.model.condition import After, Compare

DOSE_MS, CLIMB_MS, KELVIN = 100, 5_000, 5.0
SPREAD = 4  # how many times longer or shorter than the plan has it
AROUND = 40.0  # K about the temperature of a climb
NEARLY = 1e-9  # of a step
DIGITS = 6


def variables(plan: Plan) -> tuple[Variable, ...]:
    """Every number that may be changed and has more than one value."""
    plan = plant_side(plan)
    used = {plan.circuits[name].type for name in plan.circuits}
    found = (one for one in numbers(plan) if one.way[0] == "circuit_types" and one.way[1] in used)
    made = (_variable(plan, one) for one in found if "stages" in one.way)
    return tuple(one for one in made if one is not None and len(one.values) > 1)


def _variable(plan: Plan, number: Parameter) -> Variable | None:
    owner = number.owner(plan)
    kind = plan.circuit_types[str(number.way[1])]
    stage = kind.stages[int(number.way[3])]
    if isinstance(owner, Dose | Pulses):
        valve = kind.valves[str(number.way[5])]
        what = f"{valve.name} {' '.join(number.place[5:])}"
        return _of_dose(plan, number, valve, (kind.name, stage.name, what))
    if isinstance(owner, After):
        own = number.get(plan)
        names = kind.name, stage.name, "climb after"
        return _time(plan, number, names, (own / SPREAD, own * SPREAD), CLIMB_MS)
    if isinstance(owner, Compare) and owner.dimension == "temperature" and number.way[-1] == "value":
        return _of_climb(plan, number, kind, stage.name)
    return None


def _of_dose(plan: Plan, number: Parameter, valve: Valve, names: tuple[str, str, str]) -> Variable:
    """A time of a dose: at least what valve and scan ask for."""
    travel = math.ceil(1000 * valve.travel)
    least = {
        "open_ms": max(valve.shortest_open_ms, travel),
        "shut_ms": valve.shortest_shut_ms,
        "for_ms": 1000 * number.get(plan) / SPREAD,
    }[str(number.way[-1])]
    low = max(least, plan.scan.longest_ms) / 1000
    return _time(plan, number, names, (low, SPREAD * number.get(plan)), DOSE_MS)


def _time(
    plan: Plan, number: Parameter, names: tuple[str, str, str], ends: tuple[float, float], step_ms: int
) -> Variable:
    step = math.lcm(step_ms, plan.scan.timer_step_ms) / 1000
    first = max(1, math.ceil(ends[0] / step - NEARLY))
    round_ones = (k * step for k in range(first, math.floor(ends[1] / step + NEARLY) + 1))
    return Variable(number, *names, _with(number.get(plan), round_ones))


def _of_climb(plan: Plan, number: Parameter, kind: CircuitType, stage: str) -> Variable:
    """A temperature of a climb: below the hottest start, above ambient, near what the plan has."""
    value = number.get(plan)
    low = max(plan.ambient, value - AROUND) - ZERO_CELSIUS
    high = min(_hottest(plan), value + AROUND) - ZERO_CELSIUS
    first, last = math.ceil(low / KELVIN - NEARLY), math.floor(high / KELVIN + NEARLY)
    round_ones = (ZERO_CELSIUS + k * KELVIN for k in range(first, last + 1))
    return Variable(number, kind.name, stage, f"climb {number.place[-1]}", _with(value, round_ones))


def _with(own: float, others: Iterable[float]) -> tuple[float, ...]:
    """Round values and the plan's own among them."""
    there = {round(value, DIGITS) for value in others}
    return tuple(sorted({*there, own} if round(own, DIGITS) not in there else there))


def _hottest(plan: Plan) -> float:
    """The hottest start of anything in the plan."""
    starts = [one.start for one in plan.bodies.values()] + [one.start for one in plan.gas_streams.values()]
    return max(starts)
