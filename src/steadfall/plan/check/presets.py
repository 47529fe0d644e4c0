"""Judges the times that the controller counts: against its timers, its scan, and its valves.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from attrs import frozen

from steadfall.plan.keys.numbers import numbers
from steadfall.plan.model import Dose, Plan, Pulses, Share, Valve
from steadfall.plan.model.condition import After, Held
from steadfall.plan.problems import Problems
from steadfall.plan.text.lay_out import time
from steadfall.source import Mark
from steadfall.units import shown

MANY = 8  # times off the timer step, from where on the step itself is told


@frozen
class Preset:
    """A time that a timer of the controller counts."""

    key: str
    ms: int
    mark: Mark


def presets(plan: Plan) -> Iterator[Preset]:
    """Every preset of a plan."""
    for one in numbers(plan):
        owner = one.owner(plan)
        if one.span.counted and isinstance(owner, Held | After):
            yield Preset(one.place[-2], owner.ms, owner.mark)
        elif one.span.counted:
            yield Preset(one.place[-1], getattr(owner, str(one.way[-1])), owner.at.of(one.place[-1]))


def presets_are_steps(plan: Plan, problems: Problems) -> None:
    """Every preset is a multiple of the timer step."""
    step = plan.scan.timer_step_ms
    off = [preset for preset in presets(plan) if preset.ms % step > 0]
    if len(off) > MANY:
        _step_itself(plan, off, problems)
    else:
        for preset in off:
            read = f"{preset.ms} ms is no multiple of the timer step of {step} ms"
            below = preset.ms - preset.ms % step
            expected = f"{below} ms or {below + step} ms" if below else f"{step} ms"
            problems.add(preset.mark, "timer-step", preset.key, read, expected)


def _step_itself(plan: Plan, off: list[Preset], problems: Problems) -> None:
    """Where so many times are off, it is the step that is a slip."""
    step, first = plan.scan.timer_step_ms, min(off, key=lambda preset: preset.mark)
    read = f"{len(off)} times of the plan are no multiple of {step} ms, the first of them in line"
    read += f" {first.mark.line} ({first.key}: {time(first.ms)})"
    fits = math.gcd(*(preset.ms for preset in presets(plan) if preset.ms == preset.ms), plan.scan.nominal_ms)
    expected = "a step that divides them"
    problems.add(
        plan.scan.at.of("timer_step"), "timer-step", "timer_step", read, expected, example=f"{fits} ms"
    )


def scan_is_a_promise(plan: Plan, problems: Problems) -> None:
    """The longest scan is not shorter than the usual one."""
    scan = plan.scan
    if scan.longest_ms < scan.nominal_ms:
        read = f"the longest scan is shorter than the nominal {scan.nominal_ms} ms"
        problems.add(scan.at.of("longest"), "scan", "longest", read, f"at least {scan.nominal_ms} ms")


def doses_suit_valves(plan: Plan, problems: Problems) -> None:
    """A dose is long enough for the valve and for the scan."""
    for kind in plan.circuit_types.values():
        for stage in kind.stages:
            for name, action in stage.actions.items():
                valve = kind.valves.get(name)
                if valve and isinstance(action, Dose):
                    _dose(plan, valve, action, problems)
                elif valve and isinstance(action, Share):
                    _share(valve, action, problems)


def _dose(plan: Plan, valve: Valve, dose: Dose, problems: Problems) -> None:
    _spans(plan, valve, dose, problems)
    if isinstance(dose.then, Pulses):
        _spans(plan, valve, dose.then, problems)
    for key, given, other in (("for", dose.for_ms, dose.then), ("then", dose.then, dose.for_ms)):
        if given is not None and other is None:
            read = f"'{key}' is given alone"
            problems.add(dose.at.of(key), "dose-in-part", key, read, "'for' and 'then' together")
    if dose.for_ms is not None and dose.clock == "free":
        read = "a shared clock knows no beginning of a stage"
        problems.add(dose.at.of("for"), "dose-in-part", "for", read, "`clock: restart`")


def _spans(plan: Plan, valve: Valve, dose: Dose | Pulses, problems: Problems) -> None:
    longest = plan.scan.longest_ms
    for key, ms, shortest in (
        ("open", dose.open_ms, valve.shortest_open_ms),
        ("shut", dose.shut_ms, valve.shortest_shut_ms),
    ):
        mark = dose.at.of(key)
        if ms < shortest:
            read = f"{time(ms)} is shorter than shortest_{key} of '{valve.name}'"
            problems.add(mark, "dose-too-short", key, read, f"at least {time(shortest)}")
        if ms < longest:
            read = f"{time(ms)} is shorter than the longest scan, so the dose could be missed"
            problems.add(mark, "dose-too-short", key, read, f"at least {longest} ms")
    if (valve.travel or 0.0) * 1000 > dose.open_ms:  # a plan of the logic alone need not say it
        read = f"'{valve.name}' takes {shown(valve.travel, 'time')} to open, longer than the dose"
        problems.add(dose.at.of("open"), "travel", "open", read, "a longer dose, or a faster valve")


def _share(valve: Valve, share: Share, problems: Problems) -> None:
    least = valve.shortest_open_ms + valve.shortest_shut_ms
    if share.cycle_ms < least:
        read = f"a cycle of {time(share.cycle_ms)} has no room for the shortest times of '{valve.name}'"
        problems.add(share.at.of("cycle"), "dose-too-short", "cycle", read, f"at least {time(least)}")


CHECKS: tuple[Callable[[Plan, Problems], None], ...] = (
    scan_is_a_promise,
    presets_are_steps,
    doses_suit_valves,
)
