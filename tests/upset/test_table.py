"""The table of single failures: what is tried, when, from saved states, judged on two grids."""

import re
from collections.abc import Collection, Sequence

import pytest
from attrs import evolve

from steadfall.plan.read.whole import read_file, read_text
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import PlantRun, coarse, predict
from steadfall.progress import SILENT, Progress
from steadfall.quantities import US
from steadfall.report.text.upset import upset_text
from steadfall.report.words.upset import folded, heading
from steadfall.roles import Role
from steadfall.upset.alike import stand_ins
from steadfall.upset.failures import WITHOUT_POWER_MS, Failure, Guide, failures
from steadfall.upset.judge import Beside, broken, harm, near, refined
from steadfall.upset.moments import moments
from steadfall.upset.outcome import Harm, Outcome, outcome
from steadfall.upset.shape import shape
from steadfall.upset.table import Table, shown, table
from steadfall.upset.work import Task, Trial, usual
from steadfall.workers import Packed, Processes
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8")
PLAN = read_text(TEXT)
PRESS = read_file(EXAMPLES["press"])
EVERY = {one.name: one for one in failures(PLAN)}
NOTHING_LEFT, NOTHING_ELSE = "reset_button bounces", "upper.pressure at its lower end"
CHOSEN = ("upper.flood stuck shut", "works_air lost", "power lost and back")


@pytest.fixture(scope="module")
def nominal() -> Prediction:
    return predict(PLAN, settings=coarse(PLAN))


@pytest.fixture(scope="module")
def made() -> Table:
    return table(PLAN, [EVERY[name] for name in CHOSEN], Processes(), SILENT)


def test_every_thing_of_the_plan_fails() -> None:
    of = {one.of for one in failures(PRESS)}
    assert {"works_water", "return_water", "works_air", "call", "power", "upper"} <= of
    assert {"upper.mist", "upper.flood", "upper.sweep", "upper.drain"} <= of
    assert {name for name in PRESS.inputs if not name.startswith("lower.")} <= of
    assert {one.guide for one in failures(PRESS)} == set(Guide)


def test_alike_circuits_fail_once() -> None:
    assert stand_ins(PRESS) == {"upper": ("lower",)}
    assert not [one for one in failures(PRESS) if one.of.startswith("lower")]
    body = evolve(PRESS.bodies["lower_platen"], mass=500.0)
    other = evolve(PRESS, bodies={**PRESS.bodies, "lower_platen": body})
    assert stand_ins(other) == {"upper": (), "lower": ()}


@pytest.mark.parametrize("section", ["alarms", "trips", "limits", "inputs"])
def test_what_only_one_of_two_has_makes_them_different(section: str) -> None:
    """Who notices, and what is broken, is not the same for both: the failures of each are tried."""
    of_lower = {
        "alarms": evolve(PRESS, alarms=tuple(one for one in PRESS.alarms if "lower" not in one.name)),
        "trips": evolve(PRESS, trips=tuple(one for one in PRESS.trips if "lower" not in one.name)),
        "limits": evolve(PRESS, limits=tuple(one for one in PRESS.limits if one.of != "lower.wall_shock")),
        "inputs": evolve(PRESS, inputs={k: v for k, v in PRESS.inputs.items() if k != "lower.water_flows"}),
    }
    found = of_lower[section]
    assert getattr(found, section) != getattr(PRESS, section)
    assert stand_ins(found) == {"upper": (), "lower": ()}
    assert "lower.mist leaking" in {one.name for one in failures(found)}


def test_moments_are_the_start_each_stage_each_change_and_the_finish(nominal: Prediction) -> None:
    assert [when.words for when in moments(nominal, "upper")] == [
        "at the start",
        "in dosing",
        "as full begins",
        "in full",
        "as blow_out begins",
        "in blow_out",
    ]


