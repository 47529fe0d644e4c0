"""The piping of any plan is a good drawing, and nothing of the plan is missing on it."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest
from attrs import evolve

from steadfall import roles
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file, read_text
from steadfall.report.sketch.draw import draw_sketch
from steadfall.report.sketch.instruments import sensors
from steadfall.report.sketch.parts import Carries, Pipe, Sign, Sketch, Word
from steadfall.report.sketch.piping import piping
from tests.house.twins import named, renamed
from tests.plan.paths import EXAMPLES, GOOD
from tests.report.sketch.faults import faults, words

EVERY = pytest.mark.parametrize("path", [*GOOD, *EXAMPLES], ids=lambda path: path.stem)
PRESS = next(path for path in EXAMPLES if path.stem == "press")
LANGUAGE = {"demand", "drilled", "jacket", "slab"}  # names of plans that are words of a plan's language too
SVG = "{http://www.w3.org/2000/svg}"


def drawn(sketch: Sketch) -> set[str]:
    """The names of what is drawn."""
    return {part.of for part in sketch.parts}


def missing(plan: Plan, sketch: Sketch) -> set[str]:
    """What a plan has and the sketch has not."""
    valves = {
        roles.command(name, valve).name for name in plan.circuits for valve in plan.type_of(name).valves
    }
    placed = {one.input.name for found in sensors(plan).values() for one in found}
    bodies = {*plan.bodies, *plan.gas_streams} if plan.has_plant else set()
    everything = {*valves, *placed, *bodies, *plan.circuits, *plan.supplies, *plan.main_valves, *plan.pumps}
    reliefs = {f"{name}.relief" for name in plan.circuits if plan.type_of(name).relief}
    return (everything | reliefs | {f"{name}.outlet" for name in plan.circuits}) - drawn(sketch)


@EVERY
def test_is_a_good_drawing_with_everything_on_it(path: Path) -> None:
    plan = read_file(path)
    sketch = piping(plan)
    assert faults(sketch) == []
    assert missing(plan, sketch) == set()
    lines = len(plan.text.splitlines())
    assert all(1 <= part.line <= lines for part in sketch.parts)


@EVERY
def test_long_names_are_a_good_drawing_too(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    body = "\n".join(line for line in text.split("\n") if not line.lstrip().startswith("#"))
    old = {one.name for one in named(read_text(body))} - LANGUAGE
    plan = read_text(renamed(body, {name: f"{name}_mWmWmWmWm" for name in old}))
    sketch = piping(plan)
    assert faults(sketch) == []
    assert missing(plan, sketch) == set()


@pytest.mark.parametrize("count", range(1, 9))
def test_up_to_eight_circuits_have_no_crossing(count: int) -> None:
    plan = read_file(PRESS)
    names = [f"zone_{number}" for number in range(count)]
    hosts = list(plan.bodies)
    one = plan.circuits["upper"]
    many = {
        name: evolve(one, name=name, host=hosts[number % len(hosts)]) for number, name in enumerate(names)
    }
    sketch = piping(evolve(plan, circuits=many, inputs={}))
    assert faults(sketch) == []
    assert {f"{name}.mist" for name in names} <= drawn(sketch)


def test_valves_are_drawn_at_rest() -> None:
    valves = {part.of: part for part in piping(read_file(PRESS)).parts}
    mist, drain = valves["upper.mist"], valves["upper.drain"]
    assert (mist.symbols[0].sign, drain.symbols[0].sign) == (Sign.VALVE_SHUT, Sign.VALVE_OPEN)
    assert "FC" in {word.text for word in mist.names}
    assert "FO" in {word.text for word in drain.names}


def test_a_sensor_has_the_letters_of_what_it_measures() -> None:
    letters = {one.input.name: one.letters for found in sensors(read_file(PRESS)).values() for one in found}
    assert letters == {
        "upper.platen_temperature": "TT",
        "lower.platen_temperature": "TT",
        "air_pressure_ok": "PS",
        "upper.pressure": "PT",
        "lower.pressure": "PT",
        "upper.flood_is_open": "ZSO",
        "lower.flood_is_open": "ZSO",
        **{f"{circuit}.{of}_flows": "FS" for circuit in ("upper", "lower") for of in ("water", "air")},
    }


def test_a_sensor_at_its_own_circuit_is_called_by_its_short_name() -> None:
    labels = {one.input.name: one.label for found in sensors(read_file(PRESS)).values() for one in found}
    assert labels["upper.pressure"] == "pressure"
    assert labels["upper.flood_is_open"] == "flood_is_open"
    assert labels["upper.platen_temperature"] == "upper.platen_temperature"  # it stands in a body


def test_one_supply_goes_through_and_several_to_several_go_by_flags() -> None:
    def flags(path: Path) -> bool:
        return any(area.sort == "flag" for part in piping(read_file(path)).parts for area in part.areas)

    by_name = {path.stem: path for path in (*GOOD, *EXAMPLES)}
    assert flags(by_name["press"])
    assert not flags(by_name["oven"])  # one circuit
    assert not flags(by_name["hosts"])  # one supply


def test_the_picture_can_be_asked_for_names_and_lines() -> None:
    plan = read_file(PRESS)
    picture = fromstring(draw_sketch(piping(plan), alone=True))
    groups = {one.get("data-of"): one for one in picture.iter(f"{SVG}g") if one.get("data-of")}
    mist = groups["upper.mist"]
    assert plan.text.splitlines()[int(mist.get("data-line") or 0) - 1].strip().startswith("mist:")
    assert mist.get("aria-label") == mist.findtext(f"{SVG}title")
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", draw_sketch(piping(plan), alone=True))


def test_a_plans_words_cannot_be_markup() -> None:
    plan = evolve(read_file(PRESS), title="<script>alert(1)</script>")
    assert "<script" not in draw_sketch(piping(plan))


def test_faults_of_a_drawing_are_found() -> None:
    sketch = piping(read_file(PRESS))
    word = words(sketch)[0]
    upright = next(pipe for pipe in sketch.pipes if {x for x, _ in pipe.points} == {pipe.points[0][0]})
    (x, top), (_, bottom) = upright.points
    across = Pipe(((x - 9, (top + bottom) / 2 + 1), (x + 9, (top + bottom) / 2 + 1)), Carries.AIR)
    through = Pipe(((word.x, word.y - 2), (word.x + 9, word.y - 2)), Carries.AIR)
    spoiled = {
        "upon": evolve(sketch, notes=(word, *sketch.notes)),
        "crosses": evolve(sketch, pipes=(*sketch.pipes, across)),
        "through": evolve(sketch, pipes=(*sketch.pipes, through)),
        "beyond": evolve(sketch, notes=(Word("far", 1e5, 9.0),)),
    }
    for fault, one in spoiled.items():
        assert any(fault in line for line in faults(one)), fault


def test_a_full_sheet_is_a_good_drawing_too() -> None:
    """Three drains, two valves in the outlet, limit switches and three instruments at each place, supplies
    with all that can stand before their valves, and one that nobody wants.
    """
    plan = read_file(next(path for path in GOOD if path.stem == "supply_side"))
    kind = plan.circuit_types["jacket"]
    drain, way_out = kind.valves["drain"], kind.valves["way_out"]
    more = {f"drain_{number}": evolve(drain, name=f"drain_{number}") for number in (2, 3)}
    more["second_way_out"] = evolve(way_out, name="second_way_out")
    relief = read_file(PRESS).circuit_types["platen_circuit"].relief
    full = evolve(kind, valves={**kind.valves, **more}, relief=relief)
    plan = evolve(plan, circuit_types={"jacket": full})
    item = plan.inputs["pot_jacket.pressure"]
    measured = [
        *("pot_jacket.pressure", "pot_jacket.outlet_temperature", "pot_jacket.wall", "pot"),
        *("water_main.is_open", *(f"pot_jacket.{name}.is_open" for name in full.valves)),
    ]
    inputs = {
        name: evolve(item, name=name, measures=of)
        for number, of in enumerate(measured * 3)
        for name in [f"instrument_with_a_long_name_{number}"]
    }
    line = read_file(PRESS).circuit_types["platen_circuit"].valves["flood"].line
    supplies = {name: evolve(one, kv=0.001, line=line) for name, one in plan.supplies.items()}
    supplies["spare_air"] = evolve(plan.supplies["plant_air"], name="spare_air")
    crowded = evolve(plan, inputs=inputs, supplies=supplies)
    two = {name: evolve(plan.circuits["pot_jacket"], name=name) for name in ("pot_jacket", "other_jacket")}
    for one in (crowded, evolve(crowded, circuits=two)):
        sketch = piping(one)
        assert faults(sketch) == []
        assert missing(one, sketch) == set()
