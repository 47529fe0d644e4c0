"""Requirements on a recording: whether there is any sequence of scans in which one was kept.

Rule of this file: outputs and stages are those that were read; what was not read is what the plan's logic
makes of them and of the inputs. A requirement has failed only where no sequence of scans keeps it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import Enum, auto
from itertools import pairwise

from attrs import evolve, field, frozen

from steadfall.bench.judge.explain.amount import Amount
from steadfall.bench.judge.explain.decided import Decided
from steadfall.bench.judge.explain.follow import Departed, Follower, TooManyWorldsError, Window
from steadfall.bench.judge.explain.scan import TooManyWaysError
from steadfall.bench.judge.explain.smoothed import Course as Smooth
from steadfall.bench.judge.explain.way import Exact
from steadfall.bench.judge.explain.world import shape
from steadfall.bench.judge.filters import courses
from steadfall.bench.judge.finding import Finding, Said, Terms
from steadfall.bench.judge.retained import as_read
from steadfall.bench.judge.thin import thinned
from steadfall.bench.session.journal import Row, Span, lives
from steadfall.logic.cone import cone
from steadfall.logic.filters import filters_of
from steadfall.logic.forms import any_of
from steadfall.logic.network import ZERO, Assignment, Input, Network
from steadfall.logic.nodes import Previous, Read, Since, Type, Value
from steadfall.plan.meaning.names import energised
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Progress
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import watched
from steadfall.quantities import moment
from steadfall.roles import Role, observer
from steadfall.source import AskError

BROKEN, APPLIED, SHOWN = "broken", "applied", "shown"
WORST = (Said.FAIL, Said.PASS, Said.NOT_JUDGED, Said.NOT_EXERCISED)  # of parts: what is said of all
NOT_KEPT = "{sentence} No scans that the plan allows keep it between {begin} and {end}."
PERHAPS = "{sentence} Whether it applied hangs on moments that nobody saw."
MANY = "{sentence} It may have been in too many states to look at them all."
UNREAD = "{sentence} Nobody reads what a filter makes; what the controller makes of it is judged."


class Came(Enum):
    """How something became known."""

    WRITTEN = auto()  # inputs
    CHANGED = auto()  # outputs: they are others than they were when they were read before
    READ = auto()  # outputs: they are so


@frozen
class Event:
    """What became known at once, and when that was."""

    came: Came
    window: Window
    values: Mapping[str, Value]


@frozen(eq=False)
class Course:
    """A recording as events, after the values that it begins with."""

    first: Mapping[str, Value]
    events: tuple[Event, ...]
    until: Window  # the last reading
    retained: Mapping[str, Amount] = field(factory=dict)  # what the controller has kept without power
    courses: Mapping[str, Smooth] = field(factory=dict)  # what its filters may have made of readings


def course(rows: Sequence[Row], turned: Mapping[str, str]) -> Course:
    """Of a recording; `turned`: the valve that an output holds shut, by the output.

    What several requests of a cycle have read may have changed in one scan, so all of it may have come before
    the first of them was answered.
    """
    first: dict[str, Value] = {}
    for part in (*rows[0].reads, *rows[0].writes):
        first |= _with_valves(part.values, turned)
    events: list[Event] = []
    for before, row in pairwise(rows):
        news = [(last, part) for last, part in zip(before.reads, row.reads, strict=True) if part.values]
        events += (_event(Came.CHANGED, last.begin, part, turned) for last, part in news)
        events += (_event(Came.READ, part.begin, part, turned) for _, part in news)
        events += (_event(Came.WRITTEN, part.begin, part, {}) for part in row.writes if part.values)
    return Course(first, tuple(events), Window(rows[-1].reads[-1].begin, rows[-1].reads[-1].end))


def _event(came: Came, begin: float, part: Span, turned: Mapping[str, str]) -> Event:
    return Event(came, Window(begin, part.end), _with_valves(part.values, turned))


def _with_valves(values: Mapping[str, Value], turned: Mapping[str, str]) -> dict[str, Value]:
    """The same with the commands of valves of which the controller shows only what holds them shut."""
    return {**values, **{turned[name]: not value for name, value in values.items() if name in turned}}


def required(
    plan: Plan, rows: Sequence[Row], terms: Terms, progress: Progress = SILENT
) -> tuple[Finding, ...]:
    """What is said of every requirement of a plan. Raises Cancelled when it was stopped."""
    of = watched(plan)
    parts = lives(thinned(of.network, rows))
    shown = {name for row in rows[:1] for part in row.reads for name in part.values}
    turned = {made.name: valve for valve, (made, _) in energised(plan).items() if valve not in shown}
    was = [(course(life, turned), evolve(terms, first_scan=terms.first_of(life[0].power))) for life in parts]
    kept = [as_read(of.network, life[0]) if life[0].power or not terms.first_scan else {} for life in parts]
    smoothed = [courses(plan, of.network, life, terms) for life in lives(rows)]
    was = [
        (evolve(one, retained=held, courses=own), its)
        for (one, its), held, own in zip(was, kept, smoothed, strict=True)
    ]
    whole = _with_latches(of.network, of.required)
    found = []
    for at, one in enumerate(of.required):
        progress.step(at, len(of.required), "watching requirements")
        said = [_Watching(whole, one, life, own).finding() for life, own in was]
        found.append(min(said, key=lambda finding: WORST.index(finding.said)))
    return tuple(found)


class _Watching:
    """One requirement, and what of a recording concerns it."""

    def __init__(self, network: Network, one: Required, was: Course, terms: Terms) -> None:
        self.one, self.terms = one, terms
        self.broken, self.applied = (row.name for row in _latches(one))
        read = was.first.keys() - network.given.keys()
        part = cone(network, (self.broken, self.applied), freed=lambda name: name in read)
        made = [row for row in part.inputs if row.name in read and row.type is not Type.REAL]
        self.shown = {row.name: f"{row.name}:{SHOWN}" for row in made}
        echoes = (_echo(row, self.shown[row.name]) for row in made)
        self.network = evolve(part, assignments=(*part.assignments, *echoes))
        smoothed = {row.name for row in filters_of(part)}
        asked = (node for row in part.assignments if row.name not in smoothed for node in row.naming)
        self.unread = any(isinstance(node, Previous) and node.name in smoothed for node in asked)
        given = {row.name for row in self.network.inputs}
        self.choices = [row.name for row in self.network.inputs if row.identity.role is Role.CHOICE]
        events = (
            evolve(event, values={name: value for name, value in event.values.items() if name in given})
            for event in was.events
        )
        first = {name: value for name, value in was.first.items() if name in given}
        mine = (event for event in events if event.values)
        told = mine if self.choices else _telling(self.network, first, mine)
        self.was = Course(first, tuple(told), was.until, was.retained, was.courses)

    def finding(self) -> Finding:
        """What is said of it."""
        sentence, line = self.one.sentence, self.one.marks[0].line
        if self.unread:
            return Finding(self.one.name, Said.NOT_JUDGED, UNREAD.format(sentence=sentence), line=line)
        try:
            return self._said(list(self._chosen()) if self.choices else [self._through(self.was)])
        except (TooManyWorldsError, TooManyWaysError):
            return Finding(self.one.name, Said.NOT_JUDGED, MANY.format(sentence=sentence), line=line)
        except AskError as error:
            return Finding(self.one.name, Said.NOT_JUDGED, f"{sentence} {error}", line=line)

    def _said(self, said: Sequence[Departed | Said]) -> Finding:
        """Of all stretches of time that were gone through."""
        sentence, line = self.one.sentence, self.one.marks[0].line
        failed = next((one for one in said if isinstance(one, Departed)), None)
        if failed:
            begin, end = failed.seen.begin, failed.seen.end
            why = NOT_KEPT.format(sentence=sentence, begin=moment(begin), end=moment(end))
            return Finding(self.one.name, Said.FAIL, why, begin, line)
        if Said.PASS in said:
            return Finding(self.one.name, Said.PASS, sentence, line=line)
        if Said.NOT_JUDGED in said:
            return Finding(self.one.name, Said.NOT_JUDGED, PERHAPS.format(sentence=sentence), line=line)
        return Finding(self.one.name, Said.NOT_EXERCISED, sentence, line=line)

    def _through(self, was: Course, *, begun: bool = True) -> Departed | Said:
        """To the end of some events, or to where nothing keeps it."""
        terms = self.terms
        exact = Exact(terms.shortest_scan, terms.longest_scan)
        looked_at = (self.broken, *self.shown.values())
        follower = Follower(shape(self.network), exact, looked_at, terms.link_ms)
        first = terms.first_scan if begun else None
        forgotten = self.broken, self.applied
        follower.begin(was.first, first and Window(*first), forgotten, was.retained, was.courses)
        seen: dict[str, Value] = {self.broken: False}
        for event in was.events:
            shown = {self.shown[name]: value for name, value in event.values.items() if name in self.shown}
            if event.came is Came.READ:
                seen |= shown
                if departed := follower.read(event.window, seen):
                    return departed
                continue
            follower.write(event.window, event.values)
            seen = {name: value for name, value in seen.items() if name not in shown}
        if departed := follower.read(was.until, seen):
            return departed
        applied = [bool(world.values[self.applied]) for world in follower.worlds]
        return Said.PASS if all(applied) else Said.NOT_JUDGED if any(applied) else Said.NOT_EXERCISED

    def _chosen(self) -> Iterator[Departed | Said]:
        """A stretch of time that begins with an opening: one after the other, each on its own.

        Before it the observer is at rest, and after its time it is so again.
        """
        valve, events = self.one.shown[0], self.was.events
        nodes = [row.node for row in self.network.assignments]
        lasting = max((node.limit_ms for node in nodes if isinstance(node, Since)), default=0)
        shut = {**self.was.first, valve: False}
        for at, event in enumerate(events):
            if event.came is not Came.CHANGED or not event.values.get(valve):
                continue
            ends = event.window.end + lasting + self.terms.cycle_ms + 2 * self.terms.longest_scan
            some = [one for one in events[at:] if one.window.end <= ends]
            chosen = (
                evolve(one, values={**one.values, **dict.fromkeys(self.choices, place == 0)})
                for place, one in enumerate(some)
            )
            was = Course(shut, tuple(chosen), some[-1].window, self.was.retained, self.was.courses)
            yield self._through(was, begun=False)


def _telling(network: Network, first: Mapping[str, Value], events: Iterable[Event]) -> Iterator[Event]:
    """Without what was written and tells this requirement nothing; it comes with the next that does."""
    decided, inputs, pending = Decided(network), dict(first), dict[str, Value]()
    last = decided.of(inputs)
    for event in events:
        if event.came is Came.READ:
            yield event
            continue
        inputs |= event.values
        now, pending = decided.of(inputs), {**pending, **event.values}
        if event.came is Came.CHANGED or now != last:
            yield evolve(event, values=pending)
            last, pending = now, {}


def _with_latches(network: Network, required: Sequence[Required]) -> Network:
    """A network that remembers of each requirement whether it was broken, and whether it applied."""
    latches = {row.name: row for one in required for row in _latches(one)}
    return evolve(network, assignments=(*network.assignments, *latches.values()))


def _latches(one: Required) -> tuple[Assignment, Assignment]:
    applied = one.met or one.exercised
    return _latched(f"{one.name}:{BROKEN}", one.bad), _latched(f"{one.name}:{APPLIED}", applied)


def _latched(name: str, signal: str) -> Assignment:
    """Whether a signal has ever been on."""
    own = observer(name)
    node = any_of((Read(signal, Type.BOOL), Previous(name, Type.BOOL)))
    return Assignment(name, Type.BOOL, node, False, identity=own.identity)


def _echo(row: Input, name: str) -> Assignment:
    """An output as the last scan made it: what was read must have been made by one."""
    first = ZERO[row.type]
    return Assignment(name, row.type, Read(row.name, row.type), first, identity=observer(name).identity)
