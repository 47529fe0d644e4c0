"""The emitted text by a second path: translated to C by a reader of its own, compiled, held against the
interpreter.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Type, Value
from steadfall.plan.meaning.handed import handed_by, whole_type
from steadfall.plan.model import Input, Plan
from steadfall.predict.run import coarse, predict
from steadfall.scan.interpreter import Scanner
from steadfall.st.write.whole import structured_text
from tests.st.st_to_c import Translation
from tests.st.test_round_trip import PLANS, trace

GCC = shutil.which("gcc")
pytestmark = pytest.mark.skipif(
    GCC is None, reason="there is no gcc on this machine: the second path is not run"
)
Rows = Sequence[tuple[int, Mapping[str, Value]]]


class Compiled:
    """A plan's emitted text as a program of its own."""

    def __init__(self, text: str, names: Mapping[str, str], folder: Path) -> None:
        translation = Translation(text)
        source, self.file = folder / "controller.c", folder / "controller"
        source.write_text(translation.program(), encoding="ascii")
        options = ["-std=c11", "-O1", "-ffp-contract=off", "-Wall", "-Werror", "-Wno-unused-function"]
        subprocess.run([str(GCC), *options, str(source), "-o", str(self.file), "-lm"], check=True)
        self.inputs = [names[word] for word in translation.inputs]
        self.outputs = [names[word] for word in translation.outputs]

    def run(self, rows: Rows, types: Mapping[str, Type]) -> list[dict[str, bool]]:
        held: dict[str, Value] = dict.fromkeys(self.inputs, 0)
        lines = []
        for dt, given in rows:
            held.update(given)
            values = [
                float(held[name]).hex() if types[name] is Type.REAL else str(int(held[name]))
                for name in self.inputs
            ]
            lines.append(" ".join([str(dt), *values]))
        done = subprocess.run(
            [str(self.file)], input="\n".join(lines), capture_output=True, text=True, check=True
        )
        return [
            dict(zip(self.outputs, (word == "1" for word in line.split()), strict=True))
            for line in done.stdout.splitlines()
        ]


def _whole(counts: bool, value: Value) -> Value:
    """A value as it arrives: counts are whole numbers within their type."""
    return float(min(max(round(value), -32_768), 32_767)) if counts else value


def assert_same(plan: Plan, rows: Rows, text: str, names: Mapping[str, str], folder: Path) -> int:
    """Every output of every scan; gives how often an output changed, so that a test can tell it was not
    asleep.
    """
    network = build(plan)
    run, changes = Scanner(network), 0
    before: dict[str, bool] = {}
    counts = {name for name, item in plan.inputs.items() if whole_type(item)}
    rows = [(dt, {name: _whole(name in counts, one) for name, one in given.items()}) for dt, given in rows]
    compiled = Compiled(text, names, folder).run(rows, {**network.types, **dict.fromkeys(counts, Type.INT)})
    assert len(compiled) == len(rows)
    within = set(network.outputs) - set(compiled[0])  # told to open, wired as what shuts it
    assert {f"{name}.energised" for name in within} <= set(compiled[0]) <= set(network.outputs)
    for number, ((dt, given), got) in enumerate(zip(rows, compiled, strict=True)):
        values = run.scan(dt, given)
        wanted = {name: bool(values[name]) for name in got}
        assert got == wanted, f"scan {number}"
        changes += wanted != before
        before = wanted
    return changes


@pytest.mark.parametrize("name", PLANS)
def test_random_inputs(name: str, tmp_path: Path) -> None:
    plan = PLANS[name]
    emitted = structured_text(plan)
    rows = trace(build(plan), 7, 4000)
    assert assert_same(plan, rows, emitted.text, emitted.names, tmp_path) > 30


def seen(item: Input, value: float) -> float:
    """A value of an input in the unit in which the controller sees it."""
    low, high = item.speaks
    return float(value >= 0.5) if item.is_digital else float(handed_by(item).of(min(max(value, low), high)))


@pytest.mark.parametrize("name", ["press", "barrel"])
def test_a_recorded_cool_down(name: str, tmp_path: Path) -> None:
    plan = PLANS[name]
    recorded = predict(plan, settings=coarse(plan)).trace
    rows = []
    for t in range(0, min(recorded.end_ms, 1_200_000), 100):
        values = {item.name: seen(item, float(recorded.at(item.name, t))) for item in plan.inputs.values()}
        rows.append(
            (
                100,
                {
                    key: value if plan.inputs[key].kind != "switch" else bool(value)
                    for key, value in values.items()
                },
            )
        )
    emitted = structured_text(plan)
    assert assert_same(plan, rows, emitted.text, emitted.names, tmp_path) > 20


def test_a_changed_preset_is_noticed(tmp_path: Path) -> None:
    plan = PLANS["press"]
    emitted = structured_text(plan)
    text = emitted.text.replace(
        "MIST_FIRST_DOSES_OPEN : TIME := T#400ms", "MIST_FIRST_DOSES_OPEN : TIME := T#410ms"
    )
    assert text != emitted.text
    ready = {"air_pressure_ok": True, "upper.platen_temperature": 160.0}
    rows = [(10, ready), *[(10, {**ready, "full_call": True})] * 2000]
    with pytest.raises(AssertionError):
        assert_same(plan, rows, text, emitted.names, tmp_path)
