"""Every number that a plan states.

Rule of this file: the numbers are found by the table of keys, so a new key is one of them by its row alone;
`BESIDE` adds those that are not the whole value of a key.
"""

from __future__ import annotations

import collections
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import cache
from typing import Any

from attrs import evolve, fields_dict, frozen

from steadfall.dimensions import DIFFERENCES
from steadfall.plan.keys import kinds
from steadfall.plan.keys.fits import part_of, section_of
from steadfall.plan.keys.parameter import Parameter, Span, Way
from steadfall.plan.keys.table import SECTIONS, TOP
from steadfall.plan.meaning.conditions import parts_of
from steadfall.plan.meaning.names import Observed, quantities
from steadfall.plan.meaning.once import once
from steadfall.plan.model import AtMost, CircuitType, Counter, Inner, Input, Limit, Link, Plan, Setting, Step
from steadfall.plan.model.condition import After, Compare, Condition, Held, Passed
from steadfall.plan.model.equipment import Path
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.model.setting import settings_of
from steadfall.plan.text.phrase import LONGEST_MS
from steadfall.units import exact

MS = 0.001  # s


@frozen
class _Here:
    """Where the walk through a plan has come to."""

    plan: Plan
    observed: Mapping[str, Observed]
    place: tuple[str, ...] = ()
    way: Way = ()
    names: tuple[str, ...] = ()  # of the things that it has come through
    tolerance: str = ""

    def to(self, word: str, *steps: str | int) -> _Here:
        """A key further in."""
        return evolve(self, place=(*self.place, word), way=(*self.way, *steps), tolerance="")

    def into(self, name: str, step: str | int) -> _Here:
        """A thing that has a name."""
        return evolve(self.to(name, step), names=(*self.names, name))

    def number(self, span: Span) -> Parameter:
        """The number here."""
        called = ".".join((*self.names, self.tolerance)) if self.tolerance else ""
        if span.unit == MS:
            step = self.plan.scan.timer_step_ms * MS if span.counted else MS
            span = evolve(span, step=step)
        return Parameter(self.place, span, self.way, called)


Numbers = Iterator[Parameter]


@once
def numbers(plan: Plan) -> tuple[Parameter, ...]:
    """Every number that a plan states, in the order of the keys."""
    own = {name: item for name, item in plan.materials.items() if BUILT_IN.get(name) != item}
    return tuple(_table(evolve(plan, materials=own), TOP, _Here(plan, quantities(plan))))


def parameters(plan: Plan) -> dict[tuple[str, ...], Parameter]:
    """The same by place."""
    return {one.place: one for one in numbers(plan)}


def tolerances(plan: Plan) -> dict[str, Parameter]:
    """Every number that a tolerance may name, by the name that it has there; by its place where that is the
    name of two.
    """
    known = [one for one in numbers(plan) if one.tolerance]
    uses = collections.Counter(one.tolerance for one in known)
    return {one.tolerance if uses[one.tolerance] == 1 else one.name: one for one in known}


def _table(thing: Any, section: kinds.Section, here: _Here) -> Numbers:
    """The numbers of a table."""
    if section.makes is None:
        known = {key.name: key for key in section.keys}
        for name, value in thing.items():
            key = known.get(name) or section.others
            yield from _value(value, key.kind, here.to(name, name)) if key else ()
        return
    for key in section.every_key:
        if key is section.others:
            items = getattr(thing, key.field).items()
            for name, value in items:
                yield from _value(value, key.kind, here.to(name, key.field, name))
        elif key.field in fields_dict(section.makes):
            inner = evolve(here.to(key.name, key.field), tolerance=key.tolerance)
            yield from _value(getattr(thing, key.field), key.kind, inner)
    yield from BESIDE.get(section.makes, _none)(thing, here)


def _value(value: Any, kind: kinds.Kind | None, here: _Here) -> Numbers:
    """The numbers of a value."""
    walk = _KINDS.get(type(kind))
    if walk and value is not None:
        yield from walk(value, kind, here)


def _named(value: Mapping[str, Any], kind: kinds.Named, here: _Here) -> Numbers:
    for name, item in value.items():
        yield from _table(item, SECTIONS[kind.section], here.into(name, name))


