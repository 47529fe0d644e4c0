"""The whole answer: the plan's own numbers, the best that was found, what binds it, what more would buy."""

from __future__ import annotations

from attrs import evolve

from steadfall.dose.aim import best, chosen, front, keeping
from steadfall.dose.buys import buys
from steadfall.dose.fight import fight
from steadfall.dose.found import Buy, Doses, Fight, rooms
from steadfall.dose.hunt import Hands, Hunt, Judged, Wish
from steadfall.dose.possible import possible
from steadfall.dose.sure import Sureness, gentlest, tighten
from steadfall.dose.variables import variables
from steadfall.interrupt import ending
from steadfall.plan.model import Plan
from steadfall.predict.outcome.spread import Survey
from steadfall.predict.outcome.verdict import Verdict
from steadfall.predict.survey.surveyed import surveyed
from steadfall.progress import Cancelled
from steadfall.workers import staying

ROUNDS = 6  # how many finds are judged on the fine grids, and how often bounds are tightened for the odds
PARTLY = 6  # every further search has this part of the tries
SURELY = 3  # and this part where it looks for more margin


class _Answer:
    """What is known so far; every step may be the last."""

    def __init__(self, hunt: Hunt, sureness: Sureness) -> None:
        self.hunt, self.sureness = hunt, sureness
        self.given: Judged | None = None
        self.found: Judged | None = None
        self.buys: list[Buy] = []
        self.fight: Fight | None = None
        self.more = max(8, hunt.wish.tries // PARTLY)

    def go(self) -> None:
        """Everything, in the order in which a person wants it."""
        hunt = self.hunt
        self.given = hunt.own()
        hunt.look([self.given.point], hunt.wish.tries)
        self.judge()
        if self.found is None:
            self.fight = fight(hunt, self.more)
            self.judge()
        if self.found is None:
            return
        self.fight = None
        self.survey()
        for one in buys(hunt, self.found, self.more):
            self.buys.append(one)

    def judge(self) -> None:
        """The best that the fine grids confirm."""
        hunt = self.hunt
        for _ in range(ROUNDS):
            point = hunt.best()
            if point is None or point in hunt.judged:
                break
            judged = hunt.judge(point)
            if judged.result.verdict is not Verdict.KEPT:
                hunt.refuse(judged)
                hunt.look([hunt.best() or point], self.more)
        point = chosen(hunt.confirmed(), hunt.wish.aim)
        self.found = None if point is None else hunt.judged[point]

    def survey(self) -> None:
        """The odds of what was found; where more were asked for, stricter bounds until they are met."""
        hunt, surest = self.hunt, None
        many = Survey(self.sureness.runs, hunt.wish.seed, hunt.hands.crew)
        for _ in range(ROUNDS):
            if self.found is None:
                break
            found = evolve(self.found, result=surveyed(self.found.result, many, hunt.hands.progress))
            surest = self.found = found if surest is None else max((surest, found), key=_share)
            if self.sureness.met(found):
                self.found = found
                return
            tighten(hunt, found, max(self.more, hunt.wish.tries // SURELY))
            self.judge()
        self.found = surest

    def told(self, *, stopped: bool) -> Doses:
        """What is known."""
        hunt, found = self.hunt, self.found
        kept = keeping(hunt.known, hunt.asked())
        return Doses(
            plan=hunt.plan,
            aim=hunt.wish.aim,
            variables=hunt.variables,
            tried=len(hunt.known),
            stopped=stopped,
            given=self.given,
            found=found,
            rough=None if found else best(hunt.known, hunt.wish.aim, hunt.asked()),
            trade=front({**kept, **hunt.confirmed()}),
            rooms=rooms(found) if found else (),
            buys=tuple(self.buys),
            fight=self.fight,
            wanted=self.sureness.wanted,
            gentlest=gentlest(hunt),
        )


def _share(judged: Judged) -> float:
    """The odds of keeping every limit."""
    bands = judged.result.bands
    return bands.limits.share if bands else 0.0


def dose(plan: Plan, wish: Wish, hands: Hands, sureness: Sureness) -> Doses:
    """Search; after Ctrl-C what is known by then.

    Raises PlanError or AskError where there is nothing to be searched.
    """
    known = variables(plan)
    possible(plan, known)
    answer = _Answer(Hunt(plan, known, wish, hands), sureness)
    try:
        with staying(hands.crew) as crew:
            answer.hunt.hands = evolve(hands, crew=crew)
            answer.go()
    except (KeyboardInterrupt, Cancelled):
        ending()
        return answer.told(stopped=True)
    return answer.told(stopped=False)
