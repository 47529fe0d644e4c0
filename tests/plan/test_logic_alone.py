"""A plan of the logic alone: what the controller does follows from it as from the plan with its plant."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from steadfall.app.predict import How, predict
from steadfall.logic.build.whole import build
from steadfall.plan.advise.whole import advice
from steadfall.plan.model import NO_PLANT, CircuitType, Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.plan.write.whole import write
from steadfall.predict.outcome.verdict import Verdict
from steadfall.report.words.verdict import verdict
from steadfall.source import AskError, PlanError
from tests.plan.paths import EXAMPLES, GOOD

ALONE = next(path for path in GOOD if path.stem == "logic_alone")


# A call that is made anew must be let go of by whoever makes it; without `measures` a sensor is one.
CALLED_BY_SENSORS = ("remembering", "switches")


def without_plant(plan: Plan) -> Plan:
    """The same logic, and nothing of the plant."""
    nothing = {"pressure": NO_PLANT, "temperature": NO_PLANT, "kv": None, "line": None}
    return evolve(
        plan,
        has_plant=False,
        ambient=NO_PLANT,
        supplies={name: evolve(one, **nothing) for name, one in plan.supplies.items()},
        main_valves={
            name: evolve(one, kv=NO_PLANT, travel=NO_PLANT) for name, one in plan.main_valves.items()
        },
        pumps={name: evolve(one, run_up=NO_PLANT) for name, one in plan.pumps.items()},
        bodies={},
        gas_streams={},
        links=(),
        circuit_types={name: _bare(kind) for name, kind in plan.circuit_types.items()},
        circuits={name: evolve(one, host=NO_PLANT) for name, one in plan.circuits.items()},
        inputs={name: evolve(one, measures=None, changes=None) for name, one in plan.inputs.items()},
        limits=(),
        goals=(),
        tolerances=(),
        scenarios={},
    )


def _bare(kind: CircuitType) -> CircuitType:
    valves = {name: evolve(one, kv=NO_PLANT, travel=NO_PLANT, line=None) for name, one in kind.valves.items()}
    return evolve(kind, path=NO_PLANT, outlet=NO_PLANT, rated=NO_PLANT, relief=None, valves=valves)


@pytest.mark.parametrize("path", [*GOOD, *EXAMPLES], ids=lambda path: path.stem)
def test_every_plan_may_lose_its_plant(path: Path) -> None:
    plan = read_file(path)
    bare = without_plant(plan)
    again = read_text(write(bare))
    assert not again.has_plant
    assert again == bare
    assert build(again).outputs == build(plan).outputs
    assert (build(again) == build(plan)) is (path.stem not in CALLED_BY_SENSORS)
    slugs = {one.slug for one in advice(again)} - {
        "unused",
        "nothing-ends",
        "no-pressure-trip",
        "climb-on-lost-sensor",
        "climb-on-one-sensor",
    }
    assert slugs <= {one.slug for one in advice(plan)}


def test_one_number_of_the_plant_asks_for_all() -> None:
    text = ALONE.read_text(encoding="utf-8").replace("works_air}", "works_air, kv: 0.9 m3/h}")
    with pytest.raises(PlanError) as caught:
        read_text(text)
    assert {one.slug for one in caught.value.problems} == {"missing-key", "feedback"}
    said = {one.key: one.read for one in caught.value.problems}
    assert said["kv"] == "this key is missing: kv is given for 1 of 4 valves"
    assert said["ambient"] == "this key is missing, and line 13 speaks of a plant"


def test_what_needs_no_plant_needs_none() -> None:
    text = ALONE.read_text(encoding="utf-8").replace("works_air}", "works_air, travel: 100 ms}")
    text = text.replace("{fluid: water}", "{fluid: water, pressure: 4 barg}")
    plan = read_text(text)
    assert not plan.has_plant
    assert read_text(write(plan)) == plan


def test_the_timing_is_predicted_and_no_cooldown_is_claimed() -> None:
    found = predict(read_file(ALONE), How("one cool-down"))
    assert (found.verdict, found.good, found.complete) == (Verdict.NO_PLANT, False, True)
    assert verdict(found).startswith("The plan has no plant.")
    assert (found.circuits, found.strains, dict(found.balance)) == ((), (), {})
    upper = [(one.time_ms, one.stage) for one in found.moments if one.circuit == "upper"]
    assert upper[1:4] == [(10_000, "dosing"), (55_000, "full"), (300_000, "blow_out")]
    lower = [(one.time_ms, one.stage) for one in found.moments if one.circuit == "lower"]
    assert lower[2] == (120_000, "full")  # once its thermometer has been set below the climb's value
    assert "upper.wall" not in found.trace.tracks


def test_bands_need_a_plant() -> None:
    with pytest.raises(AskError, match="no plant"):
        predict(read_file(ALONE), How(band=10))
