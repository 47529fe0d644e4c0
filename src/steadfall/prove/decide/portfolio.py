"""What excludes a goal: on little of the network first, with little work first, until one engine knows.

Rule of this file: every engine does a little work on every part of the network before one does much on any;
most of what can be found is found soon, by one of them. A part on which there is a way to the goal is not
tried again. What is asked, in which order and how hard follows from the question alone, never from a clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from attrs import define, evolve, field, frozen

from steadfall.prove.decide.abstraction import Level, levels
from steadfall.prove.decide.ask import EFFORT, ONE_STEP, Ask
from steadfall.prove.decide.before.cache import MEMORY, Answer, single_scans
from steadfall.prove.decide.before.remembered import keep, recalled
from steadfall.prove.decide.certificate import Certificate, text_of
from steadfall.prove.decide.ways import far_on, onward_from_runs, shortest
from steadfall.prove.engines import bounded, onward, spacer
from steadfall.prove.requirements.watch import Required
from steadfall.prove.requirements.whole import Watched
from steadfall.prove.runs import far
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.system.canonical import Canonical, Question
from steadfall.prove.system.merged import same_parts
from steadfall.runs.run import Run

ROUNDS = (1 / 5, 2 / 5, 1 / 2)  # of the effort for a requirement: for one try of an engine
SWITCHED_OFF = "no engine is switched on that could tell"


@frozen
class Shown:
    """A way to a goal that needs not be short."""

    run: Run
    engine: str


@frozen(eq=False)
class _Part:
    """A part of the network, as it is asked about."""

    level: Level
    asked: Canonical

    @property
    def last(self) -> bool:
        """Nothing that the controller makes is free in it: a way through it is one of the controller."""
        return self.level.name == "all" or not self.level.freed


@define(eq=False)
class _Parts:
    """The parts of the network on which a goal is tried, opened one after the other."""

    waiting: Iterator[_Part]
    opened: list[_Part] = field(factory=list)
    given_up: list[_Part] = field(factory=list)

    def of(self, number: int) -> Iterator[_Part]:
        """Those of a round; in the first the whole is left out as long as a part of it may do."""
        for part in self.each():
            if part.last and number == 0 and len(self.given_up) < len(self.opened) - 1:
                return
            if part not in self.given_up:
                yield part

    def each(self) -> Iterator[_Part]:
        """All of them, least first."""
        yield from tuple(self.opened)
        for part in self.waiting:
            self.opened.append(part)
            yield part
            if part.last:
                self.waiting = iter(())


def settle(
    watched: Watched, required: Required, goal: str, ask: Ask, budget: Budget
) -> tuple[str, Certificate] | Run | Shown | str:
    """A certificate that a goal is never reached, with its engine; or a way to it; or why neither is
    known.
    """
    parts = _Parts(
        _Part(level, watched.canonical(level.network, goal)) for level in levels(watched, required, goal)
    )
    if (known := _found_before(parts, ask)) is not None:
        return known
    soon = ask.engines & {ONE_STEP}
    for part in parts.each() if soon else ():
        found = _settled(part, 0, evolve(ask, engines=soon), budget)
        if found is not None and found.certificate is not None:
            return _kept(part, found, ask)
    for number in range(len(ROUNDS)):
        for part in parts.of(number):
            found = None if budget.empty else _settled(part, number, ask, budget)
            if found is not None and found.certificate is not None:
                return _kept(part, found, ask)
            if found is not None:
                parts.given_up.append(part)
        if number == 0 and far.NAME in ask.engines:
            run = far_on(watched, goal, far.STEPS * max(1, ask.effort // EFFORT))
            if run is not None:
                return Shown(run, far.NAME)
        if goal == required.bad and onward.NAME in ask.engines and number + 1 < len(ROUNDS):
            run = onward_from_runs(watched, goal, budget.part(ROUNDS[number] * ask.effort))
            if run is not None:
                return Shown(run, onward.NAME)
        if any(part.last for part in parts.given_up):
            break
    return _reached(watched, parts.opened[-1].level, goal, ask, budget)


def _found_before(parts: _Parts, ask: Ask) -> tuple[str, Certificate] | None:
    """What an earlier run of the program has found of one of the parts, in as much work."""
    for part in parts.each() if ask.store else ():
        found = recalled(part.asked.question, ask)
        if found is not None and found.certificate is not None:
            return _of(part, found.engine, found.certificate)
    return None


def _kept(part: _Part, found: Answer, ask: Ask) -> tuple[str, Certificate]:
    """What is found of a part, kept for later runs of the program."""
    assert found.certificate is not None  # noqa: S101 - asked by callers
    keep(part.asked.question, ask, found)
    return _of(part, found.engine, found.certificate)


def _of(part: _Part, engine: str, kept: Certificate) -> tuple[str, Certificate]:
    """What is found of a part in the names of its requirement."""
    return engine, Certificate(part.asked.put_back(kept.invariant), part.level.freed)


def _reached(watched: Watched, level: Level, goal: str, ask: Ask, budget: Budget) -> Run | str:
    """A way to the goal on the whole that it depends on, or why none is known."""
    if bounded.NAME not in ask.engines:
        return SWITCHED_OFF
    way, why = shortest(watched, watched.searched(level.network), goal, budget)
    return way if way is not None else why


def _settled(part: _Part, number: int, ask: Ask, budget: Budget) -> Answer | None:
    """What one of the engines knows of a part in a round: a certificate, or that there is a way; else
    None.
    """
    question, most = part.asked.question, int(ROUNDS[number] * ask.effort)
    names = tuple(name for name in TRIES if name in ask.engines)
    answer = MEMORY.answer((question, names, most), lambda: _tried(question, names, most))
    budget.spend(answer.spent)
    return answer if answer.settled else None


def _tried(question: Question, names: Sequence[str], most: int) -> Answer:
    """What the engines say, one after the other, each after so much work at most."""
    spent = 0
    for name in names:
        budget = Budget(most)
        found = TRIES[name](question, budget, ONE_STEP in names)
        spent += most - budget.left
        if found.settled:
            return evolve(found, spent=spent)
    return Answer(spent=spent)


def _one_step(question: Question, budget: Budget, _looked: bool) -> Answer:
    """In any state at all; else in any in which what always goes together does. One step is a single scan:
    every run is one of these, and to say when a longer one may be takes as long as the scan.
    """
    part = single_scans(question)
    bad = part.values[question.goal]
    if spacer.never_in_a_step(part, bad, budget):
        return Answer(ONE_STEP, Certificate("true"))
    same = [(part.pre[key], part.pre[to]) for key, to in same_parts(part, watching=part.cut is None).items()]
    if same and spacer.never_in_a_step(part, terms.simplify(terms.substitute(bad, *same)), budget):
        return Answer(ONE_STEP, Certificate(text_of(terms.And([one == to for one, to in same]))))
    return Answer()


def _fixed_point(question: Question, budget: Budget, looked: bool) -> Answer:
    part = MEMORY.fresh(question)
    found = spacer.invariant(part, part.values[question.goal], budget, looked=looked)
    if found is None or found is False:
        return Answer(reached=found is False)
    return Answer(spacer.NAME, Certificate(text_of(found)))


TRIES: Mapping[str, Callable[[Question, Budget, bool], Answer]] = {
    ONE_STEP: _one_step,
    spacer.NAME: _fixed_point,
}
