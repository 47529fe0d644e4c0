"""What must be trusted is one list: in the document, and in every result in text and JSON."""

from __future__ import annotations

from html import unescape

from steadfall.logic.build.whole import build
from steadfall.prove.compare.apart import Side
from steadfall.prove.compare.compare import compare
from steadfall.prove.decide.result import Proof
from steadfall.prove.trusted import TRUSTED, as_json, as_markdown, in_short
from steadfall.report.page.comparison import comparison_page
from steadfall.report.text.comparison import told
from steadfall.report.text.verdicts import table
from steadfall.report.words.cautions import TRUSTED_CAUTION
from steadfall.why.words.wording import PLAIN
from tests.examples import ROOT
from tests.prove.plans import guarded


def test_the_document_has_the_list_and_nothing_besides() -> None:
    text = (ROOT / "docs" / "proof.md").read_text(encoding="utf-8")
    section = text.split("## What must be trusted\n")[1].split("\n## ")[0]
    assert as_markdown() in section
    assert section.count("\n- ") == len(TRUSTED)


def test_every_result_names_it() -> None:
    proof = Proof("a plan", "digest", (), 0.0)
    assert proof.as_json()["trusted"] == as_json() == [row.sentence for row in TRUSTED]
    told = " ".join(table(proof).split())
    assert in_short() in told
    assert all(row.word in told for row in TRUSTED)
    assert all(row.sentence in TRUSTED_CAUTION[1] for row in TRUSTED)


def test_every_comparison_names_it() -> None:
    plan = guarded()
    network = build(plan)
    found = compare(plan, network, network)
    sides = Side("a", network, PLAIN, plan), Side("b", network, PLAIN)
    assert found.as_json()["trusted"] == as_json()
    assert in_short() in " ".join(told(found, sides, None, ()).split())
    page = unescape(comparison_page(found, sides, None, ()))
    for word in ("not a number", "64 bits"):
        assert any(word in row.sentence for row in TRUSTED)
        assert word in page
