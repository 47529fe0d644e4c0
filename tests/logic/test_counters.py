"""Counters of openings and of hours: what they count, what sets them back, what outlives a power cut."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from steadfall.logic.build.panel.counters import MOST
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type, Value
from steadfall.plan.read.whole import read_file
from steadfall.prove.checker.scan import Asked, Power
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL
from steadfall.prove.requirements.whole import watched
from steadfall.prove.system.kept import last
from steadfall.prove.system.slots import slots_of
from steadfall.runs.player import Fast, Interpreter, cut_power
from steadfall.runs.run import Step, run_of
from steadfall.scan.interpreter import Scanner
from steadfall.st.bring import bring
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD

PLAN = read_file(next(path for path in GOOD if path.stem == "counters"))
NETWORK = build(PLAN)
OFF = {"air_pressure_ok": True, "full_call": False, "upper.outlet_temperature": 150.0}
ON = {**OFF, "full_call": True}
SERVICE = {**OFF, "service_key": True}


def called(scanner: Scanner, seconds: int) -> Mapping[str, Value]:
    """After a call of so long, in scans of 100 ms."""
    scanner.scan(20, OFF)
    values = scanner.scan(20, ON)
    for _ in range(seconds * 10):
        values = scanner.scan(100, {})
    return values


def test_each_opening_counts_once() -> None:
    """A dose each 3.2 s, the first at once: 4 begin within 10 s."""
    values = called(Scanner(NETWORK), 10)
    assert (values["mist_openings"], values["cool_downs"]) == (4.0, 1.0)
    assert values["mist_openings.due"] is values["service_lamp"] is True
    assert values["alarm.mist_valve_due_for_service"] is True


def test_hours_are_whole_ones_and_what_is_left_of_them_is_not_lost() -> None:
    """Three calls of 40 minutes and a pause are two hours."""
    scanner, found = Scanner(NETWORK), []
    for _ in range(3):
        scanner.scan(20, OFF)
        scanner.scan(20, ON)
        for _ in range(40):
            values = scanner.scan(60_000, {})
        found.append(values["cooling_hours"])
        scanner.scan(30_000, OFF)
        scanner.scan(600_000, OFF)
    assert found == [0.0, 1.0, 2.0]


def test_it_is_set_back_while_its_condition_holds() -> None:
    scanner = Scanner(NETWORK)
    assert called(scanner, 10)["mist_openings"] == 4.0
    assert scanner.scan(20, {**ON, "service_key": True})["mist_openings"] == 4.0  # it runs
    scanner.scan(20, OFF)
    values = scanner.scan(20, SERVICE)
    assert [values[name] for name in PLAN.counters] == [0.0, 0.0, 0.0]
    assert values["mist_openings.due"] is False


def test_it_outlives_a_power_cut_and_nothing_else_does() -> None:
    scanner = Scanner(NETWORK)
    called(scanner, 10)
    cut_power(scanner, 5000)
    values = scanner.scan(20, OFF)
    assert values["mist_openings"] == 4.0
    assert values["upper.stage"] == 3  # its finish, as after every power-up


def test_it_stands_at_the_greatest_number() -> None:
    scanner = Scanner(NETWORK)
    scanner.values["mist_openings"] = MOST - 1.0
    assert called(scanner, 10)["mist_openings"] == MOST


def test_the_fast_scan_counts_the_same() -> None:
    steps = [Step(20, OFF), Step(20, ON), *[Step(100)] * 100]
    run = run_of(steps)
    *_, end = Interpreter(NETWORK).play(run)
    names = [name for name, kind in NETWORK.types.items() if kind is not Type.REAL]
    assert Fast(NETWORK).columns(run, names)[-1].tolist() == [int(end.values[name]) for name in names]


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("counters") / "controller.st"
    file.write_text(structured_text(PLAN).text, encoding="ascii")
    return file


def test_the_text_keeps_it_and_is_the_plan_for_ever(text: Path) -> None:
    code = bring(PLAN, text)
    kept = {row.name for row in NETWORK.assignments if row.retained}
    assert kept == {*PLAN.counters, "cooling_hours.rest"}
    assert {row.name for row in code.assignments if row.retained} == kept
    found = compare(PLAN, NETWORK, code)
    assert (found.verdict, found.rechecked) == (EQUAL, True)


def test_the_text_of_a_whole_machine_is_its_plan_for_ever(tmp_path: Path) -> None:
    """The roll: its horn hangs on counters, which says nothing against its valves."""
    plan = read_file(EXAMPLES["roll"])
    file = tmp_path / "controller.st"
    file.write_text(structured_text(plan).text, encoding="ascii")
    found = compare(plan, build(plan), bring(plan, file))
    assert (found.verdict, found.rechecked) == (EQUAL, True)


TEXT = """PROGRAM P
VAR_INPUT a : BOOL; END_VAR
VAR_OUTPUT q : BOOL; END_VAR
VAR RETAIN seen : BOOL; END_VAR
VAR now : BOOL; END_VAR
q := seen AND now;
seen := seen OR a;
now := now OR a;
END_PROGRAM
"""


def test_what_a_text_retains_outlives_a_power_cut_for_both_solvers() -> None:
    """A flag of another text, kept with RETAIN; the one beside it is not."""
    network = read_st(TEXT, "other.st")
    spared = {slot.name: slot.spared for slot in slots_of(network, frozenset()) if slot.part}
    assert spared == {"seen": True, "now": False}
    state = Asked(network, 40, power=Power.MAY_FAIL).state
    assert (state[last("seen")].spared, state[last("now")].spared) == (True, False)


def test_a_proof_begins_where_years_may_have_left_it() -> None:
    """So that what is due after 500000 openings is exercised by a run of one scan."""
    whole = watched(PLAN).network
    scanner = Scanner(whole)
    values = scanner.scan(20, {**OFF, "mist_openings:kept": 500_000.0})
    assert values["mist_openings.due"] is True
    assert scanner.scan(20, {"mist_openings:kept": 0.0})["mist_openings"] == 500_000.0
