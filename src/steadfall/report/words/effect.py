"""What a revision does to the plant, in rows."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve

from steadfall.predict.outcome.effect import Effect
from steadfall.quantities import clock

HEAD = "what the revision does to the plant, both predicted on the coarse setting by the strongest call:"


def effect_rows(effects: Sequence[Effect], titles: tuple[str, str]) -> list[tuple[str, str, str, str]]:
    """A heading, then for each figure what it is of, both values, and the difference."""
    return [("", *titles, "difference"), *(_row(one) for one in effects)]


def _row(one: Effect) -> tuple[str, str, str, str]:
    return one.what, _value(one, one.first), _value(one, one.second), _difference(one)


def _value(one: Effect, value: float | None) -> str:
    if value is None:
        return "not reached"
    return clock(1000 * value) if one.is_time else one.reading.text(value)


def _difference(one: Effect) -> str:
    if one.first is None or one.second is None:
        return ""
    change = one.second - one.first
    apart = evolve(one.reading, offset=0.0)  # no zero of a scale is in a difference
    said = clock(1000 * change) if one.is_time else apart.number(change)
    return said if said.startswith("-") else f"+{said}"