def test_the_finish_after_power_up_does_not_stand_for_the_one_at_the_end(nominal: Prediction) -> None:
    """Until a main valve has opened a circuit blows out, as the controller begins."""
    first, *rest = nominal.moments
    stage = next(one for one in rest if (one.circuit, one.stage) == ("upper", "dosing"))
    waits = [evolve(stage, stage="blow_out", time_ms=0), evolve(stage, time_ms=3_000)]
    late = evolve(nominal, moments=(first, *waits, *(one for one in rest if one.time_ms > 3_000)))
    assert [when.words for when in moments(late, "upper")] == [
        "at the start",
        "in blow_out after power-up",
        "as dosing begins",
        "in dosing",
        "as full begins",
        "in full",
        "as blow_out begins",
        "in blow_out",
    ]
    assert moments(late, "upper")[-2].time_ms > 60_000


def tried(names: Sequence[str], nominal: Prediction) -> dict[tuple[str, str], Outcome]:
    trials = tuple(Trial(EVERY[name], moments(nominal, "upper")) for name in names)
    task = Task(PLAN, Packed.of(usual(PLAN, coarse(PLAN), trials)), trials)
    return {(one.failure, one.when.words): one.outcome for one in task.work()}


def test_a_run_from_a_saved_state_is_the_run_from_the_start(nominal: Prediction) -> None:
    """To the bit; and so is a run that is spared where nothing has changed by the next moment."""
    found = tried((*CHOSEN, NOTHING_LEFT, NOTHING_ELSE), nominal)
    for name, words in (
        ("works_air lost", "in full"),
        ("power lost and back", "in dosing"),
        ("upper.flood stuck shut", "at the start"),
        (NOTHING_LEFT, "in dosing"),
        (NOTHING_ELSE, "as full begins"),
    ):
        whole = shown(PLAN, EVERY[name], words, coarse(PLAN), SILENT)
        when = next(one for one in moments(nominal, "upper") if one.words == words)
        assert outcome(whole, nominal, when.time_ms) == found[name, words]


