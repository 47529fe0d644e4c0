"""What a controller keeps while power is off, and what it must forget: a wrong one is found."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from steadfall.app.bench import Benched, How, rehearse
from steadfall.app.given.controller import controller
from steadfall.bench.cases.clearing import clearing
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.told import Told
from steadfall.bench.cases.whole import cases
from steadfall.bench.judge.finding import Said, Terms
from steadfall.bench.judge.whole import judge
from steadfall.bench.link.wires import signals
from steadfall.bench.session.journal import Row
from steadfall.bench.session.loop import Driven, Session
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.scan.program import fresh
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of

TRIP, START = "trip_steam_back_pressure", "start_button_started_full"


def case_of(plan: Plan, name: str) -> Case:
    return next(one for one in cases(plan).cases if one.name == name)


def held(plan: Plan, name: str, text: str, folder: Path) -> Benched:
    """A case with a controller that runs a text."""
    file = folder / "controller.st"
    file.write_text(text, encoding="utf-8")
    return rehearse(plan, How(case=case_of(plan, name)), controller(plan, file))


def retaining(text: str, name: str) -> str:
    """The same where a variable is kept while power is off."""
    declared = f"    {name} : BOOL;\n"
    assert text.count(declared) == 1
    before, after = text.split(declared)
    return f"{before}END_VAR\nVAR RETAIN\n{declared}END_VAR\nVAR\n{after}"


def trip_is_kept(text: str) -> str:
    text = re.sub(rf"latch_{TRIP}\(.*?\);", "", text, flags=re.DOTALL)
    latch = f"{TRIP} := {TRIP}_held OR ({TRIP} AND NOT reset_button);"
    return retaining(text.replace(f"{TRIP} := latch_{TRIP}.Q1;", latch), TRIP)


def start_is_kept(text: str) -> str:
    found = re.search(rf"latch_{START}\(S := (.*?), R1 := (.*?)\);", text, flags=re.DOTALL)
    assert found
    latch = f"{START} := NOT ({found[2]}) AND ({found[1]} OR {START});"
    return retaining(text.replace(found[0], "").replace(f"{START} := latch_{START}.Q1;", latch), START)


LOST: dict[str, tuple[str, str, Callable[[str], str]]] = {
    "mist_openings.retained": ("counters", "power", lambda text: text.replace("VAR RETAIN", "VAR")),
    "blow_out_time.retained": (
        "settings",
        "power",
        lambda text: text.replace("VAR_INPUT RETAIN", "VAR_INPUT"),
    ),
}
FORGOTTEN_NOT: dict[str, tuple[str, str, Callable[[str], str]]] = {
    "a trip": ("small", "power after steam back-pressure", trip_is_kept),
    "a call by a button": ("buttons", "power", start_is_kept),
}


@pytest.mark.parametrize("about", LOST)
def test_what_must_be_kept_and_is_lost_is_named(about: str, tmp_path: Path) -> None:
    name, case, wrong = LOST[about]
    plan = plan_of(name)
    text = structured_text(plan).text
    assert wrong(text) != text
    said = {one.about: one for one in held(plan, case, text, tmp_path).judged.required}
    assert said[about].said is Said.PASS
    made = held(plan, case, wrong(text), tmp_path).judged
    said = {one.about: one for one in made.required}
    assert said[about].said is Said.FAIL
    assert said[about].line > 0
    assert not made.good


@pytest.mark.parametrize("what", FORGOTTEN_NOT)
def test_what_must_be_forgotten_and_is_kept_is_found(what: str, tmp_path: Path) -> None:
    name, case, wrong = FORGOTTEN_NOT[what]
    plan = plan_of(name)
    text = structured_text(plan).text
    assert held(plan, case, text, tmp_path).judged.conforms.said is Said.PASS
    made = held(plan, case, wrong(text), tmp_path).judged.conforms
    assert made.said is Said.FAIL
    assert made.at_ms is not None
    cut = case_of(plan, case).power_ms
    assert cut is not None
    assert made.at_ms >= cut  # and nothing was wrong with it before


def test_a_latch_that_is_kept_makes_no_difference_without_a_cut(tmp_path: Path) -> None:
    plan = plan_of("small")
    text = trip_is_kept(structured_text(plan).text)
    assert held(plan, "trip steam back-pressure", text, tmp_path).good


class Forgetful(Soft):
    """It loses all that it has counted."""

    def restart(self) -> None:
        self.registers, self.scans = fresh(self.program), 0


class Lit(Soft):
    """It shows the lamp that counters light the wrong way round."""

    def shown(self) -> dict[str, Value]:
        found = super().shown()
        return {**found, "service_lamp": not found["service_lamp"]}


@pytest.mark.parametrize(
    ("kind", "conforms", "kept"),
    [(Soft, Said.PASS, Said.PASS), (Forgetful, Said.PASS, Said.FAIL), (Lit, Said.FAIL, Said.PASS)],
)
@pytest.mark.parametrize("counted", [0, 4321])
def test_of_a_controller_at_a_link_what_is_counted_is_read(
    kind: type[Soft], conforms: Said, kept: Said, counted: int
) -> None:
    """Nobody knows when its first scan was, nor what it had counted before."""
    plan = plan_of("counters")
    network, case = build(plan), case_of(plan, "power")
    soft = kind(network, [wire.signal for wire in signals(plan, network) if not wire.is_input])
    kind_of, place = soft.program.register("mist_openings")
    getattr(soft.registers, kind_of)[place] = counted
    link, rows = LockStep(soft, 20, 40), list[Row]()
    driven = Driven(
        case.lasting_ms, drive=True, settle_ms=25_000, power_ms=case.power_ms, presses=clearing(plan)
    )
    Session(Told(plan, case), (link, link), driven, rows.append, link.power).run()
    judged = judge(plan, network, rows, Terms(20, 40, 0.0, 50))
    assert judged.conforms.said is conforms, judged.conforms
    said = {one.about: one.said for one in judged.required}
    assert said["mist_openings.retained"] is kept
    assert (Said.FAIL in said.values()) is (kept is Said.FAIL)


def test_the_panel_is_as_it_was_after_a_session() -> None:
    plan = plan_of("settings")
    made = rehearse(plan, How(case=case_of(plan, "power")))
    first = {name: value for part in made.recording.rows[0].writes for name, value in part.values.items()}
    then = [part.values["blow_out_time"] for row in made.recording.rows[1:] for part in row.writes
            if "blow_out_time" in part.values]  # fmt: skip
    assert first["blow_out_time"] == plan.settings["blow_out_time"].default_ms
    assert then == [plan.settings["blow_out_time"].ends_ms[1]] * 2  # set once, and read again after the cut
