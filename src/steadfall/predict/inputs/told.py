"""What goes wrong in a run, as sentences.

Rule of this file: one row for each thing that can be wrong; a test counts them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Upset, Wrong
from steadfall.quantities import clock
from steadfall.units import shown

Told = Callable[[Plan, Upset], str]


def told(plan: Plan, upset: Upset) -> str:
    """What an upset of a scenario changes."""
    return f"from {clock(upset.time_ms)} {_TOLD[upset.wrong](plan, upset)}"


def value_of(plan: Plan, upset: Upset) -> str:
    """What an input is made to show, or the number of a supply, as a person reads it."""
    value = upset.value or 0.0
    if upset.wrong is not Wrong.SHOWS:
        return shown(value, upset.wrong.value)
    item = plan.inputs[upset.of]
    on = "on" if value >= 0.5 else "off"
    return on if item.is_digital else shown(value, item.kind, spelling=item.unit)


def _shows(plan: Plan, upset: Upset) -> str:
    does = "the plant does" if plan.inputs[upset.of].measures else "is set"
    return f"the scenario has '{upset.of}' show {value_of(plan, upset)}, whatever {does}"


def _measures(plan: Plan, upset: Upset) -> str:
    does = "it measures" if plan.inputs[upset.of].measures else "is set"
    return f"'{upset.of}' shows what {does} again"


def _gives(plan: Plan, upset: Upset) -> str:
    return f"the scenario gives '{upset.of}' a {upset.wrong.value} of {value_of(plan, upset)}"


def _words(words: str) -> Told:
    return lambda _, upset: words.format(upset.of)


_TOLD: Mapping[Wrong, Told] = {
    Wrong.SHOWS: _shows,
    Wrong.MEASURES: _measures,
    Wrong.STICKS: _words("'{}' goes on showing what it shows then"),
    Wrong.DRIFTS_UP: _words("'{}' shows more and more, by a tenth of its range in 10 min"),
    Wrong.DRIFTS_DOWN: _words("'{}' shows less and less, by a tenth of its range in 10 min"),
    Wrong.BOUNCES: _words("'{}' goes off and on in turn for 6 s"),
    Wrong.STUCK_OPEN: _words("'{}' goes open and stays so"),
    Wrong.STUCK_SHUT: _words("'{}' goes shut and stays so"),
    Wrong.SLOW: _words("'{}' takes five times as long to open and to shut"),
    Wrong.LEAKS: _words("'{}' shuts no further than 5 % of its travel"),
    Wrong.WORKS: _words("'{}' follows its command again"),
    Wrong.HALF_BLOCKED: _words("the outlet of '{}' passes half as much"),
    Wrong.BLOCKED: _words("the outlet of '{}' passes next to nothing"),
    Wrong.CLEAR: _words("the outlet of '{}' is clear again"),
    Wrong.SCALED: _words("there is scale in the channel of '{}'"),
    Wrong.FAN_STOPPED: _words("the fan of '{}' stands; 2 % of its flow are left"),
    Wrong.FAN_RUNS: _words("the fan of '{}' runs again"),
    Wrong.PUMP_STOPPED: _words("'{}' stands still"),
    Wrong.PUMP_RUNS: _words("'{}' runs again as it is told"),
    Wrong.PRESSURE: _gives,
    Wrong.TEMPERATURE: _gives,
    Wrong.POWER_LOST: _words(
        "the controller has no power; every valve goes where its spring puts it, or stays where it has none"
    ),
    Wrong.POWER_BACK: _words("the controller has power again and starts anew"),
}
