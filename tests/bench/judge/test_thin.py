"""What is left out of a recording, and strides through it, change nothing of what is said of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadfall.app.bench import How, rehearse
from steadfall.app.given.controller import controller
from steadfall.bench.judge import requirements as kept
from steadfall.bench.judge import whole as judges
from steadfall.bench.judge.explain.decided import Decided
from steadfall.bench.judge.finding import Said, terms_of
from steadfall.bench.judge.strides import Strides
from steadfall.bench.judge.thin import thinned
from steadfall.bench.session.journal import Row, Span
from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.scan.interpreter import Scanner
from steadfall.st.write.whole import structured_text
from tests.bench.made import plan_of
from tests.logic.networks import VALUES, networks


def written(*values: dict[str, Any]) -> list[Row]:
    """A recording in which nothing is read, and these are written one after the other."""
    return [Row(at, 50 * at, (), (Span(50.0 * at, 50.0 * at + 1, one),)) for at, one in enumerate(values)]


def kept_of(rows: list[Row]) -> list[dict[str, Any]]:
    return [dict(row.writes[0].values) for row in rows]


def test_a_value_that_crosses_no_threshold_comes_with_the_next_that_does() -> None:
    first = {"full_call": False, "upper.outlet_temperature": 150.0, "upper.pressure": 1.0}
    hot, hotter = {"upper.outlet_temperature": 150.5}, {"upper.outlet_temperature": 151.0}
    call, cold = {"full_call": True}, {"upper.outlet_temperature": 60.0}
    thin = kept_of(thinned(build(plan_of("small")), written(first, hot, hotter, call, cold)))
    assert thin == [first, {}, {}, {**hotter, **call}, cold]


def test_what_is_written_after_power_is_always_told() -> None:
    first = {"full_call": False, "upper.outlet_temperature": 150.0}
    rows = written(first, first)
    again = Row(1, 50, (), rows[1].writes, power=(20.0, 40.0))
    assert kept_of(thinned(build(plan_of("small")), [rows[0], again])) == [first, first]


@given(networks(), st.data())
@settings(max_examples=60)
def test_inputs_that_decide_the_same_lead_to_the_same(network: Network, data: st.DataObject) -> None:
    decided, shown = Decided(network), Scanner(network)
    other = Scanner(network)
    scans = [
        {row.name: data.draw(VALUES[row.type]) for row in network.inputs if row.holds is None}
        for _ in range(3)
    ]
    last: dict[str, Any] = {}
    for inputs in scans:
        shown.scan(20, inputs)
        if not last or decided.of({**last, **inputs}) != decided.of(last):
            last = {**last, **inputs}  # else the other is handed what it was handed before
        other.scan(20, last)
        for row in decided.rest:
            # as words, so that no number equals no number; nought below and above nought are one
            assert repr(shown.values[row.name] + 0) == repr(other.values[row.name] + 0)


@pytest.mark.parametrize("slip", [("", ""), ("T#800ms", "T#940ms")])
def test_the_same_is_said_as_cycle_by_cycle(
    slip: tuple[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, file = plan_of("small"), tmp_path / "controller.st"
    file.write_text(structured_text(plan).text.replace(*slip), encoding="utf-8")
    made = rehearse(plan, How(lasting_s=5), controller(plan, file))
    assert made.judged.conforms.said is (Said.FAIL if slip[0] else Said.PASS)
    for of in (judges, kept):
        monkeypatch.setattr(of, "thinned", lambda _, rows: rows)
    monkeypatch.setattr(Strides, "over", lambda *_: 0)
    rows, terms = made.recording.rows, terms_of(made.recording.head)
    slowly = judges.judge(plan, build(plan), rows, terms)
    assert slowly.conforms == made.judged.conforms
    assert slowly.covered == made.judged.covered
    assert slowly.required == made.judged.required


def test_a_stride_that_is_not_calm_is_taken_by_itself() -> None:
    rows = written({"full_call": False}, {}, {}, {}, {}, {"full_call": True}, {})
    strides, asked = Strides(rows), list[int]()

    def never(at: int) -> bool:
        asked.append(at)
        return False

    assert strides.over(1, never) == 0
    assert asked == [2]
    assert strides.over(1, lambda _: True) == 3
    assert strides.over(3, lambda _: True) == 5  # up to what tells something
    assert strides.over(5, lambda _: True) == 0
