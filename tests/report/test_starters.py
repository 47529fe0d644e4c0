"""Every kind of plant can be drawn: platens, an oven with gas, a barrel zone with a ramp, eight circuits."""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.plan.starter import starter
from steadfall.report.figure.figure import draw_figure
from steadfall.report.figure.sheets import whole_figure
from steadfall.report.page.prediction import page
from steadfall.report.text.prediction import summary
from steadfall.report.words.names import sentence
from tests.report.invented import invented
from tests.report.test_page import read


@pytest.mark.parametrize("pattern", ["press", "oven", "barrel"])
def test_a_starter_is_drawn_whole(pattern: str) -> None:
    plan = read_text(starter(pattern))
    made = invented(plan)
    text = page(made)
    reader = read(text)
    words = " ".join(reader.words)
    assert reader.open == []
    for item in (*plan.bodies, *plan.gas_streams, *plan.circuits):
        assert item.replace("_", " ") in words
    for text in [limit.text for limit in plan.limits] + [goal.text for goal in plan.goals]:
        assert sentence(text) in words
    assert max(len(line) for line in summary(made).splitlines()) <= 100


def test_every_aim_has_its_balloon() -> None:
    for pattern in ("press", "oven", "barrel"):
        made = invented(read_text(starter(pattern)))
        count = draw_figure(whole_figure(made)).count('class="balloon"')
        assert count == len(made.limits) + len(made.goals)


def eight(plan: Plan) -> Plan:
    one = next(iter(plan.circuits.values()))
    names = [f"zone_{number}" for number in range(1, 9)]
    limits = tuple(limit for limit in plan.limits if limit.of in plan.bodies)
    return evolve(plan, circuits={name: evolve(one, name=name) for name in names}, limits=limits)


def test_eight_circuits_fit_in_two_megabytes() -> None:
    made = invented(eight(read_text(starter("press"))))
    text = page(made)
    assert len(text.encode()) < 2_000_000
    assert all(f"Pressure in zone {number}" in text for number in range(1, 9))
    assert max(len(line) for line in summary(made).splitlines()) <= 100
