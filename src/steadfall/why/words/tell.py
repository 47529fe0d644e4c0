"""The facts of a value as sentences, back through what was remembered to the moment at which it came about.

Rule of this file: nothing is said twice; a value that rests on its own past is told once more at the scan in
which it came about; after so many steps back in time or so many sentences the telling stops.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Value
from steadfall.plan.text.lay_out import time
from steadfall.quantities import moment
from steadfall.roles import Role
from steadfall.source import Mark
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, Counted, Fact, Part, Signal, key
from steadfall.why.least.justify import Justified, justify
from steadfall.why.scans.history import History
from steadfall.why.words.compared import told
from steadfall.why.words.rules import PLAINLY, About, rule_of
from steadfall.why.words.speech import identity, name_word, value_word
from steadfall.why.words.wording import Wording

STEPS_BACK = 4
MOST = 1000  # parts
JOINED = (3, 4)  # the ranks of what a stage may do
STANDING = (0, 1)  # stage and dose: told also where the facts leave it open, so that these have a place


@frozen
class Reason:
    """One sentence, its place in the plan, and what it rests on in turn."""

    sentence: str
    mark: Mark
    signal: str
    value: Value | None
    at_ms: int  # the scan that is spoken of
    since_ms: int | None
    rank: int = 5
    reasons: tuple[Reason, ...] = ()


class Teller:
    """Tells the reasons of one explanation."""

    def __init__(self, history: History, wording: Wording) -> None:
        self.history, self.wording = history, wording
        self.told: set[object] = set()
        self.staying: set[int] = set()  # scans in which a valve stays for its shortest time

    def reasons(self, signal: str, scan: int, back: int = 0) -> tuple[Reason, ...]:
        """What the signal's value in this scan rests on."""
        self.told.add((signal, scan))
        known = justify(self.history, signal, scan)
        found = self._below(known, known.root, (signal,), back)
        return tuple(sorted(found, key=lambda reason: reason.rank))

    def all(self, signal: str, scan: int) -> tuple[Reason, ...]:
        """The reasons, each said once, where it is nearest to the question."""
        return tidy(self.reasons(signal, scan))

    def _below(self, known: Justified, part: Part, above: tuple[str, ...], back: int) -> list[Reason]:
        return [reason for inner in known.parts(part) for reason in self._part(known, inner, above, back)]

    def _part(self, known: Justified, part: Part, above: tuple[str, ...], back: int) -> Iterator[Reason]:
        place = (key(part), known.scan)
        if place in self.told or len(self.told) > MOST:
            return
        self.told.add(place)
        if isinstance(part, Fact):
            yield from self._fact(part, known.scan, above, back)
        elif isinstance(part, Signal):
            yield from self._signal(known, part, above, back)
        elif isinstance(part, nodes.Compare):
            yield from self._compare(known, part, above, back)
        else:
            if isinstance(part, Counted):
                yield from self._timer(part.timer, known.scan)
            yield from self._below(known, part, above, back)

    def _signal(self, known: Justified, part: Signal, above: tuple[str, ...], back: int) -> Iterator[Reason]:
        about = self._about(part.name, known.scan)
        rule = rule_of(self.history, self.wording, part.name, about.value)
        sure = part in known.follows or rule.rank in STANDING
        said = rule.say(about) if sure else None
        if said is None:
            if rule.below(about) or not sure:
                yield from self._below(known, part, above, back)
            return
        below = self._below(known, part, (*above, part.name), back) if rule.below(about) else []
        timer = list(self._timer(part.name, known.scan)) if rule is PLAINLY else []
        yield self._reason(about, said, rule.rank, (*timer, *below))

    def _compare(
        self, known: Justified, node: nodes.Compare, above: tuple[str, ...], back: int
    ) -> Iterator[Reason]:
        now = self.history.moment(known.scan)
        said = told(self.history, self.wording, now, node)
        if said is None:
            yield from self._below(known, node, above, back)
            return
        if not said[0]:
            return
        if isinstance(node.left, nodes.Read) and self._role(node.left.name) is Role.HELD_TIME:
            self.staying.add(known.scan)
        for side in (node.left, node.right):
            self._mute(known, side)
        below = self._below(known, node, above, back)
        yield Reason(*said, "", bool(now.value(node)), now.time_ms, None, 2, tuple(below))

    def _mute(self, known: Justified, side: Node) -> None:
        """An operand that the sentence of its comparison has named already."""
        if isinstance(side, nodes.Read | nodes.Previous):
            for part in (side, *known.parts(side)):
                if not isinstance(part, Signal):
                    self.told.add((key(part), known.scan))

    def _fact(self, fact: Fact, scan: int, above: tuple[str, ...], back: int) -> Iterator[Reason]:
        if fact.kind == INPUT:
            yield self._input(fact.name, scan)
        elif fact.kind == CLOCK:
            yield from self._clocked(fact.name, scan, back)
        elif fact.kind != ELAPSED:
            yield from self._previous(fact.name, scan, above, back)

    def _input(self, name: str, scan: int) -> Reason:
        about = self._about(name, scan)
        title = self.wording.titles.get(about.identity)
        word = value_word(self.wording, self.history, name, about.value)
        text = f"{name} is {word} {about.when}"
        if title is None:
            return self._reason(about, (text, about.mark), 5)
        holds = "holds" if about.value else "does not hold"
        return self._reason(about, (f"permissive '{title[0]}' {holds}: {text}", title[1]), 7)

    def _previous(self, name: str, scan: int, above: tuple[str, ...], back: int) -> Iterator[Reason]:
        value = self.history.moment(scan).last[name]
        if self._covered(name, value, scan, above):
            return
        row = self.history.rows_by_name.get(name)
        if not scan:
            yield self._at_power_up(name, value)
        elif row is None:
            yield self._input(name, scan - 1)
        elif isinstance(row.node, nodes.Since):
            yield from self._event(row.node.event, scan, back)
        else:
            yield from self._remembered(name, scan, name in above, back)

    def _covered(self, name: str, value: Value, scan: int, above: tuple[str, ...]) -> bool:
        """Whether another sentence says enough: that of what it serves, or that it is wanted so besides."""
        rule = rule_of(self.history, self.wording, name, value)
        if name not in above:
            return rule is not PLAINLY and rule.rank >= 5
        return name in self.wording.valves and scan not in self.staying

    def _remembered(self, name: str, scan: int, again: bool, back: int) -> Iterator[Reason]:
        """Back to the scan at which the value came about."""
        came = self.history.since(name, scan - 1)
        about = self._about(name, scan - 1)
        rule = rule_of(self.history, self.wording, name, about.value)
        said = rule.say(about)
        if (name, came) in self.told or said is None:
            return
        if not came and self.history.moment(0).last[name] == about.value:
            yield self._at_power_up(name, about.value)
            return
        below = (
            self.reasons(name, came, back + 1) if back < STEPS_BACK and self._tells_back(name, back) else ()
        )
        yield self._reason(about, (self._became(about, said[0], again, back), said[1]), rule.rank, below)

    def _tells_back(self, name: str, back: int) -> bool:
        """A stage is followed back one step: to how it was entered, not through all the stages before."""
        return not (back and name in self.wording.states)

    def _became(self, about: About, sentence: str, again: bool, back: int) -> str:
        if not again or (back and about.name in self.wording.states):
            return f"{'before, ' if again else ''}{sentence.replace(' is ', ' was ', 1)}"
        word = value_word(self.wording, self.history, about.name, about.value)
        at = moment(int(self.history.times_ms[about.since]))
        if about.name in self.wording.states:
            return f"{about.identity.circuit} came into {word} at {at}"
        if about.identity in self.wording.titles:
            kind, title = about.identity.role.value, self.wording.titles[about.identity][0]
            return f"{kind} '{title}' was {'latched' if about.value else 'released'} at {at}"
        return f"{name_word(self.history, about.name)} became {word} at {at}"

    def _at_power_up(self, name: str, value: Value) -> Reason:
        word = value_word(self.wording, self.history, name, value)
        row = self.history.rows_by_name.get(name) or self.history.inputs[name]
        state = self.wording.state(name, int(value)) if name in self.wording.states else None
        mark = state[1] if state else row.mark
        if identity(self.history, name).role is Role.LET_GO:
            text = f"the call for {identity(self.history, name).of} has not been let go"
            return Reason(f"{text} since power-up", mark, name, value, 0, None)
        circuit = identity(self.history, name).circuit
        text = f"{circuit} begins in {word}" if state else f"{name_word(self.history, name)} begins as {word}"
        return Reason(f"{text} at power-up", mark, name, value, 0, None)

    def _event(self, event: str, scan: int, back: int) -> Iterator[Reason]:
        found = self.history.last_true(event, scan)
        if found is None or (event, found) in self.told or self.wording.plan_made:
            return
        about = self._about(event, found)
        at = moment(int(self.history.times_ms[found]))
        below = self.reasons(event, found, back + 1) if back < STEPS_BACK else ()
        yield self._reason(about, (f"{event} was last true at {at}", about.mark), 5, below)

    def _clocked(self, name: str, scan: int, back: int) -> Iterator[Reason]:
        """Back to the scan at which a timer began to count, or stopped."""
        row = self.history.rows_by_name[name]
        if not scan or not isinstance(row.node, nodes.TIMERS):
            return
        began = self.history.clock_since(name, scan - 1)
        if back >= STEPS_BACK or (name, began) in self.told:
            return
        self.told.add((name, began))
        known = justify(self.history, row.node.part, began)
        yield from self._part(known, row.node.part, (name,), back + 1)

    def _timer(self, name: str, scan: int) -> Iterator[Reason]:
        row = self.history.rows_by_name.get(name)
        if row is None or not isinstance(row.node, nodes.TIMERS):
            return
        now = self.history.moment(scan)
        counted, preset = now.clocks[name].et, max(0, int(now.value(row.node.preset)))
        yield Reason(
            f"its timer stands at {time(counted)} of {time(preset)}",
            row.mark,
            name,
            counted,
            now.time_ms,
            None,
        )

    def _role(self, name: str) -> Role:
        return identity(self.history, name).role

    def _about(self, name: str, scan: int) -> About:
        now = self.history.moment(scan)
        return About(self.history, self.wording, now, name, now.values[name], self.history.since(name, scan))

    def _reason(
        self, about: About, said: tuple[str, Mark], rank: int, below: tuple[Reason, ...] = ()
    ) -> Reason:
        since_ms = int(self.history.times_ms[about.since])
        ordered = tuple(sorted(below, key=lambda reason: reason.rank))
        return Reason(*said, about.name, about.value, about.moment.time_ms, since_ms, rank, ordered)


def tidy(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    """Each sentence once, at its least depth, unless something new stands below it; what can be is joined."""
    first: dict[str, int] = {}
    level = [(reason, 0) for reason in reasons]
    for reason, depth in level:  # the list grows while it is read: level by level
        first.setdefault(reason.sentence, id(reason))
        level.extend((inner, depth + 1) for inner in reason.reasons)

    def kept(rows: tuple[Reason, ...]) -> Iterator[Reason]:
        for row in rows:
            below = tuple(kept(row.reasons))
            if below or first[row.sentence] == id(row):
                yield _joined(evolve(row, reasons=below))

    return tuple(kept(reasons))


def _joined(reason: Reason) -> Reason:
    if reason.rank in JOINED and len(reason.reasons) == 1 and not reason.reasons[0].reasons:
        inner = reason.reasons[0]
        return evolve(reason, sentence=f"{reason.sentence}: {inner.sentence}", mark=inner.mark, reasons=())
    return reason
