"""The page and the terminal output of a proof: what a power cut and a contradiction look like, and how wide
it is.
"""

from __future__ import annotations

from functools import cache

import attrs
import pytest

from steadfall.plan.model import Fault, Never, Plan, Whenever
from steadfall.plan.model.condition import Signal
from steadfall.prove.decide.ask import Ask
from steadfall.prove.decide.processes import Hands
from steadfall.prove.decide.result import NOT_TRIED, UNKNOWN, Proof, Verdict
from steadfall.prove.explain.violations import Violation, violations
from steadfall.prove.explain.witness import witnesses
from steadfall.prove.requirements.whole import watched
from steadfall.prove.whole.plan import prove_whole
from steadfall.report.page.paper import BLANK
from steadfall.report.page.proof import proof_page
from steadfall.report.text.proof import told
from steadfall.report.text.verdicts import table, wrapped
from tests.prove.plans import guarded
from tests.report.test_page import read

MIST, CALL = Signal("upper.mist"), Signal("full_call")
ONLY = ("stated", "upper.mist.shortest_shut", "upper.sweep")


@cache
def plan() -> Plan:
    items = (Never(MIST, ""), Whenever(CALL, MIST, 0, 0, ""))
    made = guarded(*items, shortest_open_ms=50, shortest_shut_ms=50)
    faults = (Fault("stuck on", "fault"), Fault("power cut"))
    return attrs.evolve(made, faults=faults, text="title: small\n", digest="0123456789abcdef")


@cache
def proof() -> Proof:
    return prove_whole(plan(), ONLY, Ask(effort=40_000_000), workers=1)


@cache
def seen() -> list[Violation]:
    return list(violations(watched(plan()), None, proof(), Hands()))


@cache
def page() -> str:
    of = watched(plan())
    return proof_page(
        plan(),
        proof(),
        seen(),
        witnesses(of, proof().verdicts),
        "2026-11-25 15:00",
        "2026-11-28",
    )


def words() -> str:
    return " ".join(" ".join(read(page()).words).split())


def terminal(width: int) -> str:
    of = watched(plan())
    drawn = list(witnesses(of, proof().verdicts).values())
    return told(plan(), proof(), seen(), drawn, width)


def test_the_page_bears_its_date_or_room_for_one() -> None:
    assert "<dt>Date</dt><dd>2026-11-28</dd>" in page()
    assert f"<dt>Date</dt><dd>{BLANK}</dd>" in proof_page(plan(), proof(), [])


def test_the_page_is_whole_and_each_part_is_linked() -> None:
    found = read(page())
    assert found.open == []
    assert found.loads == []
    assert len(found.ids) == len(set(found.ids))
    assert all(link.removeprefix("#") in found.ids for link in found.links if not link.startswith("#line-"))


def test_a_power_cut_is_marked_told_and_linked_from_the_table_of_faults() -> None:
    assert 'class="marked power"' in page()
    assert "no power" in words()
    assert "power fails while upper.mist is open, back after" in words()
    assert "Every pause of upper.mist lasts at least 50 ms. broken, how" in words()


def test_a_witness_is_drawn_small_and_needs_no_script() -> None:
    assert page().count('class="figure still"') == sum(one.verdict == "proved" for one in proof().verdicts)
    assert "It applies at 0:0" in words()
    still = page().split('class="figure still"', 1)[1].split("</svg>", 1)[0]
    assert 'class="marked says"' in still
    assert "data-now" not in still
    assert "svg.figure:not(.still)" in page()


def test_when_it_was_checked_again_is_said_and_else_nothing_of_it() -> None:
    assert "Checked again 2026-11-25 15:00" in words()
    assert "by cvc5 alone" in words()
    assert "Checked again 2026" not in proof_page(plan(), proof(), [])


def test_a_contradiction_is_named_with_its_sentences_on_both() -> None:
    for text in (words(), " ".join(terminal(100).split())):
        assert "stated.1 and stated.2 contradict each other: no controller can keep both once" in text
        assert "It never happens that upper.mist is open." in text


@pytest.mark.parametrize("width", [60, 80, 100, 132])
def test_no_line_of_the_terminal_is_wider_than_it(width: int) -> None:
    lines = terminal(width).splitlines()
    assert max(map(len, lines)) <= width
    assert not any(line.rstrip() != line for line in lines if "here it" in line)


def test_a_number_stays_with_its_unit() -> None:
    for width in range(30, 60):
        rows = wrapped(
            "After a whole dose of upper.mist in upper.dosing the valve is shut for at least 12 s.", width
        )
        assert any("12 s." in row for row in rows)
        assert max(map(len, rows)) <= width


def test_the_terminal_tells_of_the_cut_and_the_witness() -> None:
    text = terminal(100)
    assert "power fails, back after 40 ms" in text
    assert "0:00.000 power fails while upper.mist is open, back after 40 ms" in text
    assert "|no power" in text or "│no power" in text
    assert "here it applies" in text


def test_what_was_not_tried_is_counted_and_not_listed() -> None:
    rows = watched(plan()).required[:5]
    left = tuple(Verdict(row, UNKNOWN, notes=(NOT_TRIED,)) for row in rows)
    text = table(Proof("", "0" * 12, left, 1.0, stopped=True))
    assert "5 more were not tried" in text
    assert rows[0].sentence not in text


def test_a_plan_without_requirements_of_its_own_says_so() -> None:
    bare = attrs.evolve(plan(), requirements=())
    found = Proof("", "0" * 12, (), 1.0)
    assert "The plan states no requirements of its own." in proof_page(bare, found, [])
    assert "None of those that the plan states was asked for." in proof_page(plan(), found, [])
