"""What a controller was handed by sensors, as charts: one for each unit, in the unit that the sensor has."""

from __future__ import annotations

from itertools import cycle

import numpy as np

from steadfall.plan.model import Plan
from steadfall.report.figure.lanes import LINE
from steadfall.report.figure.panel import Panel
from steadfall.report.figure.series import Series
from steadfall.report.words.names import in_lines, spoken
from steadfall.trace.trace import Trace

LOOKS, LOWEST, EACH = "abcdefgh", 92.0, 17.0  # px: a chart at least, and what each name beside it takes
DIGITS, LETTERS = 2, 14
# What stands there where nobody gives a value: else a level that never moves looks like a measurement.
NO_PLANT = ": no plant in this plan, so `normal` or the low end of the range where no step gives a value"


def measured_panels(plan: Plan, trace: Trace) -> tuple[Panel, ...]:
    """The measured values of a trace that has them, unit by unit in the order of the plan."""
    by: dict[str, list[str]] = {}
    for name, item in plan.inputs.items():
        if not item.is_digital and name in trace.tracks:
            by.setdefault("%" if item.kind == "percent" else item.unit, []).append(name)
    of = "" if plan.has_plant else NO_PLANT
    return tuple(_panel(f"Measured, {unit}{of}", unit, names, trace) for unit, names in by.items())


def _panel(title: str, unit: str, names: list[str], trace: Trace) -> Panel:
    looks = cycle(LOOKS)
    series = tuple(_series(name, unit, next(looks), trace) for name in names)
    names_px = sum(EACH + LINE * one.label.count("\n") for one in series)
    return Panel(title, series, max(LOWEST, names_px))


def _series(name: str, unit: str, look: str, trace: Trace) -> Series:
    """Held from one value to the next: so the controller had it."""
    track = trace.tracks[name]
    times = np.append(np.asarray(track.times_ms, dtype=np.int64), trace.end_ms)
    values = np.asarray(track.values, dtype=np.float64)
    mid = np.append(values, values[-1])
    return Series(name, _label(name), unit, DIGITS, times, mid, step=True, look=look)


def _label(name: str) -> str:
    """The name, in as many lines as the room beside the chart asks for."""
    return in_lines(spoken(name.replace(".", ": ")), LETTERS)
