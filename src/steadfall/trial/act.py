"""What is done in a trial: an input gets a value at a moment or is left to the plant again, a setting is
changed on the panel, the power goes and comes back; what a scenario has go wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from attrs import frozen

from steadfall.plan.keys.sections.aims import BROKEN, MEASURED, PRESSED
from steadfall.plan.meaning.names import parts
from steadfall.plan.model import Input, Plan, Scenario, Setting
from steadfall.plan.model.upset import POWER, Upset, Wrong
from steadfall.predict.inputs.scenario import PRESS_MS, spelled
from steadfall.source import AskError
from steadfall.units import QuantityError, quantity, shown, value_in
from steadfall.words import _

ON, OFF = "on", "off"  # as a plan says it
BUTTON = "button"
POWER_WORDS = Wrong.POWER_LOST, Wrong.POWER_BACK


@frozen
class Act:
    """From a moment on an input or a setting has a value, SI or percent; None: it measures again. `said`: as
    a plan has it. `upsets`: what goes wrong then instead, or is right again.
    """

    time_ms: int
    of: str
    value: float | None
    said: str
    upsets: tuple[Upset, ...] = ()


def act(item: Input, time_ms: int, said: str) -> Act:
    """What is done, by its words in a plan: `on`, `85.5 degC`, `measured`, `broken wire`. Raises AskError."""
    if said == MEASURED and item.measures is not None:
        return Act(time_ms, item.name, None, said)
    if said == BROKEN and item.measures is not None:
        return Act(time_ms, item.name, 0.0 if item.is_digital else item.speaks[0], said)
    if item.is_digital and said in (ON, OFF):
        return Act(time_ms, item.name, float(said == ON), said)
    try:
        value = float("nan") if item.is_digital else quantity(said, item.kind)
    except QuantityError as error:
        raise AskError(f"{_cannot(item.name, said)}: {error}") from error
    if not item.low <= value <= item.high:
        raise AskError(_cannot(item.name, said))
    return Act(time_ms, item.name, value, said)


def turned(item: Setting, time_ms: int, said: str) -> Act:
    """A setting is changed on the panel, by its words in a plan: `1.2 s`. Raises AskError."""
    try:
        value = quantity(said, item.dimension)
    except QuantityError as error:
        raise AskError(f"{_cannot(item.name, said)}: {error}") from error
    if not item.low <= value <= item.high:
        ends = _("it is adjustable from {least:g} to {most:g} {unit}").format(**_ends(item))
        raise AskError(f"{_cannot(item.name, said)}: {ends}")
    return Act(time_ms, item.name, value, said)


def _ends(item: Setting) -> dict[str, float | str]:
    least, most = (value_in(end, item.unit, item.dimension) for end in (item.low, item.high))
    return {"least": least, "most": most, "unit": item.unit}


def _cannot(name: str, said: str) -> str:
    return _("'{name}' cannot be '{said}'").format(name=name, said=said[:40])


def power(time_ms: int, said: str) -> Act:
    """The controller loses its power or gets it back, by the words of a plan. Raises AskError."""
    if said not in POWER_WORDS:
        raise AskError(_("the power is 'lost' or 'back', not '{said}'").format(said=said[:40]))
    return Act(time_ms, POWER, None, said, (Upset(time_ms, POWER, Wrong(said)),))


def scripted(plan: Plan, scenario: Scenario, scan_ms: int) -> Iterator[Act]:
    """What a scenario does, each at the first scan that sees it; the first scan of all sees nothing of it."""
    for step in scenario.steps:
        ms = max(scan_ms, -(-step.time_ms // scan_ms) * scan_ms)
        for name, value in step.values.items():
            yield Act(ms, name, value, _value_words(plan.inputs[name], value))
        for name, value in step.supplies.items():
            supply, number = parts(name)
            said = shown(value, number, 6)
            yield Act(ms, name, None, said, (Upset(ms, supply, Wrong(number), value),))
        for name, wrong in step.mishaps.items():
            yield Act(ms, name, None, wrong.value, spelled(plan, [Upset(ms, name, wrong)]))
        for name in step.presses:
            item = plan.inputs[name]
            yield act(item, ms, pressed(item))
            yield act(item, -(-(ms + press_ms(plan.scan.longest_ms)) // scan_ms) * scan_ms, usual(item))


def _value_words(item: Input, value: float | None) -> str:
    """As a plan says it."""
    if value is None:
        return MEASURED
    if item.is_digital:
        return ON if value >= 0.5 else OFF
    return shown(value, item.kind, 6, item.unit or "%")


def usual(item: Input) -> str:
    """How a switch or button stands while nobody touches it."""
    return ON if item.normal >= 0.5 else OFF


def pressed(item: Input) -> str:
    """How a button stands while it is pressed."""
    return OFF if item.normal >= 0.5 else ON


def press_ms(longest_ms: int) -> int:
    """How long a button is pressed at least: as long as a scenario presses it."""
    return max(PRESS_MS, 2 * longest_ms)


def steps(acts: Iterable[Act], buttons: Iterable[Input], longest_ms: int) -> Iterator[tuple[int, str, str]]:
    """Acts as a scenario has them: moment, input, word. A press and its end after the usual time are one."""
    by_name = {item.name: item for item in buttons}
    rows = sorted(acts, key=lambda one: one.time_ms)
    ends: set[tuple[str, int]] = set()
    for one in rows:
        item = by_name.get(one.of)
        end = one.of, one.time_ms + press_ms(longest_ms)
        if item is not None and one.said == pressed(item) and _next(rows, one) == (*end, usual(item)):
            ends.add(end)
            yield one.time_ms, one.of, PRESSED
        elif (one.of, one.time_ms) not in ends:
            yield one.time_ms, one.of, one.said


def _next(rows: list[Act], one: Act) -> tuple[str, int, str] | None:
    """What is done next with the same input."""
    later = (other for other in rows if other.of == one.of and other.time_ms > one.time_ms)
    return next(((other.of, other.time_ms, other.said) for other in later), None)
