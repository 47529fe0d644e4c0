"""A valve that stands open without signal: commanded as any other, its output turned round once."""

from steadfall.logic.build.stand_in import stand_in
from steadfall.logic.build.whole import build
from steadfall.plan.meaning.names import energised
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "supply_side").read_text(encoding="utf-8")
TEXT = f"restart: by itself\n{TEXT}"  # what is looked at here is not how a call is made
TEXT = TEXT.replace("for: 15 s}", "for: 1 s}").replace("for: 30 s}", "for: 1 s}")  # the steps of the finish
PLAN = read_text(TEXT)
DRAIN, OUTPUT = "pot_jacket.drain", "pot_jacket.drain.energised"
USUAL = {
    "pot_jacket.outlet_temperature": 150.0,
    "pot_jacket.pressure": 0.0,
    "air_there": True,
    "compressor_switch": True,
}


def test_its_output_is_on_to_shut_it_and_off_at_rest() -> None:
    scanner = Scanner(build(PLAN))
    found = []
    for call in (True, False):
        for _ in range(6_000 // 20):
            scanner.scan(20, {**USUAL, "cool": call})
            assert scanner.values[OUTPUT] is not scanner.values[DRAIN]
        found.append(scanner.values[OUTPUT])
    assert found == [True, False]  # energised to shut while the pot is cooled, let go in idle


def test_it_counts_as_open_before_power_comes() -> None:
    network = build(PLAN)
    assert network.rows[DRAIN].initial is True
    assert network.rows["pot_jacket.stream"].initial is False
    scanner = Scanner(network)
    scanner.scan(20, {**USUAL, "cool": True})  # its shortest opening of 2 s is over when power comes
    assert scanner.values[OUTPUT] is True


def test_the_output_of_a_text_will_do_for_the_command() -> None:
    planned, emitted = build(PLAN), structured_text(PLAN)
    names = {name: "hidden" if signal == DRAIN else signal for name, signal in emitted.names.items()}
    found = stand_in(PLAN, read_st(emitted.text, "text", names), "text")
    assert found.outputs == planned.outputs
    scanner = Scanner(found)
    scanner.scan(20, {**USUAL, "cool": True})
    assert scanner.values[OUTPUT] is not scanner.values[DRAIN]


def test_only_valves_that_stand_open_have_such_an_output() -> None:
    assert list(energised(PLAN)) == [DRAIN]
