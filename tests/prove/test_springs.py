"""A valve that stands open without signal counts as long open when power comes."""

from steadfall.plan.read.whole import read_text
from steadfall.prove.requirements.whole import watched
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "supply_side").read_text(encoding="utf-8")
TEXT = TEXT.replace("for: 15 s}", "for: 1 s}").replace("for: 30 s}", "for: 1 s}")  # the steps of the finish
SLOW = TEXT.replace("without_signal: open}", "without_signal: open, shortest_open: 2 s}")
USUAL = {
    "pot_jacket.outlet_temperature": 150.0,
    "pot_jacket.pressure": 0.0,
    "air_there": True,
    "compressor_switch": True,
}


def test_it_may_shut_in_the_first_scan_whatever_its_shortest_opening() -> None:
    of = watched(read_text(SLOW))
    scanner = Scanner(of.network)
    row = next(one for one in of.required if one.name == "pot_jacket.drain.shortest_open")
    openings = 0
    for k in range(16_000 // 20):
        before = k == 0 or scanner.values["pot_jacket.drain"]
        scanner.scan(20, {**USUAL, "cool": 4_000 < 20 * k < 12_000})
        openings += bool(before) and not scanner.values["pot_jacket.drain"]
        assert not scanner.values[row.bad]
    assert openings == 2  # at power-up and at the call: both were judged
