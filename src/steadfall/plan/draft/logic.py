"""Stages, signals, calls and trips of a new plan, as text."""

from __future__ import annotations

from collections.abc import Iterator

from steadfall.constants import ZERO_CELSIUS
from steadfall.plan.draft.plant import celsius, has_load, hosts, names
from steadfall.plan.draft.sheet import Sheet, rounded

# How far on the way from start to goal a stage is left, the doses in it.
EARLY, LATE, SOAKED = 0.12, 0.35, 0.85
COOL = 85.0 + ZERO_CELSIUS  # a stream onto metal that is hotter boils in bursts
FALLS = "for 60 s"
DONE = 0.12  # so far below the goal, since what lies in it lags


def watched(sheet: Sheet) -> str:
    """The signal that the sequence looks at."""
    return "metal_temperature" if len(set(hosts(sheet).values())) > 1 else "temperature"


def stages(sheet: Sheet) -> Iterator[str]:
    """From gentle to full, each left when the metal is cooler."""
    start, room, signal = sheet.si("start"), sheet.room, watched(sheet)
    blow = "sweep: open, " if sheet.yes("air") else ""

    def until(kelvin: float) -> str:
        return f"climb: after 60 s and {signal} < {celsius(kelvin)}"

    yield "    # Gentle first. It climbs one stage at a time, when `climb` holds. All numbers are typical."
    yield "    stages:"
    first, second = start - EARLY * room, start - LATE * room
    yield f"      - {{name: first_doses, {blow}mist: {{open: 0.4 s, shut: 3.6 s}}, {until(first)}}}"
    yield f"      - {{name: long_doses, {blow}mist: {{open: 1.2 s, shut: 2 s}}, {until(second)}}}"
    if not sheet.yes("flood"):
        yield f"      - {{name: soaking, {blow}mist: open}}"
    else:
        soaked = min(start - SOAKED * room, COOL)
        yield f"      - {{name: soaking, {blow}mist: open, {until(soaked)}}}"
        last = sheet.si("goal") - 0.1 * room
        yield f"      - {{name: flood_doses, {blow}flood: {{open: 3 s, shut: 12 s}}, {until(last)}}}"
        yield "      - {name: full, flood: open}"
    yield "    step_down: at once                         # when only a lower stage is called"
    yield "    cold_start: finish                         # after a power cut it may be hot and wet"
    yield from _finish(sheet)


def _finish(sheet: Sheet) -> Iterator[str]:
    closing = "      - {name: closing, for: 2 s}                  # until the last dose has ended"
    steps = ["      - {name: blow_out, sweep: open, for: 20 s}" if sheet.yes("air") else closing]
    steps += ["      - {name: emptying, drain: open, for: 60 s}"] if sheet.yes("drain") else []
    yield "    # When the call ends, and on a trip."
    yield "    finish:"
    yield from steps


def last_stage(sheet: Sheet) -> str:
    """The strongest stage."""
    return "full" if sheet.yes("flood") else "soaking"


def inputs(sheet: Sheet) -> Iterator[str]:
    """Signals into the controller."""
    top = round((sheet.si("start") - ZERO_CELSIUS) * 1.6 / 50 + 1) * 50
    bar = round(sheet.gauge("rated", 1.6))
    yield "# Signals into the controller. `CIRCUIT.name` belongs to a circuit. The ranges are typical."
    yield "inputs:"
    yield from CALLERS[sheet.said("calls")]
    yield "  reset_button: {kind: button}"
    if sheet.yes("air"):
        yield "  air_pressure_ok: {kind: switch, normal: on}"
    if sheet.in_gas:
        yield "  fan_runs: {kind: switch, normal: on}"
    measures = "load" if sheet.in_gas and has_load(sheet) else "lining" if sheet.in_gas else ""
    for name, host in ({"": ""} if watched(sheet) == "temperature" else hosts(sheet)).items():
        own, of = (f"{name}.metal_temperature", host) if name else ("temperature", measures or "metal")
        yield f"  {own}: {{kind: temperature, range: 0 .. {top} degC, measures: {of}, lag: 6 s}}"
    for name in names(sheet):
        yield f"  {name}.pressure: {{kind: pressure, range: 0 .. {bar} barg}}"
    if sheet.yes("flood") and sheet.yes("limit_switch"):
        for name in names(sheet):
            yield f"  {name}.flood_is_open: {{kind: switch, measures: {name}.flood.is_open}}"


CALLERS = {
    "switch": ("  cool_call: {kind: switch}",),
    "buttons": (
        "  start_button: {kind: button}",
        "  stop_button: {kind: button, normal: on}      # wired normally closed: a broken wire stops",
    ),
    "percent": ("  demand: {kind: percent, range: 0 .. 100 %}     # from the temperature controller",),
}


def calls(sheet: Sheet) -> Iterator[str]:
    """What asks for cooling."""
    last = last_stage(sheet)
    yield "# What asks for cooling, and the highest stage that it allows."
    yield "calls:"
    if sheet.said("calls") == "switch":
        yield f"  - {{when: cool_call, allows: {last}}}"
    elif sheet.said("calls") == "buttons":
        yield f"  - {{start: start_button, stop: stop_button, allows: {last}}}"
    else:
        steps = ["first_doses: 5 %", "long_doses: 30 %", "soaking: 60 %"]
        steps += ["flood_doses: 75 %", "full: 90 %"] if sheet.yes("flood") else []
        yield f"  - {{demand: demand, thresholds: {{{', '.join(steps)}}}, hysteresis: 3 %}}"
    yield ""
    yield "# What ends it by itself."
    done = celsius(sheet.si("goal") - DONE * sheet.room)
    yield f"done: {{when: {_coldest(sheet, done)} {FALLS}}}   # typical: all"
    if sheet.said("calls") != "buttons":
        yield ""
        yield "# After power-up, a trip or a lost permissive nothing cools until a call is made anew."
        yield "restart: only by a new call"


def _coldest(sheet: Sheet, done: str) -> str:
    """That the metal is colder, everywhere."""
    signal = watched(sheet)
    places = names(sheet) if signal == "metal_temperature" else ("",)
    each = [f"{name}.{signal}" if name else signal for name in places]
    rows = [f"{one} < {done}" for one in each]
    lone = f"{rows[0]} and not {each[0]} out of range"  # a broken wire reads low
    return lone if len(rows) == 1 else f"({' and '.join(rows)})"


def guards(sheet: Sheet) -> Iterator[str]:
    """Permissives and trips."""
    rows = [("sweep air", "air_pressure_ok")] if sheet.yes("air") else []
    rows += [("circulation fan", "fan_runs")] if sheet.in_gas else []
    if rows:
        yield "# Without it every water valve shuts in the same scan."
        yield "permissives:"
        for name, signal in rows:
            yield f"  - {{name: {name}, needs: {signal}, for: all water}}"
        yield ""
    trip = rounded(sheet.gauge("rated", 0.7))
    yield "# Ends cooling, goes to the finish, and stays until reset."
    yield "trips:"
    for name in names(sheet):
        at = f"steam back-pressure in {name.replace('_', ' ')}"
        yield f"  - {{name: {at}, when: {name}.pressure > {trip} barg for 0.2 s, reset: reset_button}}"
    if sheet.yes("flood") and sheet.yes("limit_switch"):
        when = " or ".join(f"{name}.flood.disagrees" for name in names(sheet))
        yield f"  - {{name: a flood limit switch disagrees, when: {when}, reset: reset_button}}"
