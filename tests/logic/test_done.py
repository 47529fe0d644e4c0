"""What ends a cool-down: it latches, it ends cooling everywhere, and only a new call begins again."""

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "done").read_text(encoding="utf-8")
PLAN = read_text(TEXT.replace("for 30 s", "for 1 s"))
FINISH = 3  # after dosing and full
USUAL = {
    "air_pressure_ok": True,
    "reset_button": False,
    "upper.outlet_temperature": 150.0,
    "lower.outlet_temperature": 150.0,
    "upper.pressure": 0.0,
}


class Bench:
    """A scanner fed with a call and the temperature of both platens."""

    def __init__(self) -> None:
        self.scanner = Scanner(build(PLAN))

    def run(self, ms: int, *, call: bool, platen: float) -> dict[str, Value]:
        temperatures = dict.fromkeys(("upper.platen_temperature", "lower.platen_temperature"), platen)
        for _ in range(ms // 20):
            self.scanner.scan(20, {**USUAL, "full_call": call, **temperatures})
        return dict(self.scanner.values)


def stages(values: dict[str, Value]) -> tuple[Value, Value]:
    return values["upper.stage"], values["lower.stage"]


def test_cold_metal_ends_it_and_a_new_call_begins_again() -> None:
    bench = Bench()
    assert stages(bench.run(2000, call=True, platen=150.0)) == (1, 1)
    assert not bench.run(980, call=True, platen=60.0)["done"]  # not long enough
    found = bench.run(60, call=True, platen=60.0)
    assert (found["done"], *stages(found)) == (True, FINISH, FINISH)
    found = bench.run(30_000, call=True, platen=150.0)  # warm again, the call stands: it stays ended
    assert (found["done"], *stages(found)) == (True, 0, 0)
    assert not bench.run(20, call=False, platen=150.0)["done"]
    assert stages(bench.run(20, call=True, platen=150.0)) == (1, 1)


def test_cold_metal_without_a_call_is_not_done() -> None:
    bench = Bench()
    assert not bench.run(30_000, call=False, platen=60.0)["done"]
    found = bench.run(20, call=True, platen=60.0)
    assert (found["done"], *stages(found)) == (True, 0, 0)  # nothing to cool
