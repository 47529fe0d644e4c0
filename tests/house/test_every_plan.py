"""Every good plan through every verb: nothing that a plan may say ends in a traceback; each verb answers.

Rule of this file: verbs are run as a person types them, on all of tests/plans/good and on the examples.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from steadfall.dose.variable import own, put
from steadfall.dose.variables import variables
from steadfall.lists.wiring import wiring
from steadfall.logic.build.whole import build
from steadfall.plan.check.whole import check
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems
from steadfall.plan.read.whole import read_file
from steadfall.predict.inputs.scenario import course
from steadfall.predict.run import coarse, start
from steadfall.prove.requirements.whole import watched
from steadfall.st.bring import bring
from steadfall.upset.failures import failures, upsets
from tests.house.verbs import run
from tests.plan.paths import EXAMPLES, GOOD
from tests.st.agreement import assert_same
from tests.st.test_round_trip import trace

pytestmark = pytest.mark.usefixtures("proofs_here")

EVERY = pytest.mark.parametrize("path", [*GOOD, *EXAMPLES], ids=lambda path: path.stem)
MOMENT = "20 s"
NOTHING_DOSED = ("hosts", "settings")  # without a number that is a dose's or a climb's
# What does not hold of a plan that is there to show a requirement, or a fault, that does not.
NOT_PROVED = {("requirements", "stated.1"): "refuted"}


@EVERY
def test_is_predicted(path: Path, tmp_path: Path) -> None:
    ran = run("predict", path, "--coarse", "--json", "--out", tmp_path)
    result = ran.json()
    assert ran.code == (0 if result["good"] else 1)
    assert result["end_s"] > 0
    assert (
        max((abs(error) for error in result["balance"].values()), default=0.0) < 1e-3
    )  # none without a plant
    assert (tmp_path / "report.html").stat().st_size > 10_000
    headings = (tmp_path / "trace.csv").read_text(encoding="utf-8").partition("\n")[0].split(",")
    plan = read_file(path)
    assert {f"{name} [degC]" for name in (*plan.bodies, *plan.gas_streams)} < set(headings)


@EVERY
def test_is_sized(path: Path) -> None:
    ran, plan = run("size", path, "--json"), read_file(path)
    result = ran.json()
    if not plan.has_plant:
        assert ran.code == 2
        assert "logic alone" in result["problems"][0]["read"]
        return
    assert ran.code == (0 if result["good"] else 1)
    parts = {row["about"] for row in result["sizes"]}
    used = {plan.circuits[name].type for name in plan.circuits}
    assert {f"{kind}.{name}" for kind in used for name in inlets(plan, kind)} <= parts
    assert all(0 < row["line"] <= len(plan.text.splitlines()) for row in result["sizes"])
    assert {row["valve"] for row in result["batch"]["valves"]} == {
        f"{name}.{valve}" for name in plan.circuits for valve in plan.type_of(name).valves
    }


@EVERY
def test_its_doses_can_be_searched_between_sound_ends(path: Path) -> None:
    plan = read_file(path)
    known = variables(plan)
    assert known or not plan.has_plant or path.stem in NOTHING_DOSED
    assert put(plan, known, own(plan, known)) == plan  # the plan's own are among the values
    for end in (0, -1):
        problems = Problems()
        check(put(plan, known, tuple(range(len(one.values))[end] for one in known)), problems)
        assert not problems.found()


@EVERY
def test_everything_of_it_can_fail(path: Path) -> None:
    plan = read_file(path)
    if not plan.has_plant:
        ran = run("upset", path, "--json")
        assert ran.code == 2
        assert "logic alone" in ran.json()["problems"][0]["read"]
        return
    every = failures(plan)
    assert len({one.name for one in every}) == len(every)
    assert {*plan.supplies, *plan.gas_streams, *plan.main_valves, *plan.pumps} <= {one.of for one in every}
    whole = start(plan, course(plan), coarse(plan))
    for one in every:
        failing = whole.branch(upsets(plan, one, 0))
        failing.let_happen()
        assert all(step.time_ms > 0 for step in failing.due)


def inlets(plan: Plan, kind: str) -> list[str]:
    """The valves of a circuit type that let something in."""
    return [name for name, valve in plan.circuit_types[kind].valves.items() if valve.supply]


@EVERY
def test_is_explained(path: Path) -> None:
    plan = read_file(path)
    circuit = next(iter(plan.circuits))
    signal = f"{circuit}.{next(iter(plan.type_of(circuit).valves))}"
    answer = run("why", path, "--signal", signal, "--at", MOMENT, "--json").json()
    state = "open" if answer["value"] else "shut"
    assert answer["sentence"].startswith(f"{signal} is {state} at "), answer["sentence"]
    assert answer["reasons"] or answer["otherwise"]


@EVERY
def test_is_emitted_and_read_back_as_the_same(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / path.name
    shutil.copy(path, copy)
    plan = read_file(path)
    if plan.io.list_file:
        (tmp_path / plan.io.list_file).write_text(panel(plan), encoding="utf-8")
    assert run("emit", copy, "--out", tmp_path).code == 0
    network = build(plan)
    back = bring(plan, tmp_path / "controller.st", tmp_path / "map.yaml")
    assert back.outputs == network.outputs
    for seed in range(2):
        assert_same(network, back, network.outputs, trace(network, seed, 400))
    # REAL arithmetic that is not the same expression is not proved equal; examples: tests/st/test_proofs.py
    if not plan.ramps and path not in EXAMPLES:
        ran = run("compare", path, tmp_path / "controller.st", "--json")
        assert (ran.code, ran.json()["verdict"]) == (0, "equal")


@EVERY
def test_is_equal_to_itself(path: Path) -> None:
    ran = run("compare", path, path, "--json")
    assert (ran.code, ran.json()["verdict"]) == (0, "equal")


@pytest.mark.slow
@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)  # examples: whole, in tests/prove
def test_one_of_its_requirements_is_proved_and_checked_again(path: Path, tmp_path: Path) -> None:
    every = names(path)
    name = every[len(every) * GOOD.index(path) // len(GOOD)]  # of each plan one at another place
    found = run("prove", path, "--only", name, "--json", "--out", tmp_path).json()
    verdicts = {row["name"]: row["verdict"] for row in found["requirements"]}
    assert verdicts == {name: NOT_PROVED.get((path.stem, name), "proved")}
    again = run("prove", path, "--only", name, "--recheck", "--out", tmp_path)
    assert again.code == (0 if set(verdicts.values()) == {"proved"} else 1), again.out


def panel(plan: Plan) -> str:
    """A list of the panel builder in which every signal of the plan stands once."""
    names = ("signal", "kind", "terminal", "address", "modbus", "opcua")
    heading = ",".join(plan.io.columns.get(name, name) for name in names)
    rows = [f"{signal.name},{signal.kind},X{n},,," for n, signal in enumerate(wiring(plan))]
    return "\n".join([heading, *rows, ""])


def names(path: Path) -> list[str]:
    """The names of all requirements of a plan, the stated ones first."""
    return [row.name for row in watched(read_file(path)).required]