def _many(value: tuple[Any, ...], kind: kinds.Many, here: _Here) -> Numbers:
    for place, item in enumerate(value):
        name = ".".join(item.between) if isinstance(item, Link) else getattr(item, "name", str(place + 1))
        yield from _table(item, section_of(kind, item), here.into(name, place))


def _phrase(value: Condition, kind: kinds.Phrase, here: _Here) -> Numbers:
    """The constants of a condition, each by what it is compared with."""
    seen: dict[str, int] = {}
    for part, way in _parts(value, here.way):
        if type(part) in _CONSTANTS:
            word, field, span = _CONSTANTS[type(part)](part)
            seen[word] = seen.get(word, 0) + 1
            word = word if seen[word] == 1 else f"{word} {seen[word]}"
            span = evolve(span, counted=kind.counted and span.counted)
            if not settings_of(getattr(part, field)):
                yield evolve(here.to(word), way=(*way, field)).number(span)
            if isinstance(part, Compare) and part.hysteresis:
                back = Span(DIFFERENCES[part.dimension], 0.0)
                yield evolve(here.to(f"{word} hysteresis"), way=(*way, "hysteresis")).number(back)


def _parts(condition: Condition, way: Way) -> Iterator[tuple[Condition, Way]]:
    yield condition, way
    for place, part in enumerate(parts_of(condition)):
        yield from _parts(part, (*way, "part") if hasattr(condition, "part") else (*way, "parts", place))


_AGE = Span("time", 0.0, LONGEST_MS * MS, unit=MS)
_PRESET = evolve(_AGE, counted=True)
_CONSTANTS: Mapping[type, Callable[[Any], tuple[str, str, Span]]] = {
    Compare: lambda part: (part.name, "value", Span(part.dimension)),
    Held: lambda _: ("for", "ms", _PRESET),
    After: lambda _: ("after", "ms", _PRESET),
    Passed: lambda part: (part.name, "ms", _AGE),
}


@cache
def _bounds(least: str, most: str, dimension: str) -> tuple[float, float]:
    if not dimension:
        return float(Fraction(least)), float(Fraction(most))
    low, high = (float(exact(bound, (dimension,))[0]) for bound in (least, most))
    return low, high


def span_of(kind: kinds.Amount | kinds.Time | kinds.Whole | kinds.Number) -> Span:
    """What a number of this kind can be."""
    return _SPANS[type(kind)](kind)


_SPANS: Mapping[type, Callable[[Any], Span]] = {
    kinds.Amount: lambda kind: Span(kind.dimension, *_bounds(kind.least, kind.most, kind.dimension)),
    kinds.Time: lambda kind: Span(
        "time", *_bounds(kind.least, kind.most, "time"), unit=MS, counted=kind.counted
    ),
    kinds.Whole: lambda kind: Span("", kind.least, kind.most, step=1.0),
    kinds.Number: lambda kind: Span("", *_bounds(kind.least, kind.most, "")),
}


def _number(value: float, kind: Any, here: _Here) -> Numbers:
    """A number, unless it is a setting, whose numbers stand where it is defined."""
    if not settings_of(value):
        yield here.number(span_of(kind))


_KINDS: Mapping[type, Callable[[Any, Any, _Here], Numbers]] = {
    **dict.fromkeys(_SPANS, _number),
    kinds.One: lambda value, kind, here: _table(value, SECTIONS[kind.section], here),
    kinds.Named: _named,
    kinds.Many: _many,
    kinds.Phrase: _phrase,
    kinds.Phrases: lambda value, _kind, here: (
        number
        for place, part in enumerate(value)
        for number in _phrase(part, kinds.Phrase(counted=False), here.to(str(place + 1), place))
    ),
    kinds.Either: lambda value, kind, here: _value(value, part_of(kind, value), here),
}


def _none(_thing: Any, _here: _Here) -> Numbers:
    yield from ()


