"""Judges a recording: does the plan's logic explain it, what was exercised, what could not be judged.

Rule of this file: a recording alone decides. Judged anew it gives the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve, frozen

from steadfall.bench.judge.exact import Exact, exact
from steadfall.bench.judge.explain.follow import Departed, Follower, TooManyWorldsError, Window
from steadfall.bench.judge.explain.scan import TooManyWaysError
from steadfall.bench.judge.explain.way import Exact as Clocked
from steadfall.bench.judge.explain.world import World, shape
from steadfall.bench.judge.filters import courses
from steadfall.bench.judge.finding import Finding, Said, Terms, in_words
from steadfall.bench.judge.moves import transitions
from steadfall.bench.judge.pace import Pace, pace, shortest_ms
from steadfall.bench.judge.requirements import required
from steadfall.bench.judge.retained import as_read, retained
from steadfall.bench.judge.strides import Strides
from steadfall.bench.judge.thin import thinned
from steadfall.bench.session.journal import Row, lives
from steadfall.logic.network import Network
from steadfall.logic.nodes import Type
from steadfall.plan.meaning.names import holding
from steadfall.plan.model import Plan
from steadfall.progress import SILENT, Progress
from steadfall.quantities import moment
from steadfall.roles import Role
from steadfall.source import AskError


@frozen(eq=False)
class Judged:
    """All that is said of a session."""

    conforms: Finding
    covered: tuple[Finding, ...]  # stages, calls, climbs, permissives, trips
    pace: Pace
    judged_ms: float  # up to where
    required: tuple[Finding, ...] = ()  # the plan's requirements, on what was recorded
    exact: Exact | None = None  # by a recorder in the controller, where it has one

    @property
    def good(self) -> bool:
        """Whether the controller did what the plan says and requires, as far as it was exercised."""
        return self.conforms.said is Said.PASS and not any(one.said is Said.FAIL for one in self.more)

    @property
    def more(self) -> tuple[Finding, ...]:
        """What is said beside the first verdict: by the recorder, and of the requirements."""
        return (*((self.exact.conforms, self.exact.pace) if self.exact else ()), *self.required)


BLIND = (
    "a cycle of {cycle} ms cannot see all of what the plan does in {shortest} ms; it must be at most half "
    "of that"
)
LATE = "{late} of {cycles} cycles came late, more than one in twenty; nothing is judged"
NOTHING = "nothing was written, so that nobody knows what the controller was shown"
SHORT = "the recording has no two cycles"
SLOWER = 3, 10  # times the longest scan
SLOW = "it would be explained if scans had taken up to {longest:.0f} ms, but the plan says {promised:.0f} ms"
MANY = "up to here the plan's logic explains it; here it may be in too many states to look at them all"


def judge(
    plan: Plan,
    network: Network,
    rows: Sequence[Row],
    terms: Terms,
    progress: Progress = SILENT,
    *,
    requirements: bool = True,
) -> Judged:
    """Judge a recording by the plan's logic, and by its requirements where they are asked for.

    Raises Cancelled when it was stopped.
    """
    kept, shortest = pace(rows), shortest_ms(plan)
    why = ""
    if len(rows) < 2:
        why = SHORT
    elif not any(row.writes for row in rows):
        why = NOTHING
    elif not kept.held:
        why = LATE.format(late=kept.late, cycles=kept.cycles)
    elif shortest is not None and 2 * terms.cycle_ms > shortest:
        why = BLIND.format(cycle=terms.cycle_ms, shortest=shortest)
    if why:
        return Judged(Finding("the plan's logic", Said.NOT_JUDGED, why), (), kept, 0.0)
    thin = thinned(network, rows)
    found = _Judge(plan, network, terms, rows).through(thin, kept, progress)
    asked = required(plan, rows, terms, progress) if requirements else ()
    asked = (*asked, *retained(plan, network, rows))
    found = evolve(found, required=asked, exact=exact(plan, network, rows, terms))
    if found.conforms.said is not Said.FAIL:
        return found
    for longest in (terms.longest_scan * factor for factor in SLOWER):
        slower = _Judge(plan, network, evolve(terms, longest_scan=longest), rows).through(
            thin, kept, progress
        )
        if slower.conforms.said is Said.PASS:
            why = f"{found.conforms.why}; {SLOW.format(promised=terms.longest_scan, longest=longest)}"
            return evolve(found, conforms=evolve(found.conforms, why=why))
    return found


class _Judge:
    """The logic that is followed, and the outputs that are looked at."""

    def __init__(self, plan: Plan, network: Network, terms: Terms, rows: Sequence[Row]) -> None:
        self.plan, self.network, self.terms, self.rows = plan, network, terms, rows
        self.courses = iter([courses(plan, network, life, terms) for life in lives(rows)])
        stages = network.named(Role.STAGE)
        self.follower = Follower(
            shape(network),
            Clocked(terms.shortest_scan, terms.longest_scan),
            (*network.outputs, *stages, *network.named(Role.COUNTER)),
            terms.link_ms,
        )

    def through(self, rows: Sequence[Row], kept: Pace, progress: Progress) -> Judged:
        """Row by row, to the first that nothing explains."""
        seen: dict[int, dict[str, Any]] = {}  # by the request
        conforms, last = Finding("the plan's logic", Said.PASS, ALL.format(cycles=len(rows))), 0.0
        alive: list[World] = []
        lives: list[World] = []  # one for each time that it had power
        strides, until = Strides(rows), 0
        try:
            for at, row in enumerate(rows):
                if at < until:
                    continue
                for number, part in enumerate(row.reads):
                    seen.setdefault(number, {}).update(part.values)
                if at and (until := strides.over(at, self._is_calm(rows, seen))):
                    alive, last = self.follower.worlds, rows[until - 1].reads[-1].end
                    continue
                if at == 0 or row.power:
                    lives += alive[:1]
                    self._begin(row)
                    continue
                departed = self._read(row, seen)
                if departed:
                    conforms = self._failed(departed)
                    break
                for part in row.writes:
                    self.follower.write(Window(part.begin, part.end), part.values)
                alive, last = self.follower.worlds, row.reads[-1].end
                progress.step(at, len(rows), "judging")
        except (TooManyWorldsError, TooManyWaysError):
            conforms = Finding("the plan's logic", Said.NOT_JUDGED, MANY, last)
        except AskError as error:
            conforms = Finding("the plan's logic", Said.NOT_JUDGED, str(error))
        return Judged(conforms, tuple(self._covered([*lives, *alive[:1]])), kept, last)

    def _is_calm(self, rows: Sequence[Row], seen: Mapping[int, Mapping[str, Any]]) -> Callable[[int], bool]:
        """Whether up to a row nothing else than this could be seen; it is there then."""
        shown = {name: value for values in seen.values() for name, value in values.items()}

        def calm(at: int) -> bool:
            last = rows[at].reads[-1]
            return self.follower.calm(Window(last.begin, last.end), shown)

        return calm

    def _read(self, row: Row, seen: Mapping[int, Mapping[str, Any]]) -> Departed | None:
        """The first request of a cycle whose answer nothing explains."""
        parts = enumerate(row.reads)
        found = (self.follower.read(Window(part.begin, part.end), seen[number]) for number, part in parts)
        return next((one for one in found if one), None)

    def _begin(self, row: Row) -> None:
        """At rest, or with the first scan after power has come."""
        given = {name: value for part in row.writes for name, value in part.values.items()}
        first, smoothed = self.terms.first_of(row.power), next(self.courses)
        if row.power and first and any(one.retained for one in self.network.assignments):
            self.follower.cut(Window(*row.power), given, Window(*first), smoothed)
        else:
            kept = {} if first else as_read(self.network, row)
            self.follower.begin(given, first and Window(*first), retained=kept, courses=smoothed)

    def _failed(self, departed: Departed) -> Finding:
        rows = self.network.rows
        parts = [f"'{name}' is {in_words(value)}" for name, value in departed.outputs.items()]
        what = " and ".join(parts) or "what was read"
        ends = f"{moment(departed.seen.begin)} and {moment(departed.seen.end)}"
        text = f"{what} between {ends}; no scans that the plan allows give that"
        if departed.right:
            begin, end = moment(departed.right.begin), moment(departed.right.end)
            text += f"; with these inputs it would be so between {begin} and {end}"
        line = next((rows[name].mark.line for name in departed.outputs), 0)
        return Finding("the plan's logic", Said.FAIL, text, departed.seen.begin, line)

    def _covered(self, lives: Sequence[World]) -> list[Finding]:
        """What the explanation went through: one of those that are left."""
        came: dict[str, set[Any]] = {}
        moved: dict[str, set[tuple[Any, Any]]] = {}
        for life in lives:
            world: World | None = life
            while world is not None:
                before = world.before
                for name, value in world.values.items():
                    came.setdefault(name, set()).add(value)
                    moved.setdefault(name, set()).add((before.values[name] if before else value, value))
                world = before
        found = []
        for row in self.network.assignments:
            if row.role is Role.STAGE:
                found += list(self._stages(row.identity.circuit, came.get(row.name, set())))
                found += transitions(self.plan, row.identity.circuit, moved.get(row.name, set()))
            elif row.role in LOOKED_AT and row.type is Type.BOOL:
                said = Said.PASS if True in came.get(row.name, set()) else Said.NOT_EXERCISED
                found.append(Finding(row.name, said, "", line=row.mark.line))
        return [*found, *self._permissives(came)]

    def _permissives(self, came: Mapping[str, set[Any]]) -> Iterator[Finding]:
        """Whether each was lost: by a signal of its own, or by the only input that it needs."""
        written = [part.values for row in self.rows for part in row.writes]
        for one in self.plan.permissives:
            name = holding(self.plan, one)
            shown = came.get(name) or {values[name] for values in written if name in values}
            said = Said.PASS if False in shown else Said.NOT_EXERCISED
            yield Finding(f"{name} lost", said, "", line=one.at.own.line)

    def _stages(self, circuit: str, came: set[Any]) -> list[Finding]:
        kind = self.plan.type_of(circuit)
        names = [(one.name, one.at.own.line) for one in kind.stages]
        names += [(one.name, one.at.own.line) for one in kind.finish]
        return [
            Finding(f"{circuit} in {name}", Said.PASS if at in came else Said.NOT_EXERCISED, "", line=line)
            for at, (name, line) in enumerate(names, 1)
        ]


ALL = "all {cycles} cycles are explained"
LOOKED_AT = {Role.CALL, Role.STARTED, Role.ALLOWS, Role.CLIMB, Role.TRIP}
