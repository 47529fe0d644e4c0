"""What nodes mean in a scan of which the moment is known only between bounds.

Rule of this file: a function a node class, for what is no plain expression: a time that runs, a number
between two ends, or what is remembered under the name of its row. As in `scan.interpreter`.
"""

from __future__ import annotations

from steadfall.bench.judge.explain.amount import Amount, Clock, Range, Smoothed, spread
from steadfall.bench.judge.explain.way import Way
from steadfall.comparisons import HOLDS
from steadfall.logic.nodes import LARGEST
from steadfall.scan.interpreter import ON, OUT, REST, TIMING, root, rounded

LOOSE = Clock, Smoothed, Range


def lesser(left: float, right: float) -> float:
    """The lesser of two plain values; the second where one is no number."""
    return left if left < right else right


def greater(left: float, right: float) -> float:
    """The greater of two plain values; the second where one is no number."""
    return left if left > right else right


def stopped(value: float) -> float:
    """A whole number within +-2^53; a REAL as it is."""
    return value if isinstance(value, float) else min(max(value, -LARGEST), LARGEST)


def compared(way: Way, op: str, left: Amount, right: Amount) -> bool:
    """Whether a comparison holds."""
    if not isinstance(left, LOOSE) and not isinstance(right, LOOSE):
        return bool(HOLDS[op](left, right))
    if op in (">=", "<"):
        return way.not_less(left, right) is (op == ">=")
    if op in ("<=", ">"):
        return way.not_less(right, left) is (op == "<=")
    equal = way.not_less(left, right) and way.not_less(right, left)
    return equal is (op == "=")


def added(way: Way, left: Amount, right: Amount) -> Amount:
    """A sum; a time that runs goes on doing so."""
    if isinstance(left, Clock) and isinstance(right, int):
        return Clock(left.place, left.more + right)
    if isinstance(right, Clock) and isinstance(left, int):
        return Clock(right.place, right.more + left)
    return spread(lambda one, two: stopped(one + two), way.range_of(left), way.range_of(right))


def taken(way: Way, left: Amount, right: Amount) -> Amount:
    """A difference."""
    if isinstance(left, Clock) and isinstance(right, int):
        return Clock(left.place, left.more - right)
    return spread(lambda one, two: stopped(one - two), way.range_of(left), way.range_of(right))


def multiplied(way: Way, left: Amount, right: Amount) -> Amount:
    """A product."""
    return spread(lambda one, two: one * two, way.range_of(left), way.range_of(right))


def least(way: Way, left: Amount, right: Amount) -> Amount:
    """The lesser of two."""
    if isinstance(left, Clock) or isinstance(right, Clock):
        return right if way.not_less(left, right) else left
    return spread(lesser, way.range_of(left), way.range_of(right))


def greatest(way: Way, left: Amount, right: Amount) -> Amount:
    """The greater of two."""
    if isinstance(left, Clock) or isinstance(right, Clock):
        return left if way.not_less(left, right) else right
    return spread(greater, way.range_of(left), way.range_of(right))


def rooted(way: Way, part: Amount) -> Amount:
    """A square root."""
    return spread(root, way.range_of(part))


def real(way: Way, part: Amount) -> Amount:
    """A whole number or a time as a REAL."""
    return spread(float, way.range_of(part))


def as_time(way: Way, part: Amount, step_ms: int) -> Amount:
    """A REAL as a time."""
    return spread(lambda value: rounded(value, step_ms), way.range_of(part))


def smoothed(_: Way, name: str) -> Smoothed:
    """What a filter has made of its reading."""
    return Smoothed(name)


def smoothed_before(way: Way, name: str) -> Amount:
    """The same in the scan before."""
    return way.before(name)


def edge(way: Way, name: str, part: bool, rises: bool) -> bool:
    """Whether a part has gone on, or off."""
    now = part is rises
    before, way.states[name] = way.states[name], int(now)
    return now and not before


def ton(way: Way, name: str, on: bool, preset: Amount) -> bool:
    """Whether it has been on for the preset."""
    before, way.states[name] = way.states[name], ON if on else REST
    if not on:
        way.ages[name] = 0
        return False
    return _counted(way, name, preset) if before == ON else _begun(way, name, preset)


def tof(way: Way, name: str, on: bool, preset: Amount) -> bool:
    """Whether it is on, or has been within the preset."""
    state = way.states[name]
    if on:
        way.states[name], way.ages[name] = ON, 0
        return True
    if state == TIMING:
        state = OUT if _counted(way, name, preset) else TIMING
    elif state == ON:
        state = OUT if _begun(way, name, preset) else TIMING
    way.states[name] = state
    return state == TIMING


def tp(way: Way, name: str, on: bool, preset: Amount) -> bool:
    """Whether a pulse that began with it goes on."""
    state = way.states[name]
    if state == TIMING:
        state = OUT if _counted(way, name, preset) else TIMING
    elif state == REST and on:
        state = OUT if _begun(way, name, preset) else TIMING
    if state == OUT and not on:
        state, way.ages[name] = REST, 0
    way.states[name] = state
    return state == TIMING


def since(way: Way, name: str, event: bool, limit_ms: int) -> Amount:
    """How long ago something was so in a scan before this one."""
    age = 0 if event else way.ages[name] if way.begun else min(way.ages[name], limit_ms)
    if way.begun and age != limit_ms:
        age = way.go_on(name, age)
        age = limit_ms if way.not_less(age, limit_ms) else age
    way.ages[name] = age
    return age


def _counted(way: Way, name: str, preset: Amount) -> bool:
    """Lets the clock of a row go on; whether it has come to its preset, where it stops."""
    age = way.ages[name]
    if isinstance(age, int) and isinstance(preset, int) and age >= preset:
        way.ages[name] = preset
        return True
    age = way.go_on(name, age)
    if way.not_less(age, preset):
        way.ages[name] = preset
        return True
    way.ages[name] = age
    return False


def _begun(way: Way, name: str, preset: Amount) -> bool:
    """Begins the clock of a row; whether a preset of 0 ends it in the same scan."""
    if way.not_less(0, preset):
        way.ages[name] = preset
        return True
    way.ages[name] = way.begin_clock(name)
    return False
