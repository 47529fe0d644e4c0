"""Which goals no scan reaches, and the lemmas that say so.

Rule of this file: a scan that speaks against a goal or a lemma begins in a state that some lemma excludes, or
its end counts as seen. So what is left is kept by every scan. Nothing is believed here: cvc5 is asked about
the outcome. The order of everything is fixed and effort is counted in units of the solver's work.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from steadfall.prove.lemmas.candidates import excluding, work
from steadfall.prove.lemmas.joint import Bits, Joint, places
from steadfall.prove.lemmas.lemma import Lemma, State
from steadfall.prove.lemmas.seen import Seen
from steadfall.prove.lemmas.telling import Against, Telling
from steadfall.prove.solver import terms
from steadfall.prove.solver.budget import Budget
from steadfall.prove.solver.question import Answer, Solver

TRIES = 3
AT_ONCE = 3  # from so many times on that a bound was too narrow, it is widened by more and more constants
DEAR = 5_000  # units of a look through what was seen, from which one more question of the solver is cheaper
Asked = str | Lemma  # a goal, or a lemma that a scan may break


class EnoughError(Exception):
    """The effort for a goal is spent."""


class Settling:
    """The search for lemmas over the goals of a circuit."""

    def __init__(self, joint: Joint, see: Callable[[], Seen]) -> None:
        self.joint, self._see = joint, see
        self._seen: Seen | None = None
        self.space = joint.model.space
        self.solver = Solver(self.space)
        self.solver.add(
            joint.one(joint.model.allowed), joint.one(joint.model.ends), *map(joint.one, joint.always)
        )
        self.after = [self.space.symbol(f"{slot.key}'", slot.initial) for slot in joint.slots]
        self.telling = Telling(joint, self.after, self.solver)
        self.defined: Bits = 0
        self.lemmas: dict[Lemma, float] = {}  # those that stand, and their cost
        self.parts: dict[Lemma, Bits] = {}
        self.on: dict[Lemma, object] = {}  # those that are used, and their symbol
        self.names: dict[int, Lemma] = {}  # by the number of its symbol
        self.rests: dict[Asked, frozenset[Lemma]] = {}  # what each that is settled rests on
        self.asked: dict[Asked, tuple[object, Bits]] = {}
        self.kept: dict[Asked, Any] = {}  # that a scan does not speak against it
        self.broken: dict[tuple[object, ...], int] = {}
        self.again: list[Asked] = []
        self.checks = 0
        self.widely = False  # a lemma is held to by lemmas about parts that do not tell, too

    @property
    def seen(self) -> Seen:
        """What samples show; runs are made when it is first asked for."""
        if self._seen is None:
            self._seen = self._see()
        return self._seen

    def run(
        self, goals: Sequence[str], effort: int, tries: int = TRIES, budget: Budget | None = None
    ) -> None:
        """Settles what it can; what fails is tried again with the lemmas that others rest on, and widely.

        `effort`: for each goal and try; `budget`: for all of it, where it has an end.
        """
        whole = budget or Budget(effort * len(goals) * tries)
        left = list(goals)
        for number in range(tries):
            self.widely = bool(number)
            for goal in left:
                try:
                    self._settle(goal, whole.part(effort))
                except EnoughError:
                    continue
            again = [goal for goal in goals if self.needed(goal) is None]
            if not again or self._seen is None or again == left != list(goals):
                break
            left = again
            self._begin_again(self._seen)

    def begin(self, rows: Iterable[Lemma]) -> None:
        """Uses some lemmas from the start."""
        for row in rows:
            self._use(row, 0.0)

    def needed(self, goal: str) -> list[Lemma] | None:
        """The lemmas on which a goal rests; None where one of them is not kept."""
        found, todo = dict[Asked, None](), deque[Asked]([goal])
        while todo:
            one = todo.popleft()
            if one in found:
                continue
            if one not in self.rests:
                return None
            found[one] = None
            todo += self.rests[one]
        return [one for one in self.lemmas if one in found]

    def _begin_again(self, seen: Seen) -> None:
        """Forgets all but the lemmas that settled goals rest on."""
        kept = {one for goal in self.rests if isinstance(goal, str) for one in self.needed(goal) or ()}
        seen.forget()
        self.broken.clear()
        self.lemmas = {one: cost for one, cost in self.lemmas.items() if one in kept}
        self.on = {one: symbol for one, symbol in self.on.items() if one in kept}
        self.rests = {
            one: rests
            for one, rests in self.rests.items()
            if one in kept or (isinstance(one, str) and self.needed(one) is not None)
        }

    def _settle(self, goal: str, budget: Budget) -> None:
        todo = deque[Asked]([goal])
        while todo:
            one = todo.popleft()
            if one in self.rests or not (isinstance(one, str) or one in self.lemmas):
                continue
            if self._holds(one, budget):
                todo.extendleft(
                    row for row in self.lemmas if row in self.rests[one] and row not in self.rests
                )
            elif isinstance(one, str):
                break
            todo.extendleft(self.again)
            self.again = []

    def _holds(self, asked: Asked, budget: Budget) -> bool:
        """Whether no scan speaks against it; else where that scan ends counts as seen."""
        symbol, parts = self._literal(asked)
        while True:
            self.checks += 1
            used = (literal for row, literal in self.on.items() if not self.parts[row] & ~parts)
            answer = self.solver.ask(budget, symbol, *used)
            if answer is Answer.NO:
                core = self.solver.core()
                self.rests[asked] = frozenset(self.names[one] for one in core if one in self.names)
                return True
            if answer is Answer.OPEN:
                raise EnoughError
            scan = self.telling.scan(parts)
            if not self._excluded(asked, scan, budget):
                break
        if isinstance(asked, Lemma):
            self._see_end(asked, scan)
        return False

    def _excluded(self, asked: Asked, scan: Against, budget: Budget) -> bool:
        """Uses the plainest lemma that excludes where a scan begins; False where none does.

        Where a look through what was seen is dear, one through the parts that tell comes first. What has been
        seen so in these parts may well come: it speaks against a lemma, but for one that is tried `widely`.
        """
        begin, parts = scan.begin, scan.parts
        if self._known(begin, parts):
            return True
        if work(self.seen.view(parts)) >= DEAR:
            few = self.telling.parts(scan, self.kept[asked], budget)
            if few != parts:
                if self._known(begin, few) or self._found(begin, few, budget):
                    return True
                if isinstance(asked, Lemma) and not self.widely:
                    return False
        return self._found(begin, parts, budget)

    def _known(self, state: State, parts: Bits) -> bool:
        """Uses the plainest of the lemmas that were found before."""
        unused = (row for row in self.lemmas if row not in self.on and not self.parts[row] & ~parts)
        breaking = [(self.lemmas[row], row) for row in unused if row.breaks(state)]
        if not breaking:
            return False
        cost, row = min(breaking, key=lambda pair: pair[0])
        self._use(row, cost)
        return True

    def _found(self, state: State, parts: Bits, budget: Budget) -> bool:
        """Uses the plainest of all lemmas about some parts. To look for one is paid for too."""
        view = self.seen.view(parts)
        budget.spend(work(view))
        if (best := excluding(view, state)) is None:
            return False
        cost, row = best
        self._use(row, cost)
        return True

    def _use(self, row: Lemma, cost: float) -> None:
        self.lemmas[row] = cost
        self.parts[row] = row.parts
        self.on[row] = symbol = self.space.boolean(f"lemma!{len(self.names)}")
        self.names[symbol.get_id()] = row
        self.solver.add(terms.Implies(symbol, row.term(self.space, self.joint.pre)))

    def _see_end(self, asked: Lemma, scan: Against) -> None:
        """The end of a scan that breaks a lemma counts as seen; what it breaks is given up."""
        parts, end = scan.parts, scan.end
        gone = {row for row in self.lemmas if not self.parts[row] & ~parts and row.breaks(end)}
        key = (asked.facts, asked.left, asked.right)
        self.broken[key] = times = self.broken.get(key, 0) + 1
        steps = 1 << times - AT_ONCE if times >= AT_ONCE else 0
        self.seen.add(end, parts, {(asked.left, asked.right): steps})
        for row in gone:
            del self.lemmas[row]
            self.on.pop(row, None)
            self.rests.pop(row, None)
        for one in [one for one, rests in self.rests.items() if rests & gone]:
            del self.rests[one]
            self.again.append(one)

    def _literal(self, asked: Asked) -> tuple[object, Bits]:
        """The symbol that asks for it, and the parts of the state that may matter."""
        if asked in self.asked:
            return self.asked[asked]
        joint, symbol = self.joint, self.space.boolean(f"asked!{len(self.asked)}")
        if isinstance(asked, str):
            term = joint.one(joint.model.values[asked])
            parts = joint.cone(joint.parts(term))
        else:
            parts = joint.cone(asked.parts)
            self.solver.add(
                *(self.after[place] == joint.post[place] for place in places(parts & ~self.defined))
            )
            self.defined |= parts
            term = terms.Not(asked.term(self.space, self.after))
        self.kept[asked] = terms.Not(term)
        self.solver.add(terms.Implies(symbol, term))
        self.asked[asked] = symbol, parts
        return self.asked[asked]
