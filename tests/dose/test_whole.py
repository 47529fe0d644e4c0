"""The search in a plan: against a grid that is tried whole, and what it says where doses are and are not."""

import math
import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest
from attrs import evolve

from steadfall.dose.aim import Aim, best, beyond, front, keeping, knee, overs
from steadfall.dose.bound import PAST, Bound, Sort, adverse, figures, past
from steadfall.dose.buys import alike, buys
from steadfall.dose.fight import told
from steadfall.dose.found import Doses
from steadfall.dose.hunt import Hands, Hunt, Judged, Wish, stricter
from steadfall.dose.hunt import told as seen
from steadfall.dose.sure import Sureness, gentlest, tighten
from steadfall.dose.variable import Point, own, put
from steadfall.dose.variables import variables
from steadfall.dose.whole import dose
from steadfall.dose.work import Outcome, Task, ground, work
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.predict.outcome.verdict import Verdict
from steadfall.predict.run import coarse, predict
from steadfall.progress import SILENT, Progress
from steadfall.quantities import US, clock
from steadfall.report.page.doses_figure import trade_figure
from steadfall.report.text.doses import doses_text
from steadfall.report.words.doses import JUDGED, UNJUDGED, fight_words, said, trade_head
from steadfall.workers import Processes
from tests.dose.conftest import TEXT

SHOCK = Bound(Sort.LIMIT, "a.wall_shock", "a.wall_shock, at most 40 K", 40.0, 40.0, "temperature_difference")
TIME = Bound(Sort.GOAL, "a", "a below 70 degC, within 10 min", 600.0, 600.0, "time")


def made(time: float, water: float, openings: int, shock: float = 30.0) -> Outcome:
    return Outcome(time, water, openings, {SHOCK: shock, TIME: min(time, 2000.0)})


