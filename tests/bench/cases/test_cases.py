"""The cases of a plan: what they try, and what sessions say together; power is cut and comes back."""

from __future__ import annotations

import pytest

from steadfall.app.bench import Benched, How, People, rehearse
from steadfall.app.cases import chosen, together, try_cases
from steadfall.bench.cases.script import Script, answer
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Finding, Said
from steadfall.bench.judge.moves import transitions
from steadfall.plan.meaning.trust import climb_of
from steadfall.plan.model.condition import Not
from steadfall.source import AskError
from tests.bench.made import plan_of


def test_every_thing_of_a_plan_has_its_case() -> None:
    assert [one.name for one in cases(plan_of("small")).cases] == [
        "every stage", "call 1", "permissive sweep air", "trip steam back-pressure", "input full_call",
        "input air_pressure_ok", "input reset_button", "input upper.outlet_temperature",
        "input lower.outlet_temperature", "input upper.pressure", "power",
        "power after steam back-pressure",
    ]  # fmt: skip


def test_what_no_input_can_do_is_said() -> None:
    assert cases(plan_of("settings")).left_out == (
        "scenario 'long doses': it needs the panel, or cuts the power",
    )


def test_a_sensor_shows_what_a_climb_waits_for_and_a_person_takes_a_permissive_away() -> None:
    plan = plan_of("small")
    people = Script(plan).people
    climb = climb_of(plan, "upper", plan.type_of("upper").stages[0])
    assert climb is not None
    assert answer(climb, plan, people, "upper") == {"upper.outlet_temperature": 273.15}
    assert answer(Not(plan.permissives[0].needs), plan, people) == {"air_pressure_ok": 0.0}


def test_ways_that_were_not_gone_are_named() -> None:
    found = {one.about: one for one in transitions(plan_of("small"), "upper", {(0, 1), (1, 3)})}
    assert [name for name, one in found.items() if one.said is Said.PASS] == [
        "upper from idle to dosing", "upper from dosing to blow_out",
    ]  # fmt: skip
    assert set(found) >= {
        "upper from dosing to full",
        "upper from full to blow_out",
        "upper from blow_out to idle",
    }
    assert found["upper from dosing to full"].line == 24


def test_after_power_it_begins_anew_and_the_call_must_be_let_go() -> None:
    plan = plan_of("small")
    script = Script(plan)
    script.wait(500)
    script.call(plan.calls[0])
    script.wait(1_000)
    script.power = script.now
    script.wait(1_500)
    made = rehearse(plan, How(case=script.case("power", "", 1)))
    assert made.good, made.judged.conforms
    row = next(row for row in made.recording.rows if row.power)
    assert row.reads[0].values.keys() >= {"upper.stage", "upper.mist"}
    said = {one.about: one.said for one in made.judged.required}
    assert said["upper.mist.shortest_open"] is Said.PASS
    stages = [part.values.get("upper.stage") for one in made.recording.rows for part in one.reads]
    assert [stage for stage in stages if stage is not None] == [3, 1, 3]  # blow_out at power-up, each time


def test_what_one_session_exercised_is_exercised_and_what_one_broke_is_broken() -> None:
    def one(said: Said) -> tuple[Finding, ...]:
        return (Finding("it", said, ""),)

    assert together([one(Said.NOT_EXERCISED), one(Said.PASS)]) == one(Said.PASS)
    assert together([one(Said.PASS), one(Said.FAIL)]) == one(Said.FAIL)


def test_a_session_is_held_for_each_case_that_is_asked_for() -> None:
    plan, asked = plan_of("small"), list[How]()
    made = rehearse(plan, How(lasting_s=0.1))

    def hold(how: How) -> Benched:
        asked.append(how)
        return made

    tried = try_cases(plan, "input", How(), hold)
    assert [how.case and how.case.name for how in asked] == [one.name for one in tried.cases]
    assert len(tried.sessions) == 6
    with pytest.raises(AskError, match="there are 'every stage'"):
        chosen(plan, "nothing like it")


def test_nobody_is_there_to_switch_it_off() -> None:
    with pytest.raises(AskError, match="somebody must"):
        People().ask("switch it off")