def _of_inner(inner: Inner, here: _Here) -> Numbers:
    name = "half_thickness" if inner.shape == "slab" else "radius"
    [key] = [key for key in SECTIONS["inner"].keys if key.name == name]
    yield from _value(inner.size, key.kind, here.to(name, "size"))


def _of_path(path: Path, here: _Here) -> Numbers:
    """A conductance that follows from geometry is off by a factor."""
    if path.host_conductance is None:
        factor = evolve(here.to("host_factor", "host_factor"), tolerance="host_conductance")
        yield factor.number(Span("", 0.0))


def _of_type(kind: CircuitType, here: _Here) -> Numbers:
    if not settings_of(kind.step_down_ms):
        yield here.to("step_down", "step_down_ms").number(_PRESET)


def _of_input(item: Input, here: _Here) -> Numbers:
    for field in ("low", "high", "normal") if not item.is_digital else ():
        yield here.to(field, field).number(Span(item.kind))
    if item.noise:
        yield here.to("noise", "noise").number(Span(DIFFERENCES[item.kind], 0.0, item.most_noise))
    if item.filter_ms:
        yield here.to("filter", "filter_ms").number(evolve(_AGE, counted=False))
    if item.cut_off is not None:
        yield here.to("square_root", "cut_off").number(Span(item.kind, 0.0, item.high))
    if item.bad_below is not None:
        yield here.to("bad_below", "bad_below").number(Span(item.kind, most=item.low))
    if item.bad_above is not None:
        yield here.to("bad_above", "bad_above").number(Span(item.kind, least=item.high))
    if item.when_bad == "go on":
        yield here.to("when_bad", "substitute").number(Span(item.kind, item.low, item.high))
    if item.changes is not None and item.measures is not None:
        seen = _dimension(item.measures, here)
        yield here.to("measures", "changes", "value").number(Span(seen))
        yield here.to("hysteresis", "changes", "hysteresis").number(Span(DIFFERENCES.get(seen, ""), 0.0))


def _of_counter(item: Counter, here: _Here) -> Numbers:
    if item.due is not None:
        unit = 1.0 if item.of_openings else 3600.0
        span = Span("" if item.of_openings else "time", unit, 9_999_999 * unit, step=unit, unit=unit)
        yield here.to("due", "due").number(span)


def _of_setting(item: Setting, here: _Here) -> Numbers:
    for field in ("default", "low", "high"):
        yield here.to(field, field).number(Span(item.dimension))


def _of_step(step: Step, here: _Here) -> Numbers:
    for name, value in step.values.items():
        item = here.plan.inputs[name]
        if not item.is_digital and value is not None and value >= item.low:  # else no number: a broken wire
            yield here.to(name, "values", name).number(Span(item.kind, item.low, item.high))


def _of_limit(limit: Limit, here: _Here) -> Numbers:
    dimension = _dimension(limit.of, here) if limit.measure == "value" else "fall_rate"
    yield here.to(limit.bound, "value").number(Span(dimension))


def _of_plan(plan: Plan, here: _Here) -> Numbers:
    """Goals stand among the limits in the text, and in a list of their own in the model."""
    for place, goal in enumerate(plan.goals):
        inner = here.to("limits", "goals").into(str(len(plan.limits) + place + 1), place)
        yield inner.to("goal", "value").number(Span(_dimension(goal.of, here)))
        yield inner.to("within", "within").number(Span("time", 0.0))


def _of_at_most(_item: AtMost, here: _Here) -> Numbers:
    yield here.to("count", "count").number(Span("", 1.0, step=1.0))
    yield here.to("in", "in_ms").number(_AGE)


def _dimension(of: str, here: _Here) -> str:
    """What a quantity measures; of a plan that is not judged yet it may not be known."""
    return here.observed[of].dimension if of in here.observed else ""


# Numbers that are not the whole value of a key, by the class whose they are.
BESIDE: Mapping[type, Callable[[Any, _Here], Numbers]] = {
    Inner: _of_inner,
    Path: _of_path,
    CircuitType: _of_type,
    Input: _of_input,
    Counter: _of_counter,
    Setting: _of_setting,
    Step: _of_step,
    Limit: _of_limit,
    AtMost: _of_at_most,
    Plan: _of_plan,
}
