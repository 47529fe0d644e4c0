"""The press of the examples with inputs by hand: called, waiting, losing its air, tripping, finishing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_file
from steadfall.why.explain import Explanation, explain
from steadfall.why.scans.history import History
from steadfall.why.words.wording import wording_of
from tests.examples import EXAMPLES
from tests.runs.made import made

EXPECTED = Path(__file__).with_name("press.expected")
SCAN_MS = 20
NORMAL: dict[str, Value] = {
    "air_pressure_ok": True,
    "upper.platen_temperature": 148.0,
    "lower.platen_temperature": 148.0,
    "upper.pressure": 0.5,
    "lower.pressure": 0.5,
}
CHANGES: dict[int, dict[str, Value]] = {
    0: NORMAL,
    8_000: {"full_call": True},
    75_000: {"upper.platen_temperature": 135.0},
    90_000: {"air_pressure_ok": False},
    91_000: {"air_pressure_ok": True},
    92_000: {"full_call": False},
    93_000: {"full_call": True},
    100_000: {"upper.pressure": 8.0},
    103_000: {"upper.pressure": 1.0},
    104_000: {"full_call": False},
    105_000: {"reset_button": True},
    105_500: {"reset_button": False},
    175_000: {"gentle_call": True},
}
END_MS = 176_000

# signal, moment in ms, what is looked at
MOMENTS: tuple[tuple[str, int, str], ...] = (
    ("upper.drain", 4_000, "blown out after power-up"),
    ("upper.mist", 12_340, "in a dose"),
    ("upper.mist", 14_000, "between doses"),
    ("lower.mist", 9_000, "waiting its turn"),
    ("upper.stage", 30_000, "waiting to climb"),
    ("upper.stage", 72_000, "waiting for the temperature"),
    ("upper.stage", 76_000, "climbed"),
    ("lower.stage", 76_000, "not climbed"),
    ("upper.mist", 90_500, "permissive lost"),
    ("upper.sweep", 90_500, "swept after the permissive"),
    ("upper.stage", 91_500, "waiting for a new call"),
    ("upper.mist", 101_000, "tripped"),
    ("tripped", 104_500, "latched"),
    ("upper.stage", 110_000, "finishing"),
    ("upper.mist", 110_000, "shut in the finish"),
    ("upper.target", 102_000, "nothing allowed"),
    ("upper.stage", 172_000, "emptying"),
    ("upper.mist", 175_100, "called again, opened for its shortest time"),
    ("full_call", 9_000, "an input"),
)


@cache
def plan() -> Plan:
    return read_file(str(EXAMPLES["press"]))


@cache
def history() -> History:
    scans = ((SCAN_MS, CHANGES.get(now, {})) for now in range(0, END_MS, SCAN_MS))
    return History(build(plan()), made(scans))


def answer(signal: str, at_ms: int) -> Explanation:
    run = history()
    return explain(run.network, run, signal, run.scan_at(at_ms), wording_of(plan()))


def told() -> str:
    """All moments, without places in the plan."""
    blocks = []
    for signal, at_ms, what in MOMENTS:
        lines = answer(signal, at_ms).sentences(places=False)
        blocks.append("\n".join([f"# {what}", *lines, ""]))
    return "\n".join(blocks)