@pytest.mark.parametrize(
    ("name", "whole"), [(NOTHING_LEFT, 1), (NOTHING_ELSE, 1), ("power lost and back", 6)]
)
def test_what_leaves_nothing_but_itself_is_not_run_to_the_end(
    name: str, whole: int, nominal: Prediction, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A button that has bounced is forgotten; what a sensor shows stands in the logic for a scan or two."""
    trials = (Trial(EVERY[name], moments(nominal, "upper")),)
    task = Task(PLAN, Packed.of(usual(PLAN, coarse(PLAN), trials)), trials)
    ran: list[PlantRun] = []
    through = PlantRun.through

    def counted(run: PlantRun, progress: Progress, only: Collection[str]) -> Prediction:
        ran.append(run)
        return through(run, progress, only)

    monkeypatch.setattr(PlantRun, "through", counted)
    assert len(task.work()) == 6
    assert len(ran) == whole


def test_failures_tried_apart_are_those_tried_together(nominal: Prediction) -> None:
    apart = {key: value for name in CHOSEN[:2] for key, value in tried([name], nominal).items()}
    assert apart == tried(CHOSEN[:2], nominal)


def test_what_changes_nothing_until_the_next_moment_is_run_once(made: Table) -> None:
    """A valve that is not used in the doses may stick shut in them: one run with that at the next change."""
    same = {row.when.words for row in made.rows if row.failure.name == CHOSEN[0] and row.same}
    assert {"at the start", "in dosing"} <= same
    assert "in full" not in same


def test_air_that_fails_while_no_air_is_asked_for_is_run_once(made: Table) -> None:
    same = {row.when.words for row in made.rows if row.failure.name == "works_air lost" and row.same}
    assert "in full" in same
    assert "at the start" not in same


def test_what_the_plan_accepts_is_told_with_its_reason(made: Table) -> None:
    """It is no longer what makes a table not good; accepted without need is said, as far as it was tried."""
    unseen = [row for row in made.rows if row.unseen and row.harm is not Harm.GOAL]
    air = [row for row in unseen if row.failure.name == "works_air lost"]
    assert air
    assert all("the fitter hears it" in row.accepted and not row.open for row in air)
    assert made.good is (len(air) == len(unseen))
    assert evolve(air[0], accepted="").open
    assert made.needless == ()
    row = evolve(made.rows[0], failure=EVERY["works_water high"], harm=Harm.NONE)
    assert evolve(made, rows=(row,)).needless == ("works_water high",)


@pytest.mark.parametrize("needs", ["air_pressure_ok", "air_pressure_ok and not reset_button"])
def test_a_permissive_that_is_lost_is_what_notices(needs: str) -> None:
    """One that needs a single input has no signal of its own: the input says whether it holds."""
    plan = read_text(TEXT.replace("needs: air_pressure_ok,", f"needs: {needs},"))
    broken_off = next(one for one in failures(plan) if one.name == "air_pressure_ok stuck off")
    made = table(plan, [broken_off], Processes(), SILENT)
    assert {row.harm for row in made.rows} >= {Harm.GOAL}
    for row in made.rows:
        notice = row.outcome.notice
        assert notice
        assert (notice.role, notice.title) == (Role.PERMISSIVE, "sweep air")
        assert 0 <= notice.time_ms - row.when.time_ms <= 100  # the next scan of the grid


def test_what_is_broken_where_nothing_fails_is_said_first(made: Table) -> None:
    fall, *others = made.nominal.figures
    assert (fall.kind, fall.margin < 0.0) == (Harm.LIMIT, True)
    assert f"ALREADY WHERE NOTHING FAILS it breaks: {fall.about}." in heading(made)
    kept = evolve(made, nominal=evolve(made.nominal, figures=tuple(others)))
    assert "ALREADY" not in heading(kept)


def test_lost_air_is_noticed_by_nobody_here(made: Table) -> None:
    """The switch that watches the air is set by hand in this plan: nothing moves it."""
    rows = [row for row in made.rows if row.failure.name == "works_air lost"]
    assert rows
    assert all(row.outcome.notice is None for row in rows)


def test_the_worst_stand_first_and_no_limit_is_broken_on_the_coarse_grid_alone(made: Table) -> None:
    assert [row.harm for row in made.rows] == sorted(row.harm for row in made.rows)
    coarse_only = {row.harm for row in made.rows if not row.fine}
    assert Harm.NONE in coarse_only
    assert coarse_only <= {Harm.WATER, Harm.GOAL, Harm.NONE}


def test_the_text_names_every_failure_and_says_what_it_is_for(made: Table) -> None:
    text = " ".join(upset_text(made).split())
    assert all(name in text for name in CHOSEN)
    assert "does not replace one" in text
    assert "more than 9 % of its time, and more than 0.2 kg of water left" in text
    assert sum(1 + len(one.also) for one in folded(made)) == len(made.rows)


def test_a_table_is_read_in_us_units(made: Table) -> None:
    read = evolve(made, units=US)
    shown = " ".join(upset_text(read).split())
    assert "more than 0.4 lb of water left" in shown
    (limit,) = PLAN.limits  # what a plan says is read as it is written
    assert re.findall(r"\d (?:barg|kg|°C|MPa|K)\b", shown.replace(limit.text, "")) == []
    pairs = list(zip(folded(made), folded(read), strict=True))
    assert all(
        a.pressure.endswith(b.pressure.partition(" psig")[2]) and "psig" in b.pressure for a, b in pairs
    )
    assert [a.noticed for a, _ in pairs] == [b.noticed for _, b in pairs]


def test_ctrl_c_before_the_first_row_leaves_a_table_that_says_so(made: Table) -> None:
    none = evolve(made, rows=(), tried=0, stopped=True)
    assert "STOPPED BEFORE THE END: 0 of 18 rows are known." in upset_text(none)
    assert shape(none)["rows"] == []
    assert not none.good


def test_the_data_have_every_row(made: Table) -> None:
    rows = shape(made)["rows"]
    assert len(rows) == made.tried == made.wanted
    assert len({row["name"] for row in rows}) == len(rows)


class Ends(Progress):
    """Wants no more after the first failure."""

    def __init__(self) -> None:
        self.steps = 0

    def tell(self, done: float, of: float | None, words: str) -> None:  # noqa: ARG002
        self.steps += words == "failures tried"

    def cancelled(self) -> bool:
        return self.steps >= 1


def test_what_is_known_when_it_is_stopped_is_given() -> None:
    found = table(PLAN, [EVERY["power lost and back"], EVERY["upper.sweep stuck shut"]], Processes(), Ends())
    assert found.stopped
    assert not found.good
    assert found.tried < found.wanted
    assert "STOPPED BEFORE THE END" in upset_text(found)
    nothing = upset_text(evolve(found, rows=(), tried=0))
    assert f"STOPPED BEFORE THE END: 0 of {found.wanted} rows are known." in nothing
    assert "unnoticed" not in nothing


def with_first(of: Outcome, factor: float) -> Outcome:
    """With its first limit so many times as high."""
    first, *rest = of.figures
    value = factor * (first.value or 0.0)
    return evolve(of, figures=(evolve(first, value=value, margin=(first.bound or 0.0) - value), *rest))


def test_a_coarse_figure_like_the_nominal_one_is_moved_and_another_is_not(nominal: Prediction) -> None:
    own = outcome(nominal, None, 0)
    beside = Beside(own, with_first(own, 0.8))
    assert refined(own, beside).figures[0] == beside.fine.figures[0]
    far = with_first(own, 1.5)
    assert refined(far, beside).figures[0] == far.figures[0]


def test_a_figure_near_its_bound_or_beyond_it_is_run_again_and_the_nominal_one_is_not(
    nominal: Prediction,
) -> None:
    first = outcome(nominal, None, 0).figures[0]
    bound = first.bound or 0.0
    own, clear, close, beyond = (
        with_first(outcome(nominal, None, 0), share * bound / (first.value or 1.0))
        for share in (0.4, 0.93, 0.95, 1.05)
    )
    beside = Beside(own, own)
    assert [near(one, beside) for one in (own, clear, close, beyond)] == [False, False, True, True]
    assert [one.about for one in broken(beyond, own)] == [first.about]
    assert harm(beyond, broken(beyond, own), own) is Harm.LIMIT
    assert not broken(beyond, beyond)  # a bound that is broken without a failure too


def test_goals_missed_and_water_left_are_told_from_the_coarse_grid_where_they_are_clear(
    nominal: Prediction,
) -> None:
    own = outcome(nominal, None, 0)
    beside = Beside(own, own)
    goal = next(one for one in own.figures if one.kind is Harm.GOAL)
    others = tuple(one for one in own.figures if one is not goal)

    def late(by: float) -> Outcome:
        bound = goal.bound or 0.0
        return evolve(own, figures=(*others, evolve(goal, value=(1 + by) * bound, margin=-by * bound)))

    given = (-0.1, -0.04, -0.02, 0.04, 0.08, 0.1, 0.5)
    assert [near(late(by), beside) for by in given] == [False, False, True, True, True, False, False]
    wetter = [evolve(own, water_left=own.water_left + more) for more in (0.02, 0.03, 0.19, 0.21)]
    assert [near(one, beside) for one in wetter] == [False, True, True, False]


def test_no_run_ends_without_power(nominal: Prediction) -> None:
    """Nobody calls any more, every stage reads idle: but the controller will come back and blow out."""
    whole = shown(PLAN, EVERY["power lost and back"], "in blow_out", coarse(PLAN), SILENT)
    lost = next(when.time_ms for when in moments(nominal, "upper") if when.words == "in blow_out")
    last = [one for one in whole.moments if one.circuit == "upper"][-2:]
    assert [one.stage for one in last] == ["blow_out", "idle"]
    assert last[0].time_ms == lost + WITHOUT_POWER_MS


def test_a_failure_begins_when_it_is_asked_to() -> None:
    one: Failure = EVERY["power lost and back"]
    assert [step.time_ms for step in one.at(5_000)] == [5_000, 15_000]
