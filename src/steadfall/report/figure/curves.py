"""From the trace to curves: which recorded signals a chart shows, in which unit and in which look."""

from __future__ import annotations

from itertools import cycle

import numpy as np
from attrs import evolve

from steadfall.plan.meaning.names import quantities
from steadfall.predict.outcome.result import Prediction
from steadfall.quantities import (
    AFTER_COIL,
    BODY_CORE,
    BODY_SURFACE,
    FLOW,
    MASS,
    OUTLET_TEMPERATURE,
    TEMPERATURE,
    WALL,
    WALL_COLDEST,
    WALL_HOTTEST,
    WATER_FLOW,
    WATER_USED,
    Owner,
    Quantity,
)
from steadfall.report.figure.series import Floats, Series
from steadfall.report.words.names import spoken
from steadfall.roles import Role, of_ramp
from steadfall.trace.trace import Track

HEAVY = "aijk"  # looks of the curves that a limit or goal speaks of, in turn
LIGHT = "bcdefgh"  # looks of the others
THINGS = (Owner.BODY, Owner.SHELLS, Owner.STREAM)
CHECKED_TO = 0.01  # the water curve is drawn when its end agrees with the book of the run to this share


def curve(prediction: Prediction, name: str, label: str, look: str = "b") -> Series | None:
    """The curve of a recorded signal, or None when it was not recorded."""
    track = prediction.trace.tracks.get(name)
    if track is None or not len(track.times_ms):
        return None
    reading = prediction.units.of(track.reading)
    return Series(
        name=name,
        label=label,
        symbol=reading.symbol,
        digits=reading.digits,
        times_ms=np.asarray(track.times_ms, dtype=np.int64),
        mid=_floats(reading.of(np.asarray(track.values, dtype=np.float64))),
        low=None if track.low is None else _floats(reading.of(np.asarray(track.low))),
        high=None if track.high is None else _floats(reading.of(np.asarray(track.high))),
        step=track.step,
        pulsed=track.low is not None and track.high is not None,
        look=look,
        shows=(name,),
    )


def _floats(values: object) -> Floats:
    return np.asarray(values, dtype=np.float64)


def between(prediction: Prediction, names: tuple[str, str, str], label: str, look: str) -> Series | None:
    """A curve with a band; the names are those of its middle, its lower and its upper edge."""
    trace = prediction.trace
    series = curve(prediction, names[0], label, look)
    low, high = trace.tracks.get(names[1]), trace.tracks.get(names[2])
    if series is None:
        return None
    if low is None or high is None:
        return bare(series)
    return evolve(
        series,
        low=_edge(prediction, low, low.low, series),
        high=_edge(prediction, high, high.high, series),
        pulsed=False,
        shows=names,
    )


def _edge(prediction: Prediction, track: Track, extreme: object, series: Series) -> Floats:
    values = _floats(
        prediction.units.of(track.reading).of(_floats(track.values if extreme is None else extreme))
    )
    return values if len(values) == len(series.mid) else np.interp(series.times_ms, track.times_ms, values)


def temperatures(prediction: Prediction) -> tuple[Series, ...]:
    """Bodies and gas streams; those that a limit or goal speaks of are drawn heavy."""
    plan = prediction.plan
    spoken_of = [
        *(result.limit.of for result in prediction.limits),
        *(result.goal.of for result in prediction.goals),
    ]
    known = quantities(plan)
    subjects = {known[of].owner for of in spoken_of if known[of].quantity.of in THINGS}
    found: list[Series | None] = []
    heavy, light = cycle(HEAVY), cycle(LIGHT)
    for name in plan.bodies:
        look = next(heavy if name in subjects else light)
        edges = (BODY_CORE.named(name), BODY_SURFACE.named(name))
        found.append(between(prediction, (name, *edges), spoken(name), look))
    for name in plan.gas_streams:
        found.append(bare(curve(prediction, name, spoken(name), next(heavy if name in subjects else light))))
        found.append(
            bare(curve(prediction, AFTER_COIL.named(name), f"{spoken(name)} after coil", next(light)))
        )
    return tuple(_ordered(series) for series in found if series is not None)


def bare(series: Series | None) -> Series | None:
    """The line alone."""
    return None if series is None else evolve(series, low=None, high=None, pulsed=False)


def _ordered(series: Series) -> Series:
    """Core and surface as a band whichever of them is the hotter."""
    if series.low is None or series.high is None:
        return evolve(series, low=None, high=None, pulsed=False)
    return evolve(series, low=np.minimum(series.low, series.high), high=np.maximum(series.low, series.high))


def wall(prediction: Prediction, circuit: str) -> tuple[Series, ...]:
    """The wall of a circuit, coldest to hottest with the mean, and what leaves it."""
    names = (WALL.named(circuit), WALL_COLDEST.named(circuit), WALL_HOTTEST.named(circuit))
    metal = between(prediction, names, "wall, mean", "a")
    outlet = bare(curve(prediction, OUTLET_TEMPERATURE.named(circuit), "outlet", "d"))
    return tuple(series for series in (metal, outlet) if series is not None)


def water_used(prediction: Prediction, circuit: str, look: str) -> Series | None:
    """Water let in since the start, kg; only when the records add up to what the run counted."""
    name = WATER_USED.named(circuit)
    if name in prediction.trace.tracks:
        return curve(prediction, name, spoken(circuit), look)
    flow = prediction.trace.tracks.get(WATER_FLOW.named(circuit))
    counted = next((use.water for use in prediction.circuits if use.circuit == circuit), 0.0)
    if flow is None or counted <= 0 or len(flow.times_ms) < 2:
        return None
    times = np.asarray(flow.times_ms, dtype=np.int64)
    values = np.asarray(flow.values, dtype=np.float64)
    parts = np.diff(times, prepend=times[0]) / 1000 * values
    total = np.cumsum(parts)
    if abs(float(total[-1]) - counted) > CHECKED_TO * counted:
        return None
    mass = prediction.units.of(MASS)
    return Series(name, spoken(circuit), mass.symbol, 1, times, _floats(mass.of(total)), look=look)


def set_points(prediction: Prediction) -> tuple[Series, ...]:
    """The falling set-points of the plan's ramps."""
    temperature = prediction.units.of(TEMPERATURE).symbol
    found = (
        curve(prediction, of_ramp(Role.SET_POINT, name).name, f"{spoken(name)} set-point", "e")
        for name in prediction.plan.ramps
    )
    return tuple(series for series in found if series is not None and series.symbol == temperature)


def survey_bands(prediction: Prediction) -> tuple[Series, ...]:
    """The 5 to 95 % bands of bodies and gas streams, where many runs were asked for; without a name at their
    end.
    """
    if prediction.bands is None:
        return ()
    temperature = prediction.units.of(TEMPERATURE)
    return tuple(
        Series(
            f"{name}.odds",
            "",
            temperature.symbol,
            temperature.digits,
            band.times_ms,
            _floats(temperature.of(band.mid)),
            _floats(temperature.of(band.low)),
            _floats(temperature.of(band.high)),
            look="o",
        )
        for name, band in prediction.bands.curves.items()
    )


def flow(prediction: Prediction, circuit: str, what: Quantity, look: str) -> Series | None:
    """Water or air into a circuit."""
    series = curve(prediction, what.named(circuit), spoken(circuit), look)
    return None if series is None else evolve(series, symbol=prediction.units.of(FLOW).symbol)