def test_the_best_of_a_two_variable_plan_is_within_two_percent_of_the_whole_grid(plan: Plan) -> None:
    opened, shut = variables(plan)[:2]
    two = (evolve(opened, values=opened.values[::5]), evolve(shut, values=shut.values[::12]))
    every = tuple((i, j) for i in range(len(two[0].values)) for j in range(len(two[1].values)))
    shifts: dict[Bound, float] = {}
    whole = dict(work(Task(ground(plan, coarse(plan), two), every, shifts, stops=False)))
    true = best(whole, Aim.TIME, shifts)
    assert true is not None
    hunt = Hunt(plan, two, Wish(Aim.TIME, len(every) // 3), Hands(Processes(1), SILENT))
    hunt.look([(len(two[0].values) // 2, len(two[1].values) // 2)], hunt.wish.tries)
    assert len(hunt.known) <= len(every) // 3
    found = best(hunt.known, Aim.TIME, shifts)
    assert found is not None
    assert hunt.known[found].time <= 1.02 * whole[true].time
    for point, one in hunt.known.items():  # a run that goes on to its end says the same
        assert (beyond(one, shifts) > 0.0) == (beyond(whole[point], shifts) > 0.0)
        if one.broken is None:
            assert one == whole[point]


def test_a_point_is_the_prediction_of_the_plan_with_its_numbers(
    plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """But for the longer steps, which make it a little later."""
    known = variables(plan)
    point = tuple(
        min(place + 1, len(one.values) - 1) for place, one in zip(own(plan, known), known, strict=True)
    )
    settings = coarse(plan)
    task = Task(ground(plan, settings, known), (point,))
    [(_, near)] = work(task)
    monkeypatch.setattr("steadfall.dose.work.STRIDE_MS", 0)
    [(_, one)] = work(task)
    result = predict(put(plan, known, point), None, settings)
    assert one.time == max(goal.reached_ms or 0 for goal in result.goals) / 1000
    assert one.water == sum(use.water for use in result.circuits)
    assert one.openings == sum(use.openings for use in result.valves)
    assert one.figures == figures(result)
    assert near != one
    assert near.time == pytest.approx(one.time, rel=0.03)
    assert near.water == pytest.approx(one.water, rel=0.04)
    assert all(abs(near.figures[bound] - one.figures[bound]) < 0.05 * bound.size for bound in one.figures)


def test_a_run_ends_with_the_first_limit_that_it_breaks(plan: Plan) -> None:
    known = variables(plan)
    point = own(plan, known)
    [(_, whole)] = work(Task(ground(plan, coarse(plan), known), (point,)))
    [shock] = [one for one in whole.figures if one.sort is Sort.LIMIT]
    [(_, stopped)] = work(Task(ground(plan, coarse(plan), known), (point,), {shock: 1000.0}))
    assert stopped.broken == shock
    assert stopped.share < 0.5 < whole.share
    assert beyond(stopped, {}) > beyond(whole, {shock: 1000.0})


def test_what_was_found_is_confirmed_and_no_worse_than_the_plan(found: Doses) -> None:
    assert found.good
    assert found.given is not None
    assert found.found is not None
    assert found.found.result.verdict is Verdict.KEPT
    assert found.found.outcome.time < found.given.outcome.time
    assert found.changed
    assert found.found.result.bands is not None
    assert found.found.result.bands.runs == 10
    assert found.rooms == tuple(sorted(found.rooms, key=lambda one: one.left))
    assert all(one.left >= 0.0 for one in found.rooms)
    trade = list(found.trade.values())
    assert trade == sorted(trade, key=lambda one: (one.time, one.water, one.openings))


class Backwards:
    """Three hands that bring the last task first."""

    many = 3

    def each(self, work: Callable[[Any], Any], tasks: Sequence[Any]) -> Iterator[Any]:
        yield from map(work, reversed(tasks))


def test_what_is_found_does_not_hang_on_who_runs_it_and_in_which_order(found: Doses) -> None:
    tried = []
    for crew in (Processes(1), Backwards()):
        hunt = Hunt(found.plan, found.variables, Wish(Aim.BALANCE, 16), Hands(crew, SILENT))
        hunt.look([own(found.plan, found.variables)], 16)
        tried.append(hunt.known)
    assert tried[0] == tried[1]
    assert len(tried[0]) == 16


def test_where_none_keep_the_limits_it_says_which_and_by_how_much(fought: Doses) -> None:
    assert fought.found is None
    assert not fought.good
    assert fought.fight is not None
    [(bound, value)] = fought.fight.changes.items()
    assert bound.text.startswith("upper.wall, fall_rate")
    assert value > bound.value
    assert bound in fought.fight.broken
    assert fought.given is not None
    added = adverse(fought.given.result)[bound] - fought.given.outcome.figures[bound]
    whole = ground(fought.plan, coarse(fought.plan), fought.variables)
    [(_, one)] = work(Task(whole, (fought.fight.point,), stops=False))
    assert one.figures[bound] + added == pytest.approx(value)


class After(Progress):
    """Presses Ctrl-C after so many words."""

    def __init__(self, words: int) -> None:
        self.left = words

    def tell(self, done: float, of: float | None, words: str) -> None:  # noqa: ARG002
        self.left -= "tried" in words
        if self.left < 0:
            raise KeyboardInterrupt


def test_a_find_is_read_in_us_units(found: Doses) -> None:
    read = evolve(found, units=US)
    metric, shown = (" ".join(doses_text(one, None).split()) for one in (found, read))
    assert " lb water" in shown
    assert re.findall(r"\d (?:kg|barg)\b", shown) == []
    assert re.findall(r"\d kg\b", metric)
    assert trade_head(read)[1] == "Water lb"
    assert "water, lb" in trade_figure(read)


def test_ctrl_c_gives_the_best_so_far(found: Doses, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("steadfall.dose.whole.ending", lambda: None)
    stopped = dose(read_text(TEXT), Wish(Aim.TIME, 40), Hands(Processes(1), After(2)), Sureness(runs=20))
    assert stopped.stopped
    assert not stopped.good
    assert stopped.found is None
    assert stopped.rough in stopped.trade
    assert UNJUDGED in list(said(stopped))
    assert JUDGED in list(said(evolve(found, stopped=True)))
    assert 1 < stopped.tried <= 40


def test_the_aims_choose_the_best_of_theirs() -> None:
    known: dict[Point, Outcome] = {
        (0,): made(100.0, 50.0, 90),
        (1,): made(300.0, 10.0, 80),
        (2,): made(140.0, 20.0, 40),
        (3,): made(200.0, 40.0, 5),
        (4,): made(50.0, 1.0, 1, shock=41.0),
        (5,): made(math.inf, 1.0, 1),
        (6,): made(150.0, 60.0, 95),
    }
    assert [best(known, aim, {}) for aim in Aim] == [(0,), (1,), (3,), (2,)]
    assert list(front(keeping(known, {}))) == [(0,), (2,), (3,), (1,)]
    assert knee(keeping(known, {})) == (2,)
    assert best({}, Aim.TIME, {}) is None
    assert best(known, Aim.TIME, {SHOCK: -2.0}) == (4,)
    assert overs(known[(4,)], {})[SHOCK] == pytest.approx(1 / 40)


def test_shifts_never_grow_milder() -> None:
    first = stricter({}, made(100.0, 1.0, 1, shock=30.0), {SHOCK: 25.0})
    assert first == {SHOCK: -5.0}
    assert stricter(first, made(100.0, 1.0, 1, shock=30.0), {SHOCK: 20.0}) == first
    assert stricter(first, made(100.0, 1.0, 1, shock=30.0), {SHOCK: 33.0}) == {SHOCK: 3.0}
    assert stricter({}, made(100.0, 1.0, 1, shock=math.nan), {SHOCK: 33.0}) == {}


def test_a_goal_that_was_not_reached_says_nothing_of_the_grids() -> None:
    """Its figure is no time: a plan that misses its goal would else shift every later one to be in time."""
    late = evolve(made(math.inf, 1.0, 1), missed=frozenset({TIME}))
    assert stricter({}, late, {SHOCK: 30.0, TIME: 240.0}) == {SHOCK: 0.0}


def test_a_run_that_does_not_stop_says_when_a_goal_would_be_reached(plan: Plan) -> None:
    soon = read_text(TEXT.replace("within: 60 min", "within: 1 min"))
    on, point = ground(soon, coarse(soon), variables(soon)), own(plan, variables(plan))
    [(_, stopped)] = work(Task(on, (point,)))
    [(_, whole)] = work(Task(on, (point,), stops=False))
    [goal] = [one for one in whole.figures if one.sort is Sort.GOAL]
    assert stopped.missed == {goal}
    assert whole.missed == frozenset()
    assert whole.figures[goal] == whole.time > 100.0
    said_of = " ".join(fight_words(told({point: whole}, {})))
    assert f"within 1 min to become {clock(1000 * whole.time)}" in said_of
    assert "within 1 min (not reached)" in " ".join(fight_words(told({point: stopped}, {})))


def test_what_keeps_everything_is_known_though_the_runs_were_to_say_what_fights(plan: Plan) -> None:
    known = variables(plan)
    hunt = Hunt(plan, known, Wish(), Hands(Processes(1), SILENT))
    point = own(plan, known)
    [shock] = [
        one for one in hunt.run([point], {}, (0, 1), stops=False)[point].figures if one.sort is Sort.LIMIT
    ]
    assert hunt.best() == point
    hunt.known.clear()
    hunt.run([point], {shock: 1000.0}, (0, 1), stops=False)
    assert hunt.best() is None


def test_a_bound_of_another_circuit_moves_along(found: Doses) -> None:
    assert found.found is not None
    groups = alike(found.found)
    assert all(len({(one.dimension, one.value) for one in group}) == 1 for group in groups)


def test_what_more_tries_find_is_not_put_down_to_the_bound_that_was_moved(
    found: Doses, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the tries for a moved bound one is sooner and keeps it unmoved, another needs the move."""
    assert found.found is not None
    [bounds, *_] = alike(found.found)
    bound, own = bounds[0], found.found.outcome
    hunt = Hunt(found.plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    hunt.known = {found.found.point: own}
    kept = evolve(own, time=own.time - 10.0)
    broken = evolve(own, time=own.time - 30.0, figures={**own.figures, bound: bound.value + 0.01})

    def buy(tries: dict[Point, Outcome]) -> tuple[Outcome, Outcome | None]:
        monkeypatch.setattr(hunt, "look", lambda *_: hunt.known.update(tries))
        [one] = [one for one in buys(hunt, found.found, 1) if bound in one.bounds]  # type: ignore[arg-type]
        return one.before, one.after

    assert buy({}) == (own, None)
    assert buy({(0,): kept}) == (kept, None)
    assert buy({(1,): broken}) == (kept, broken)


def test_odds_below_those_asked_for_are_not_good(found: Doses) -> None:
    assert found.found is not None
    bands = found.found.result.bands
    assert bands is not None
    share = bands.limits.share
    assert evolve(found, wanted=share).good
    assert not evolve(found, wanted=share + 0.01).good
    assert not Sureness(wanted=share + 0.01).met(found.found)


def test_a_goal_that_is_late_in_some_runs_is_told_apart_from_the_odds(found: Doses) -> None:
    """The odds are those of limits and ratings: a goal is not what breaks most often."""
    assert found.found is not None
    bands = found.found.result.bands
    assert bands is not None
    kept = [evolve(one, kept=one.runs) for one in bands.each]
    late = evolve(kept[-1], kept=kept[-1].runs - 1)
    result = evolve(found.found.result, bands=evolve(bands, each=(*kept[:-1], late)))
    words = " ".join(said(evolve(found, found=evolve(found.found, result=result))))
    assert "Broken most often" not in words
    assert "Goals are not counted in that: upper platen below 70 degC" in words
    assert "is reached in 90 %" in words


def test_what_was_found_is_judged_as_the_plan_is_and_the_odds_stand_apart(found: Doses) -> None:
    assert found.found is not None
    bands = found.found.result.bands
    assert bands is not None
    result = evolve(found.found.result, bands=evolve(bands, good=evolve(bands.good, kept=0)))
    assert result.verdict is not Verdict.KEPT
    less = evolve(found, found=evolve(found.found, result=result)).as_json()
    assert (less["found"]["verdict"], less["found"]["good"]) == (Verdict.KEPT.value, True)


def test_where_the_odds_are_not_met_it_is_said_how_near_any_doses_came(found: Doses) -> None:
    """A run that was stopped at another limit does not count: it had not come to its worst."""
    assert found.found is not None
    limit, whole = next(iter(found.gentlest)), found.found.outcome
    hunt = Hunt(found.plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    hunt.shifts = {limit: 2.0}
    figures = (70.0, 60.0, 50.0)
    tries = [evolve(whole, figures={limit: one}) for one in figures[:2]]
    hunt.known = {(k,): one for k, one in enumerate(tries)}
    hunt.known[9,] = evolve(whole, figures={limit: figures[2]}, broken=limit, share=0.1)
    assert gentlest(hunt) == {limit: 62.0}
    bands = found.found.result.bands
    assert bands is not None
    one = evolve(bands.each[0], what=limit.text, kept=0)
    result = evolve(found.found.result, bands=evolve(bands, each=(one, *bands.each[1:])))
    unsure = evolve(found, found=evolve(found.found, result=result), wanted=1.01, gentlest=gentlest(hunt))
    assert "came below 62.0 K there" in " ".join(said(unsure))
    assert "there, run as planned" not in " ".join(said(evolve(unsure, wanted=None)))


def test_a_find_that_is_not_sure_is_refused_and_its_limits_tightened(found: Doses) -> None:
    assert found.found is not None
    hunt = Hunt(found.plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    hunt.known, hunt.judged = {found.found.point: found.found.outcome}, {found.found.point: found.found}
    hunt.shifts = stricter({}, found.found.outcome, adverse(found.found.result))
    before = dict(hunt.shifts)
    assert hunt.best() == found.found.point
    tighten(hunt, found.found, 0)
    assert hunt.best() is None
    assert hunt.shifts == before
    [(limit, margin)] = hunt.margins.items()
    bands = found.found.result.bands
    assert bands is not None
    assert bands.ranges[0].high is not None
    assert margin == pytest.approx(0.8 * (bands.ranges[0].high - adverse(found.found.result)[limit]))
    assert hunt.asked()[limit] == before[limit] + margin
    tighten(hunt, found.found, 0)
    assert hunt.margins[limit] == pytest.approx(1.2 * margin)  # of the find it was enough: the odds say no


def test_of_what_the_fine_grids_refuse_more_is_left_each_time(found: Doses, fought: Doses) -> None:
    assert fought.given is not None
    hunt = Hunt(found.plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    [broken] = [bound for bound, figure in adverse(fought.given.result).items() if bound.over(figure) > 0.0]
    asked = []
    for _ in range(3):
        hunt.refuse(fought.given)
        asked.append(hunt.asked())
    assert [set(one) for one in asked] == [{broken}] * 3
    assert [one[broken] / broken.size for one in asked] == pytest.approx([0.01, 0.02, 0.04])


def test_a_goal_missed_on_the_fine_grids_is_aimed_past(found: Doses) -> None:
    """Where the controller ends a cool-down, a goal that is not reached by then has no time to learn from."""
    assert found.found is not None
    plan = read_text(TEXT + "done: {when: upper.outlet_temperature < 50 degC}\n")
    [goal] = found.found.result.goals
    short = evolve(goal, reached_ms=None, nearest=goal.goal.value + 0.5, verdict=Verdict.BROKEN, finer=None)
    result = evolve(found.found.result, plan=plan, goals=(short,))
    assert past(result) == pytest.approx(-0.5)
    at, other = found.found.point, (0, *found.found.point[1:])
    known = {
        at: evolve(found.found.outcome, figures={**found.found.outcome.figures, PAST: 0.2}),
        other: evolve(found.found.outcome, figures={**found.found.outcome.figures, PAST: 1.3}),
    }
    hunt = Hunt(plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    hunt.known, hunt.shifts = known, stricter({}, known[at], seen(result))
    assert hunt.shifts[PAST] == pytest.approx(-0.7)
    hunt.refuse(Judged(at, known[at], result))
    assert hunt.spare == {PAST: pytest.approx(-0.5)}
    assert hunt.best() == other
    assert PAST not in told({at: known[at]}, hunt.asked()).broken


def test_a_confirmed_find_that_leaves_no_margin_is_none(found: Doses) -> None:
    assert found.found is not None
    hunt = Hunt(found.plan, found.variables, Wish(), Hands(Processes(1), SILENT))
    hunt.judged = {found.found.point: found.found}
    [room] = [one for one in found.rooms if one.bound.sort is Sort.LIMIT]
    left = room.bound.value - room.figure
    hunt.margins = {room.bound: 0.9 * left}
    assert hunt.best() == found.found.point
    hunt.margins = {room.bound: 1.1 * left}
    assert hunt.best() is None
