"""What happens in a run, moment by moment: which inputs change, when the power fails and is back.

Rule of this file: only what is shown is told, in the units of the plan; of a long run the last of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from attrs import frozen

from steadfall.logic.nodes import Value
from steadfall.plan.text.lay_out import time
from steadfall.runs.run import Run, Step

MOST = 12  # moments that are told


@frozen
class Event:
    """A moment of a run, and what happens in it."""

    at_ms: int
    text: str


def events(
    run: Run,
    names: Sequence[str],
    units: Mapping[str, str],
    held: Sequence[Sequence[str]] = (),
    *,
    most: int = MOST,
) -> tuple[Event, ...]:
    """What happens to these inputs up to the end of a run; `held`: what each power cut ends, in words."""
    found = list(_events(run, frozenset(names), units, iter(held)))
    if len(found) <= most:
        return tuple(found)
    left_out = len(found) - most + 1
    return Event(found[0].at_ms, f"begins; {left_out} moments are left out here"), *found[left_out:]


def cuts(run: Run) -> tuple[tuple[int, int], ...]:
    """When the power fails, and when it is back."""
    return tuple((now - step.off_ms, now) for now, step in moments(run) if step.off_ms is not None)


def moments(run: Run) -> Iterator[tuple[int, Step]]:
    """Each step and its moment; of a power cut the moment at which the power is back."""
    return zip(run.times_ms.tolist(), run.steps(), strict=True)


def without_power(off_ms: int, held: Sequence[str] = ()) -> str:
    """A power cut in words, with what it ends."""
    fails = f"power fails while {' and '.join(held)}" if held else "power fails"
    return f"{fails}, back after {time(off_ms)}" if off_ms else f"{fails}, and is back at once"


def _events(
    run: Run, names: frozenset[str], units: Mapping[str, str], held: Iterator[Sequence[str]]
) -> Iterator[Event]:
    known: dict[str, Value] = {}
    for number, (now, step) in enumerate(moments(run)):
        if step.off_ms is not None:
            yield Event(now - step.off_ms, without_power(step.off_ms, next(held, ())))
            continue
        changed = {
            name: value for name, value in step.inputs.items() if name in names and known.get(name) != value
        }
        known |= changed
        if number == 0:
            given = ", ".join(
                f"{name} {_worded(value, units.get(name, ''))}" for name, value in changed.items()
            )
            yield Event(
                now, f"begins with {given}; every other input as usual" if given else "begins as usual"
            )
        elif changed:
            yield Event(
                now, ", ".join(_turn(name, value, units.get(name, "")) for name, value in changed.items())
            )


def _turn(name: str, value: Value, unit: str) -> str:
    return f"{name} goes {'' if isinstance(value, bool) else 'to '}{_worded(value, unit)}"


def _worded(value: Value, unit: str) -> str:
    if isinstance(value, bool):
        return "on" if value else "off"
    return f"{value:.6g} {unit}".rstrip()
