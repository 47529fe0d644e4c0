"""How the signals of a plan's network are told: a table over the ends of their names (as `logic.build.whole`
gives them).

Rule of this file: a signal is said as a sentence, passed through to what it rests on, or kept silent because
the sentence of another signal covers it. What is not in the table is said plainly by name and value.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.nodes import Value
from steadfall.logic.types import walk
from steadfall.plan.text.lay_out import time
from steadfall.source import NOWHERE, Mark
from steadfall.why.history import History
from steadfall.why.moment import Moment
from steadfall.why.speech import name_word, since, value_word
from steadfall.why.wording import Wording


@frozen(eq=False)
class About:
    """A signal in a scan, ready to be spoken of."""

    history: History
    wording: Wording
    moment: Moment
    name: str
    value: Value
    since: int  # the scan from which on it has had this value

    @property
    def circuit(self) -> str:
        """The name up to its last dot, without a counting number."""
        return self.name.rpartition(".")[0]

    @property
    def when(self) -> str:
        """`since 8.00 s`."""
        return since(self.history, self.since)

    @property
    def mark(self) -> Mark:
        """Where the signal comes from."""
        row = self.history.rows_by_name.get(self.name) or self.history.inputs.get(self.name)
        return row.mark if row else NOWHERE


Told = tuple[str, Mark] | None
PASS, SILENT = "pass", "silent"  # to what it rests on; not at all


@frozen
class Rule:
    """What is said; whether what it rests on is told below it; its place among its neighbours."""

    say: Callable[[About], Told]
    below: Callable[[About], bool]
    rank: int = 5


def plainly(about: About) -> Told:
    """Name, value and since when."""
    word = value_word(about.wording, about.history, about.name, about.value)
    return f"{name_word(about.name)} is {word} {about.when}", about.mark


def _stage(about: About) -> Told:
    state = about.wording.state(about.name, int(about.value))
    if state is None:
        return plainly(about)
    return f"{about.circuit} is in {state[0]} {about.when}", state[1]


def _target(about: About) -> Told:
    state = about.wording.state(f"{about.circuit}.stage", int(about.value))
    if not about.value or state is None:
        return f"nothing may cool {about.circuit}", about.mark
    return f"{about.circuit} may cool up to {state[0]}", state[1]


def _climb(about: About) -> Told:
    stage = about.circuit.rpartition(".")[2]
    return (f"{stage} may climb" if about.value else f"{stage} does not climb yet"), about.mark


def _titled(kind: str, yes: str, no: str) -> Callable[[About], Told]:
    def say(about: About) -> Told:
        title, mark = about.wording.titles.get(about.name, (about.name, about.mark))
        return f"{kind} '{title}' {yes if about.value else no} {about.when}", mark

    return say


def _held(about: About) -> Told:
    node = about.history.rows_by_name[about.name].node
    span = (
        f"{about.moment.value(node.preset) / 1000:g} s" if isinstance(node, nodes.TIMERS) else "long enough"
    )
    return f"the condition has {'' if about.value else 'not '}held for {span}", about.mark


def _disagrees(about: About) -> Told:
    what = "has not followed its command" if about.value else "follows its command"
    return f"{about.circuit} {what} {about.when}", about.mark


def _spans(about: About) -> tuple[int, int, int]:
    """Time in the present part of the dose, open span, shut span."""
    row = about.history.rows_by_name[about.name]
    spans = {"<": 0, ">=": 0}
    counted = 0
    for node in walk(row.node):
        if (
            isinstance(node, nodes.Compare)
            and isinstance(node.left, nodes.Read)
            and ".dose_time" in node.left.name
        ):
            spans[node.op] = int(about.moment.value(node.right))
            counted = int(about.moment.value(node.left))
    turned = about.moment.last[about.name] != about.value
    return 0 if turned else counted, spans["<"], spans[">="]


def _dose(about: About) -> Told:
    valve = about.circuit
    stage = about.moment.values.get(f"{valve.rpartition('.')[0]}.stage", 0)
    mark = about.wording.valves.get(valve, {}).get(int(stage), about.mark)
    dosing = about.moment.values.get(f"{valve}.dosing", True)
    if not dosing:
        return f"{valve} has no doses in this stage", mark
    counted, opens, shuts = _spans(about)
    if about.value:
        return f"the dose of {valve} is in its open part, {_of(counted, opens)}", mark
    if about.moment.values.get(f"{valve}.dose_wait", False):
        return f"the doses of {valve} wait their turn", mark
    return f"the dose of {valve} is in its shut part, {_of(counted, shuts)}", mark


def _of(part: int, whole: int) -> str:
    return f"{part / 1000:.2f} s of {whole / 1000:.2f} s"


def _share(about: About) -> Told:
    valve = about.circuit
    values = about.moment.values
    counted, span = values.get(f"{valve}.cycle_time", 0), values.get(f"{valve}.open_for", 0)
    if values.get(f"{valve}.cycle_begin", False):
        counted = 0
    part = "open" if about.value else "shut"
    stage = values.get(f"{valve.rpartition('.')[0]}.stage", 0)
    mark = about.wording.valves.get(valve, {}).get(int(stage), about.mark)
    return (
        (
            f"the cycle of {valve} is in its {part} part, {time(int(counted))} gone, {time(int(span))} to be "
            "open"
        ),
        mark,
    )


def _clock(about: About) -> Told:
    return (
        f"the shared dose clock is in its {'open' if about.value else 'shut'} part {about.when}",
        about.mark,
    )


def _nothing_tripped(about: About) -> Told:
    return f"none of the trips is latched {about.when}", about.mark


def _always(_: About) -> bool:
    return True


def _never(_: About) -> bool:
    return False


def _if_true(about: About) -> bool:
    return bool(about.value)


def _pass(_: About) -> Told:
    return None


PLAINLY = Rule(plainly, _always)
PASSED = Rule(_pass, _always)
HIDDEN = Rule(_pass, _never)
QUIET = Rule(_nothing_tripped, _never, 9)

# The first pattern that fits the end of the name (a counting number like `_2` left off) is used.
RULES: Sequence[tuple[re.Pattern[str], Rule]] = tuple(
    (re.compile(rf"(^|.*\.){pattern}(_\d+)?$"), rule)
    for pattern, rule in (
        ("stage", Rule(_stage, _always, 0)),
        ("target", Rule(_target, _always, 3)),
        ("climb", Rule(_climb, _always, 4)),
        (r"dose_open", Rule(_dose, _never, 1)),
        (r"share_open", Rule(_share, _never, 1)),
        (r"clock_\d+_\d+(\.\w+)*", Rule(_clock, _never, 1)),
        (r"permissive\.\w+", Rule(_titled("permissive", "holds", "does not hold"), _always, 7)),
        (r"trip\.\w+", Rule(_titled("trip", "has been latched", "has not been latched"), _if_true, 8)),
        (r"held", Rule(_held, _always, 5)),
        (r"disagrees", Rule(_disagrees, _if_true, 6)),
        (r"(may_cool|permitted|running|step_over|entered|dosing|sharing|wanted|cycle_begin|tripped)", PASSED),
        (
            r"(stage_time|dose_time|held_time|cycle_time|dose_turn|cycle_turn|moved|open_for|dose_wait)",
            HIDDEN,
        ),
    )
)


def rule_of(wording: Wording, name: str, value: Value) -> Rule:
    """How a signal is told."""
    if not wording.plan_made or name in wording.valves:
        return PLAINLY
    if name == "tripped" and not value:
        return QUIET
    if name.endswith(".called") and f"{name.removesuffix('.called')}.stage" in wording.states:
        return PASSED
    return next((rule for pattern, rule in RULES if pattern.match(name)), PLAINLY)
