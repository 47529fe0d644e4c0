"""What goes wrong against limiting cases worked by hand: the full stream, no water, shut in."""

import math

import pytest

from steadfall.plan.meaning.boiling import boils_at
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plant.grid.path import pipe_heads
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "scenarios").read_text(encoding="utf-8")
SCENARIOS = """scenarios:
  full stream: {steps: [{at: 0 s, upper.flood: stuck open}], until: 60 s}
  half out: {steps: [{at: 0 s, upper.flood: stuck open, upper: outlet half blocked}], until: 60 s}
  leak: {steps: [{at: 0 s, upper.flood: leaking}], until: 60 s}
  no water: {steps: [{at: 0 s, full_call: on, works_water.pressure: 0 barg}], until: 60 s}
  shut in:
    steps:
      - {at: 0 s, upper: outlet blocked, upper.mist: stuck open}
      - {at: 10 s, works_water.pressure: 0 barg}
    until: 90 s
"""


def plan(start: str) -> Plan:
    text = TEXT[: TEXT.index("scenarios:")] + SCENARIOS
    return read_text(text.replace("start: 160 degC", f"start: {start}"))


def last(result: Prediction, signal: str) -> float:
    return float(result.arrays(signal)[1][-1])


@pytest.mark.parametrize(
    ("scenario", "valve", "outlet"), [("full stream", 2.0, 3.0), ("half out", 2.0, 1.5), ("leak", 0.1, 3.0)]
)
def test_a_valve_that_is_stuck_open_passes_the_full_stream(
    scenario: str, valve: float, outlet: float
) -> None:
    """4 bar over three resistances in series, in cold metal: valve 2 m3/h, outlet 3 m3/h, and the channel
    with its exit, K heads in a section A: Kv = A sqrt(2 bar / (K 1000 kg/m3)). Half blocked the outlet
    has half its Kv; a valve that leaks has 5 % of its own.
    """
    cold = plan("20 degC")
    path = cold.circuit_types["platen_circuit"].path
    area = path.passes * math.pi * path.bore**2 / 4
    channel = 3600 * area * math.sqrt(2e5 / (1000.0 * (pipe_heads(path) + 1.0)))  # m3/h
    through = math.sqrt(4.0 / (1 / valve**2 + 1 / outlet**2 + 1 / channel**2))
    result = predict(cold, scenario, coarse(cold))
    assert not result.arrays("upper.flood")[1].any()  # nothing commands it
    assert 3.6 * last(result, "upper.water_flow") == pytest.approx(through, rel=0.02)


def test_a_supply_that_is_lost_gives_no_water() -> None:
    hot = plan("160 degC")
    result = predict(hot, "no water", coarse(hot))
    assert result.arrays("upper.mist")[1].any()
    assert [use.water for use in result.circuits] == [0.0, 0.0]


def test_water_shut_in_comes_to_the_boiling_pressure_of_the_metal() -> None:
    """Its steam has nowhere to go, so that it boils until the metal is no hotter than it."""
    hot = plan("150 degC")
    result = predict(hot, "shut in", coarse(hot))
    pressure, metal = last(result, "upper.pressure"), last(result, "upper.wall")
    assert last(result, "upper.water_held") > 0.1
    assert boils_at(pressure) == pytest.approx(metal, abs=2.0)
    assert pressure > 4e5
