"""Doses that change within their stage: by other times, to open, to shut."""

from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_text
from steadfall.scan.interpreter import Scanner
from tests.plan.paths import GOOD

TEXT = next(path for path in GOOD if path.stem == "dose_then").read_text(encoding="utf-8")
PLAN = read_text(TEXT)
SCAN = 20
COLD = (150.0, 139.0, 119.0)  # degC of the outlet by stage, to climb out of it
INPUTS = {"full_call": True, "air_pressure_ok": True, "reset_button": False, "upper.pressure": 0.0}


def changes(stage: int, ms: int, circuit: str = "upper") -> list[int]:
    """When the mist valve of a circuit moves in a stage, in ms after it was entered."""
    scanner, moved, entered, last = Scanner(build(PLAN)), list[int](), -1, False
    for now in range(0, 200_000, SCAN):
        at = int(scanner.values[f"{circuit}.stage"])
        outlet = COLD[at] if at < stage else 150.0
        sensors = {f"{name}.outlet_temperature": outlet for name in ("upper", "lower")}
        values = scanner.scan(SCAN, {**INPUTS, **sensors})
        if int(values[f"{circuit}.stage"]) == stage:
            entered = now if entered < 0 else entered
            moved += [now - entered] if values[f"{circuit}.mist"] is not last or now == entered else []
        last = bool(values[f"{circuit}.mist"])
        if 0 <= entered <= now - ms:
            break
    return moved


def test_other_times() -> None:
    """Four of 0.4 s in 4 s; from 20 s on 0.8 s in 3.2 s: a part that runs then has its new time at once."""
    found = changes(1, 31_000)
    assert found[:10] == [0, 400, 4000, 4400, 8000, 8400, 12_000, 12_400, 16_000, 16_400]
    assert found[10:] == [20_000, 20_800, 23_200, 24_000, 26_400, 27_200, 29_600, 30_400]


def test_then_open() -> None:
    assert changes(2, 30_000) == [*range(0, 6001, 500)]


def test_then_shut() -> None:
    assert changes(3, 30_000) == [0, 1000, 2000, 3000, 4000, 5000]
