"""The page of a comparison: every part is there, and foreign text stays text."""

from __future__ import annotations

import re
from functools import cache
from xml.etree.ElementTree import fromstring

import attrs

from steadfall.logic.build.whole import build
from steadfall.plan.model import Plan
from steadfall.plan.revise.changes import changes
from steadfall.predict.outcome.effect import Effect
from steadfall.prove.compare.apart import Side, apart
from steadfall.prove.compare.compare import How, compare_plans
from steadfall.quantities import MASS
from steadfall.report.page.comparison import comparison_page
from steadfall.report.text.comparison import told
from steadfall.why.words.wording import wording_of
from tests.prove.plans import guarded
from tests.prove.test_compare import with_finish
from tests.report.test_page import read

NASTY = "<script>alert('x')</script> & </style>"


def drawn(one: Plan, two: Plan, titles: tuple[str, str] = ("last.yaml", "this.yaml")) -> tuple[str, str]:
    found = compare_plans(one, two, How(20_000_000))
    sides = [
        Side(title, build(plan), wording_of(plan), plan)
        for title, plan in zip(titles, (one, two), strict=True)
    ]
    both = sides[0], sides[1]
    said = changes(one, two, found.names)
    shown = apart(found, both, 4)
    return comparison_page(found, both, said, shown), told(found, both, said, shown)


@cache
def finish() -> tuple[str, str]:
    plan = guarded(shortest_open_ms=50)
    return drawn(plan, with_finish(plan, 50))


def test_the_page_says_what_the_terminal_says() -> None:
    page, terminal = finish()
    words = " ".join(" ".join(read(page).words).split())
    for line in terminal.splitlines()[:2]:
        assert line.strip() in words
    assert "upper.mist equal for ever" in words
    assert "circuit_types: coil: finish: blow_out: for 40 ms 50 ms" in words
    assert "Why in last.yaml" in words
    assert "And why in this.yaml" in words


def test_the_page_is_whole_and_loads_nothing() -> None:
    found = read(finish()[0])
    assert found.open == []
    assert found.loads == []


def test_both_strips_of_an_output_stand_under_each_other_and_the_moment_is_marked() -> None:
    page, _ = finish()
    (figure,) = re.findall(r"<svg [^>]*id=.*?</svg>\n", page, re.S)
    fromstring(figure)
    assert figure.count('class="marked') == 1
    assert re.search(r">sweep<.*?>sweep, 2nd<.*?>drain<.*?>drain, 2nd<", figure, re.S)
    assert re.search(r">upper<.*?>upper, 2nd<", figure, re.S)


def test_what_is_linked_is_there() -> None:
    page, _ = finish()
    for anchor in re.findall(r'href="#([^"]+)"', page):
        assert f'id="{anchor}"' in page


def test_foreign_text_stays_text() -> None:
    plan = guarded(shortest_open_ms=50)
    one, two = attrs.evolve(plan, title=NASTY), attrs.evolve(plan, title=NASTY, revised=NASTY)
    page, _ = drawn(one, two, (NASTY, f"{NASTY} 2"))
    assert "<script>alert" not in page
    found = read(page)
    assert found.open == []
    assert NASTY in " ".join(found.words)


def test_the_page_tells_what_the_revision_does_and_when_it_was_made() -> None:
    plan = guarded(shortest_open_ms=50)
    found = compare_plans(plan, plan, How(20_000_000))
    side = Side("last.yaml", build(plan), wording_of(plan), plan)
    effect = Effect("upper: water", 12.0, 14.5, MASS)
    page = comparison_page(found, (side, side), (), (), effect=(effect,), dated="2026-11-28")
    words = " ".join(" ".join(read(page).words).split())
    assert "upper: water 12.00 kg 14.50 kg +2.50" in words
    assert "Date 2026-11-28" in words
    assert "What it does to the plant" not in finish()[0]
